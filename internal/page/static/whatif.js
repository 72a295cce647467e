// What would change if something were short, if a price moved, if it were another recipe; and recipes side by side.
import { make, figures, table, ask, shown, say, field, number, pictureOf, capsTable, cautionsList } from "./tools.js";

const at = () => document.getElementById("whatif");

// form shows a question with its boxes; the answer comes below it.
function form(title, boxes, send) {
  const answer = make("div", { id: "whatif-answer" });
  at().replaceChildren(make("h3", {}, title), make("form", { class: "asks", onsubmit: async (event) => {
    event.preventDefault();
    say("Solving…");
    try { answer.replaceChildren(...(await send()).flat(Infinity).filter((x) => x)); } catch (error) { answer.replaceChildren(shown(error)); }
    say("");
  } }, boxes, make("button", { type: "submit", id: "whatif-ask" }, "See"), make("button", { type: "button", class: "plain", onclick: () => at().replaceChildren() }, "Close")), answer);
  const first = at().querySelector("input, select");
  if (first) first.focus();
}

export function choice(label, id, options) { return make("div", { class: "field" }, make("label", { for: id }, label), make("select", { id }, options.map(([value, text]) => make("option", { value }, text)))); }

export const valueOf = (id) => document.getElementById(id).value.trim();

function amount(id, what) {
  const x = number(valueOf(id));
  if (Number.isNaN(x)) throw Object.assign(new Error(), { faults: [what + ": " + valueOf(id) + " is no number"] });
  return x;
}

// told ends an answer: its picture, and all that the command says; an answer that is none is only that.
export function told(answer, alt) {
  if (answer.answer.conflict) return [make("pre", { role: "alert" }, answer.says)];
  return [answer.picture ? pictureOf(answer.picture, alt) : "", make("details", {}, make("summary", {}, "All that the program says of it"), make("pre", {}, answer.says))];
}

function amounts(recipe) {
  const sum = new Map();
  for (const r of recipe) sum.set(r.ingredient + (r.lot ? ", lot " + r.lot : ""), r.amount);
  return sum;
}

// sideBySide sets the amounts and costs of recipes beside each other.
export function sideBySide(titles, assessments) {
  const all = assessments.map((a) => amounts(a.recipe)), names = [...new Set(all.flatMap((m) => [...m.keys()]))];
  const rows = names.map((name) => [name, ...all.map((m) => (m.has(name) ? String(m.get(name)) : "-"))]);
  rows.push([make("strong", {}, "cost a litre, " + assessments[0].currency), ...assessments.map((a) => make("strong", {}, figures(a.cost, 4) + (a.currency === assessments[0].currency ? "" : " " + a.currency)))]);
  return table(["l" + assessments[0].amount_unit, ...titles.map((t) => "." + t)], rows);
}

// todays chooses today's recipe: the cheapest one, or a file of the folder.
const todays = (brief, id, label) => choice(label || "Today's recipe", id, [["", "the cheapest one"], ...brief.recipes.map((file) => [file, file])]);

// warned says of each recipe what keeps it from being made or sold as it is.
const warned = (titles, assessments) => assessments.flatMap((a, n) => [a.keeps_caps ? "" : titles[n] + " does not keep the caps. Not to be made or sold as it is.", ...(a.misses || []).map((miss) => titles[n] + " misses its brief: " + miss)]).filter(Boolean).map((text) => make("p", { class: "wrong" }, text));

const drifted = (d) => table(["ltaste, smell, looks", ".before", ".after", ".just noticeable differences"], d.attributes.filter((p) => p.count && Math.abs(p.count) >= 0.05).slice(0, 8).map((p) => [p.name + ", " + p.unit, figures(p.before, 3), figures(p.after, 3), (p.count > 0 ? "+" : "") + p.count.toFixed(1)]));

export function shortView(context) {
  const sources = context.brief.use.flatMap((u) => [[u.name, u.title], ...(u.lots || []).map((lot) => [lot, u.title + ", lot " + lot.split("/")[1]])]);
  const drift = field("just noticeable differences", { id: "short-drift", inputmode: "decimal", value: "3" });
  drift.hidden = true;
  let rows = 1;
  const row = (n) => make("div", { class: "asks" }, choice("What", n ? "short-name-" + n : "short-name", sources), field("There are, g/L (none if empty)", { id: n ? "short-most-" + n : "short-most", inputmode: "decimal" }));
  const shorts = make("div", {}, row(0)), more = make("button", { type: "button", class: "plain", id: "short-more", onclick: () => shorts.append(row(rows++)) }, "And");
  form("Something is short", [shorts, more, choice("Look for", "short-how", [["cheapest", "the cheapest mix"], ["closest", "the closest mix"], ["within", "the cheapest within a drift of"]]), drift, todays(context.brief, "short-recipe")], async () => {
    const name = valueOf("short-name"), how = valueOf("short-how");
    const short = {};
    for (let n = 0; n < rows; n++) short[valueOf(n ? "short-name-" + n : "short-name")] = amount(n ? "short-most-" + n : "short-most", "g/L") || 0;
    const answer = await ask("/api/swap", context.question({ short, recipe: valueOf("short-recipe"), closest: how === "closest", drift: how === "within" ? amount("short-drift", "drift") : null }));
    const a = answer.answer;
    if (a.conflict) return told(answer);
    const lost = (a.cannot_be_replaced || []).map((l) => make("li", {}, l.name + ": " + figures(l.before, 3) + " " + l.unit + " today, at nearest " + figures(l.nearest, 3)));
    return [make("p", { class: "big", id: "swapped" }, "It costs " + figures(Math.abs(a.costs_more_per_litre), 3) + " " + a.today.currency + " a litre " + (a.costs_more_per_litre < 0 ? "less" : "more") + " and drifts " + figures(a.drift.jnd, 3) + " just noticeable differences."),
      warned(["Today's recipe"], [a.today]), sideBySide(["today", "with the shortage"], [a.today, a.swap]), drifted(a.drift), lost.length ? [make("p", {}, "Nothing brings these back:"), make("ul", {}, lost)] : "",
      rows === 1 && context.brief.use.some((u) => u.name === name) && !valueOf("short-most") ? make("div", { class: "row" }, make("button", { type: "button", id: "withhold", onclick: () => context.withhold(name) }, "Cross " + name + " out of this drink")) : "", ...told(answer, "What the shortage changes, and what closeness costs")];
  });
  document.getElementById("short-how").addEventListener("change", (event) => { drift.hidden = event.target.value !== "within"; });
}

export function priceView(context) {
  form("A price moves", [choice("Of", "price-name", context.brief.use.map((u) => [u.name, u.title + (u.price_per_kg == null ? "" : ", " + u.price_per_kg + " a kg")])), field("By, or to (+30%, 8.50 or 6..9)", { id: "price-move", value: "+30%" }), field("or by a price list here (.csv or .xlsx)", { id: "price-list", spellcheck: "false" }), todays(context.brief, "price-recipe"),
    make("details", {}, make("summary", {}, "Buy ahead?"), make("div", { class: "asks" }, field("New price from", { id: "ahead-from", type: "date" }), field("In hand, kg", { id: "ahead-stock", inputmode: "decimal", value: "0" }), field("Made in a month, L", { id: "ahead-monthly", inputmode: "decimal" }), field("Keeps, months", { id: "ahead-keeps", inputmode: "decimal" })))], async () => {
    const ahead = valueOf("ahead-from") === "" ? null : { from: valueOf("ahead-from"), stock_kg: amount("ahead-stock", "in hand") || 0, monthly_litres: amount("ahead-monthly", "made in a month") || 0, keeps_months: amount("ahead-keeps", "keeps") || 0 };
    const answer = await ask("/api/reprice", context.question({ ahead, recipe: valueOf("price-recipe"), list: valueOf("price-list"), moves: valueOf("price-list") ? [] : [valueOf("price-name") + "=" + valueOf("price-move").replace(/ /g, "").replace(/(\d),(\d)/g, "$1.$2")] }));
    const a = answer.answer;
    if (a.conflict) return told(answer);
    const own = valueOf("price-recipe") !== "";
    const rows = a.pieces.map((p, n) => [String(n + 1), p.prices.map((x) => figures(x.from, 4) + " to " + figures(x.to, 4)).join(", "), figures(p.cost_from, 4) + " to " + figures(p.cost_to, 4), p.kept_to == null ? "" : figures(p.kept_from, 4) + " to " + figures(p.kept_to, 4)]);
    const b = a.buying_plan, buying = b ? make("p", { id: "buying" }, "Buy " + figures(b.buy_ahead_kg, 4) + " kg of " + b.name + " at the old price: it lasts until " + b.lasts_until + (b.recipe_changes ? ", then change over (" + b.change_over + ")" : "") + ". That saves " + figures(b.saves_over_keeping, 3) + " " + a.today.currency + " over keeping today's recipe, " + figures(b.saves_over_changing, 3) + " over changing at once.") : "";
    return [buying, make("p", { class: "big", id: "repriced" }, a.pieces.length === 1 ? "The cheapest recipe stays the same." : "The cheapest recipe changes " + (a.pieces.length === 2 ? "once" : a.pieces.length - 1 + " times") + " on the way."),
      table(["lrecipe", "lprice a kg", "lcost a litre", "lcost with today's recipe"], rows), warned(["Today's recipe"], [a.today]), sideBySide([...(own ? ["today, at prices of now"] : []), ...a.pieces.map((_, n) => "recipe " + (n + 1))], [...(own ? [a.today] : []), ...a.pieces.map((p) => p.recipe)]), ...told(answer, "Cost against the price")];
  });
}

export function otherView(context) {
  form("Other recipes near the least cost", [field("At most so many % dearer", { id: "other-percent", inputmode: "decimal", value: "2" }), field("How many", { id: "other-count", inputmode: "numeric", value: "3" })], async () => {
    const answer = await ask("/api/alternatives", context.question({ percent: amount("other-percent", "%") || 0, count: amount("other-count", "how many") || 0 }));
    const a = answer.answer;
    if (a.conflict) return told(answer);
    if (!a.alternatives.length) return [make("p", {}, "None differs enough."), ...told(answer, "Costs by ingredient")];
    return [sideBySide(["cheapest", ...a.alternatives.map((_, n) => "other " + (n + 1))], [a.cheapest, ...a.alternatives.map((o) => o.recipe)]),
      table(["l", ".just noticeable differences", "ldoes without", "ladds"], a.alternatives.map((o, n) => ["other " + (n + 1), figures(o.drift.jnd, 3), (o.does_without || []).join(", "), (o.adds || []).join(", ")])), ...told(answer, "Costs by ingredient")];
  });
}

// marketView judges one recipe in two markets: what each caps, and asks for.
export function marketView(context) {
  const { sold, places } = context.brief, options = (first) => [first, ...places.filter((p) => p !== first)].map((p) => [p.name, p.title]);
  const here = places.find((p) => p.name === sold[0]) || places[0], there = places.find((p) => p.name === sold[1]) || places.find((p) => p !== here);
  form("One recipe in two markets", [todays(context.brief, "market-recipe", "Recipe"), choice("In", "market-a", options(here)), choice("and in", "market-b", options(there))], async () => {
    const answer = await ask("/api/markets", context.question({ recipe: valueOf("market-recipe"), markets: [valueOf("market-a"), valueOf("market-b")] })), c = answer.answer;
    if (c.conflict) return told(answer);
    const sides = [c.a, c.b], titles = ["market-a", "market-b"].map((id) => document.getElementById(id).selectedOptions[0].textContent);
    return [warned(titles, sides), sideBySide(titles, sides), drifted(c.drift) || "", make("div", { class: "columns two", id: "markets" }, sides.map((side, n) => make("section", { "aria-label": titles[n] }, make("h3", {}, titles[n]), make("h4", {}, "Caps"), capsTable(side.caps), make("h4", {}, "Cautions"), cautionsList(side.cautions)))), ...told(answer, "What differs")];
  });
}

const odds = (chance) => (chance >= 0.1 ? (100 * chance).toFixed(0) + " %" : chance > 0 ? "1 in " + figures(1 / chance, 2) : "none");

export function sureView(context) {
  form("It must be surer, as lots vary", [choice("Show", "sure-wants", [["recipe", "the cheapest recipe so sure"], ["curve", "what assurance costs"], ["next", "which measurement saves most"]]),
    field("One batch in so many may fail", { id: "sure-one-in", inputmode: "decimal", value: "1000" }), choice("Counts as failing", "sure-of", [["", "a cap broken"], ["too", "a cap broken or a target missed"]]),
    choice("The chances of limits", "sure-counting", [["sum", "are added up"], ["drawn", "are counted together, as drawn"], ["each", "count each by itself"]]),
    choice("Lots", "sure-method", [["independent", "vary as their profiles say"], ["any-shape", "vary in any way with that deviation"], ["few-bad", "are few that stray at once"]])], async () => {
    const wants = valueOf("sure-wants"), oneIn = amount("sure-one-in", "one in");
    if (wants !== "curve" && !(oneIn > 1)) throw Object.assign(new Error(), { faults: ["One batch in so many may fail: a number above 1"] });
    const answer = await ask("/api/sure", context.question({ wants, risk: wants === "curve" ? null : 1 / oneIn, targets_too: valueOf("sure-of") === "too", counting: valueOf("sure-counting"), method: valueOf("sure-method") }));
    const a = answer.answer;
    if (wants === "recipe") {
      if (!a.recipe) return [make("pre", { role: "alert" }, answer.says)];
      const limits = (a.limits || []).map((l) => [l.name + (l.market ? ", " + l.market : ""), (l.side === "min" ? "at least " : "at most ") + l.value + " " + l.unit, l.broken ? odds(l.broken.at_most) : ""]);
      return [make("p", { class: "big", id: "sure-answer" }, "It costs " + figures(a.dearer_per_litre, 3) + " " + a.recipe.currency + " a litre more; on fresh draws at most " + odds(a.chance_at_most) + " of batches fail."),
        a.unknown_besides ? make("p", { class: "wrong" }, "Unknown besides, and in none of these chances: " + a.unknown_besides.join(", ") + ".") : "",
        sideBySide(["cheapest", "so sure"], [a.cheapest, a.recipe]), table(["llimit", "lasked", "lbroken in at most"], limits), ...told(answer, "How limits are kept as lots vary")];
    }
    if (a.conflict || !answer.picture) return [make("pre", { role: "alert" }, answer.says)];
    const levels = (a.levels || []).map((l) => [odds(l.risk), l.cost_per_litre == null ? "none found" : figures(l.cost_per_litre, 4), l.more == null ? "" : figures(l.more, 3), l.knee ? "from here on it costs more" : ""]);
    return [table(["lmay fail", ".cost a litre", ".more", "l"], levels), ...told(answer, wants === "curve" ? "Cost against assurance" : "What each measurement saves")];
  });
}

// ---- up to four recipes pinned side by side; they stay from drink to drink until the page is closed

const mostPins = 4;
let pins = []; // { name, question, recipe }

export function pin(name, question, recipe) {
  if (pins.length === mostPins) { say("Four recipes are pinned: unpin one first."); return; }
  pins = [...pins, { name, question: structuredClone(question), recipe }];
  pinsView();
}

export async function pinsView() {
  const view = document.getElementById("pins");
  if (!view) return;
  if (!pins.length) { view.replaceChildren(); return; }
  const many = new Set(pins.map((p) => p.name)).size > 1, mine = pins;
  const titles = pins.map((p, n) => n + 1 + (many ? ": " + p.name : ""));
  const unpin = make("div", { class: "row" }, pins.map((p, n) => make("button", { type: "button", class: "plain", onclick: () => { pins = pins.filter((other) => other !== p); pinsView(); } }, "Unpin " + (n + 1))), pins.length > 1 ? make("button", { type: "button", class: "plain", onclick: () => { pins = []; pinsView(); } }, "Unpin all") : "");
  const draw = (recipes, more) => view.replaceChildren(make("h2", {}, "Pinned recipes"), sideBySide(titles, recipes), ...more, unpin);
  draw(pins.map((p) => p.recipe), [pins.length > 1 ? make("p", { class: "soft" }, "Comparing…") : ""]);
  if (pins.length < 2) return;
  try {
    const answer = await ask("/api/beside", { pins: pins.map((p) => p.question) });
    if (mine !== pins) return;
    const compared = answer.beside_the_first;
    if (compared.some((c) => c.conflict)) { draw(pins.map((p) => p.recipe), [make("p", { class: "wrong" }, "One of these cannot be met as its file stands now.")]); return; }
    const names = [...new Set(compared.flatMap((c) => c.drift.attributes.filter((p) => p.count && Math.abs(p.count) >= 0.05).map((p) => p.name)))];
    const of = (c, name) => c.drift.attributes.find((p) => p.name === name);
    const rows = names.map((name) => { const first = compared.map((c) => of(c, name)).find((p) => p); return [name + ", " + first.unit, figures(first.before, 3), ...compared.map((c) => { const p = of(c, name); return p ? figures(p.after, 3) + " (" + (p.count > 0 ? "+" : "") + p.count.toFixed(1) + ")" : "-"; })]; });
    rows.unshift([make("strong", {}, "drift from the first"), "", ...compared.map((c) => make("strong", { class: "drift" }, figures(c.drift.jnd, 3)))]);
    draw([compared[0].a, ...compared.map((c) => c.b)], [make("h3", {}, "Drift, in just noticeable differences"), table(["lvalue (differences from the first)", ...titles.map((t) => "." + t)], rows)]);
  } catch (error) { view.append(shown(error)); }
}
