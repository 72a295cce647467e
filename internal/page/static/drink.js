// A drink: what is asked of it, its cheapest recipe, what holds it, and what would change if.
import { main, where, state, make, figures, table, ask, faultsShown, shown, say, link, pictureOf, capsTable, cautionsList } from "./tools.js";
import { shortView, priceView, otherView, marketView, sureView, pin, pinsView } from "./whatif.js";

// ---- one brief

let drink = null; // { file, brief, targets, without, prices }
let asking = null;

function changed() { return Object.keys(drink.targets).length + drink.without.length + Object.keys(drink.prices).length > 0; }

function question(more) {
  return Object.assign({ file: drink.file, targets: drink.targets, without: drink.without, prices: drink.prices }, more);
}

export async function open(file) {
  say("Reading…");
  const here = location.hash;
  try {
    const brief = await ask("/api/brief?file=" + encodeURIComponent(file));
    if (location.hash !== here) return; // another view was opened meanwhile
    drink = { file, brief, targets: {}, without: [], prices: {} };
    document.title = brief.name + " · Bittersum";
    where.textContent = brief.name + " (" + file + ")" + (brief.markets ? "; for sale in " + brief.markets.join(", ") : "");
    if (brief.faults) { textView(brief.faults); say(""); return; }
    briefView();
    await follow();
  } catch (error) { main.replaceChildren(shown(error)); say(""); }
}

function target(name) { return drink.targets[name] || drink.brief.targets.find((t) => t.name === name); }

// setTarget changes one side of a target; a side that is empty asks for nothing.
function setTarget(name, side, value) {
  const now = target(name);
  const next = { min: now.min, max: now.max };
  next[side] = value;
  const asked = drink.brief.targets.find((t) => t.name === name);
  if (next.min === asked.min && next.max === asked.max) delete drink.targets[name];
  else drink.targets[name] = next;
  follow();
}

// scaleOf is the rule's end: round, and beyond all that is asked and all that can be reached.
function scaleOf(t, reach) {
  const most = Math.max(t.max || 0, 1.6 * (t.min || 0), reach && reach.high != null ? Math.min(reach.high, 4 * Math.max(t.max || 0, t.min || 0, 1e-9)) : 0, 1e-6);
  const power = Math.pow(10, Math.floor(Math.log10(most)));
  return Math.ceil((1.15 * most) / power * 2) / 2 * power;
}

function targetField(t) {
  const id = "t-" + t.name;
  const top = scaleOf(t, null), step = Math.pow(10, Math.floor(Math.log10(top)) - 2);
  const field = make("fieldset", { id, "data-name": t.name, "data-top": top },
    make("legend", {}, t.title), make("span", { class: "soft" }, t.unit + " "), make("output", { class: "now" }));
  const rule = make("div", { class: "rule" }, make("div", { class: "track" }), make("div", { class: "reach", hidden: true }), make("div", { class: "asked" }), make("div", { class: "value", hidden: true }));
  const boxes = make("div", { class: "boxes" });
  for (const [side, word] of [["min", "at least"], ["max", "at most"]]) {
    const handle = make("input", { type: "range", min: 0, max: top, step, "aria-label": t.title + ", " + word, "data-side": side, value: t[side] == null ? (side === "min" ? 0 : top) : t[side] });
    const box = make("input", { type: "number", id: id + "-" + side, min: 0, step: "any", "data-side": side, value: t[side] == null ? "" : t[side], placeholder: "none" });
    handle.addEventListener("input", () => {
      const open = side === "min" ? Number(handle.value) <= 0 : Number(handle.value) >= Number(handle.max);
      setTarget(t.name, side, open ? null : Number(Number(handle.value).toPrecision(12)));
      box.value = open ? "" : handle.value;
      drawRule(field);
    });
    box.addEventListener("input", () => {
      if (box.validity.badInput) return; // half a number is no empty box
      setTarget(t.name, side, box.value === "" ? null : Number(box.value));
      handle.value = box.value === "" ? (side === "min" ? 0 : handle.max) : box.value;
      drawRule(field);
    });
    rule.append(handle);
    boxes.append(make("label", { for: id + "-" + side }, word + " "), box);
  }
  if (t.unit && !t.reading) boxes.append(make("button", { type: "button", class: "plain", onclick: () => reachOf(field, t) }, "How far?"));
  field.append(rule, boxes, make("div", { class: "found" }));
  drawRule(field);
  return field;
}

function drawRule(field, value) {
  const t = target(field.dataset.name), top = Number(field.dataset.top);
  const place = (x) => "calc(.75rem + (100% - 1.5rem) * " + Math.min(1, Math.max(0, x / top)) + ")";
  const strip = (element, low, high) => { element.hidden = false; element.style.left = place(low); element.style.right = "calc(100% - (" + place(high).slice(5, -1) + "))"; };
  strip(field.querySelector(".asked"), t.min == null ? 0 : t.min, t.max == null ? top : t.max);
  if (value !== undefined) {
    const mark = field.querySelector(".value");
    mark.hidden = value == null;
    if (value != null) mark.style.left = place(value);
    field.querySelector(".now").textContent = value == null ? "" : "now " + figures(value, 3);
  }
  const reach = field.reach;
  if (reach) strip(field.querySelector(".reach"), reach.low, reach.high == null ? top : reach.high);
}

async function reachOf(field, t) {
  const found = field.querySelector(".found");
  found.replaceChildren("Following…");
  try {
    const answer = await ask("/api/reach", question({ attribute: t.name }));
    const stops = answer.recipes || [];
    if (!stops.length) { found.replaceChildren("No recipe meets the brief, so there is no curve."); return; }
    const low = stops[0].value, high = stops[stops.length - 1].value;
    field.reach = { low, high };
    drawRule(field);
    const svg = await ask("/api/picture", question({ attribute: t.name, picture: "reach" }));
    const picture = pictureOf(svg, "Least cost against " + t.title + ": from " + figures(stops[0].recipe.cost, 4) + " at " + figures(low, 4) + " to " + figures(stops[stops.length - 1].recipe.cost, 4) + " at " + figures(high, 4));
    const rows = stops.map((s) => [figures(s.value, 4), figures(s.recipe.cost, 4), make("button", { type: "button", class: "plain", onclick: () => take(t.name, s.value) }, "Take")]);
    found.replaceChildren(make("p", {}, "Recipes reach from " + figures(low, 4) + " to " + figures(high, 4) + "."), table(["." + t.title, ".cost", "l"], rows), picture);
  } catch (error) { found.replaceChildren(shown(error)); }
}

// take asks for at least what a point of the curve has.
function take(name, value) {
  const rounded = Number(value.toPrecision(5));
  drink.targets[name] = { min: rounded, max: target(name).max == null || target(name).max >= rounded ? target(name).max : rounded };
  briefView();
  follow();
}

function useField(u) {
  const box = make("input", { type: "checkbox", checked: !drink.without.includes(u.name), onchange: () => {
    drink.without = drink.without.filter((name) => name !== u.name);
    if (!box.checked) drink.without.push(u.name);
    follow();
  } });
  const price = make("input", { type: "number", min: 0, step: "any", "aria-label": "price of " + u.name + ", " + drink.brief.currency + " a kg", value: drink.prices[u.name] == null ? u.price_per_kg : drink.prices[u.name], onchange: () => {
    if (price.value === "" || Number(price.value) === u.price_per_kg) { delete drink.prices[u.name]; price.value = u.price_per_kg; }
    else if (Number(price.value) >= 0) drink.prices[u.name] = Number(price.value);
    follow();
  } });
  return make("tr", { "data-search": (u.name + " " + u.title).toLowerCase() }, make("td", {}, make("div", { class: "named" }, make("label", { class: "use" }, box, u.title), make("a", { class: "soft", href: link("known", drink.file, u.name), "aria-label": "figures of " + u.title }, "figures"))), make("td", { class: "n" }, price));
}

function briefView() {
  const b = drink.brief;
  const search = make("input", { type: "search", "aria-label": "find an ingredient", placeholder: "find an ingredient", oninput: () => {
    for (const row of uses.querySelectorAll("tr")) row.hidden = !row.dataset.search.includes(search.value.toLowerCase());
  } });
  const uses = make("tbody", {}, b.use.map(useField));
  const asked = make("section", { "aria-label": "What is asked" }, make("h2", {}, "Asked for"),
    b.targets.map((t) => targetField(Object.assign({}, t, drink.targets[t.name] || {}))),
    make("h2", {}, "May be used"), search, make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "ingredient"), make("th", { scope: "col", class: "n" }, b.currency + "/kg"))), uses));
  const buttons = make("div", { class: "row" },
    make("button", { type: "button", id: "save", onclick: saveView, disabled: b.demo }, "Save…"),
    make("button", { type: "button", class: "plain", id: "undo", onclick: () => { drink.targets = {}; drink.without = []; drink.prices = {}; briefView(); follow(); } }, "Back to the file"),
    make("button", { type: "button", class: "plain", id: "pin", onclick: () => { if (drink.answer && drink.answer.answer) pin(drink.brief.name, question(), drink.answer.answer); } }, "Pin this recipe"),
    make("button", { type: "button", class: "plain", onclick: stressView }, "How sure?"),
    make("button", { type: "button", class: "plain", onclick: () => textView() }, "Text"),
    make("a", { class: "go", href: link("batch", drink.file) }, "Plan a batch"), make("a", { class: "go", href: link("label", drink.file) }, "Label"), make("a", { class: "go", id: "learn", href: link("learn", drink.file) }, "What batches teach"));
  const context = { question, brief: b, withhold: (name) => { if (!drink.without.includes(name)) drink.without.push(name); briefView(); follow(); } };
  const asks = make("div", { class: "row" }, make("span", {}, "What if"),
    make("button", { type: "button", class: "plain", id: "short", onclick: () => shortView(context) }, "something is short…"),
    make("button", { type: "button", class: "plain", id: "dearer", onclick: () => priceView(context) }, "a price moves…"),
    make("button", { type: "button", class: "plain", id: "other", onclick: () => otherView(context) }, "it were another recipe…"),
    make("button", { type: "button", class: "plain", id: "elsewhere", onclick: () => marketView(context) }, "it were sold elsewhere…"),
    make("button", { type: "button", class: "plain", id: "surer", onclick: () => sureView(context) }, "it must be surer…"));
  main.replaceChildren(buttons, asks, make("section", { id: "whatif", "aria-label": "What if" }), make("div", { class: "columns" }, asked,
    make("section", { id: "recipe", "aria-label": "Recipe" }), make("section", { id: "holds", "aria-label": "What holds it" })),
    make("section", { id: "pins", "aria-label": "Pinned recipes" }), make("section", { id: "sure", "aria-label": "How sure" }));
  pinsView();
  if (b.demo) buttons.append(make("span", { class: "soft" }, "A demo is not saved: copy its text into a file of your own."));
}

// follow asks for the recipe of what is asked now; the newest question wins.
async function follow() {
  if (asking) asking.abort();
  const mine = asking = new AbortController();
  const solving = "Solving…", slow = setTimeout(() => say(solving), 150);
  const undo = document.getElementById("undo");
  if (undo) undo.disabled = !changed();
  try {
    for (const quick of [true, false]) { // the recipe first; what limits cost when the hand rests
      if (!quick) await new Promise((rested) => setTimeout(rested, 80));
      if (mine !== asking) return;
      const answer = await ask("/api/blend", question({ quick }), mine.signal);
      if (mine !== asking || !document.getElementById("recipe")) return;
      drink.answer = answer;
      if (!answer.answer) { conflictView(answer); break; }
      recipeView(answer, quick);
    }
    say(changed() ? "Changed, not saved" : "");
  } catch (error) {
    if (error.name === "AbortError" || !document.getElementById("recipe")) return;
    document.getElementById("recipe").replaceChildren(make("h2", {}, "Recipe"), shown(error));
    document.getElementById("holds").replaceChildren();
    say("");
  } finally {
    clearTimeout(slow);
    if (mine === asking && state.textContent === solving) say(""); // another view was opened meanwhile
  }
}

function recipeView(answer, quick) {
  const a = answer.answer;
  const cost = [figures(a.cost, 4) + " " + a.currency + " a litre", a.cost_per_bottle ? figures(a.cost_per_bottle, 3) + " a bottle" : "", a.cost_per_batch ? figures(a.cost_per_batch, 5) + " a batch" : ""].filter(Boolean).join(", ");
  const recipe = make("div", {}, make("h2", {}, "Cheapest recipe"), make("p", { class: "big", id: "cost" }, cost),
    table(["lingredient", "." + a.amount_unit, "." + a.currency], a.recipe.map((p) => [p.lot ? p.ingredient + ", lot " + p.lot : p.ingredient, String(p.amount), figures(p.cost, 3)])),
    make("h3", {}, "Instruments will show"), table(["lreading", ".value"], readings(a)));
  if (quick || !document.getElementById("cost")) document.getElementById("recipe").replaceChildren(recipe);
  const costs = (answer.limits || []).filter((l) => l.binding && l.kind !== "volume").map((l) => {
    const rate = l.side === "max" ? l.down : l.up || l.down;
    return [l.name, (l.side === "min" ? "at least " : "at most ") + l.value, rate && rate.cost_per_unit != null ? figures(rate.cost_per_unit, 3) : ""];
  });
  const holds = [make("h2", {}, "What holds it"), make("p", { class: "soft" }, "Cost of one unit more, " + a.currency + "/L")];
  holds.push(quick ? make("p", { class: "soft" }, "…") : table(["llimit", "l", ".+1"], costs) || make("p", {}, "No limit does."));
  holds.push(make("h3", {}, "Caps"), capsTable(a.caps), make("h3", {}, "Cautions"), cautionsList(a.cautions));
  document.getElementById("holds").replaceChildren(...holds);
  const values = {};
  for (const v of a.attributes) values[v.name] = v.value;
  for (const r of a.readings || []) values[r.name] = r.value;
  for (const field of main.querySelectorAll("fieldset")) drawRule(field, values[field.dataset.name] ?? null);
}

function readings(a) {
  const s = a.served, rows = [];
  if (!s) return rows;
  const add = (name, value, digits) => { if (value != null) rows.push([name, typeof value === "number" ? value.toFixed(digits) : value]); };
  if (s.ph_25_c != null) add("pH at 25 °C", s.highest_ph_25_c == null ? s.ph_25_c.toFixed(2) + " or more" : s.highest_ph_25_c - s.ph_25_c > 0.01 ? s.ph_25_c.toFixed(2) + " to " + s.highest_ph_25_c.toFixed(2) : s.ph_25_c, 2);
  add("titratable acidity, g/L", s.titratable_acidity_g_per_l, 2);
  add("refractometer, °Bx", s.refractometer_bx, 1);
  add("density at 20 °C, kg/L", s.density_20_c_kg_per_l, 4);
  for (const p of (a.carbonation && a.carbonation.pressures) || []) add("bottle pressure " + p.when + " (" + p.celsius + " °C), bar", p.gauge_bar, 1);
  return rows;
}

function conflictView(answer) {
  const c = answer.conflict, members = c.limits || c.members || [];
  const rows = members.map((m) => m.kind === "volume" ? ["volume", "the parts make up the litre"] : [m.name, (m.side === "min" ? "at least " : m.side === "max" ? "at most " : "") + (m.value == null ? "" : m.value)]);
  const ways = (c.changes || c.relaxations || []).map((r) => {
    const known = drink.brief.targets.some((t) => t.name === r.name);
    const button = known ? make("button", { type: "button", onclick: () => { const t = target(r.name); drink.targets[r.name] = { min: t.min, max: t.max, [r.side]: Number(r.to.toPrecision(5)) }; briefView(); follow(); } }, "Do this") : "";
    return [r.name + ": " + (r.side === "min" ? "at least " : "at most ") + figures(r.to, 4), r.cost == null ? "" : figures(r.cost, 3), button];
  });
  document.getElementById("recipe").replaceChildren(make("h2", {}, "This brief cannot be met"),
    make("div", { class: "wrong", role: "alert" }, make("p", {}, "These exclude each other:"), table(["llimit", "l"], rows)),
    make("h3", {}, "Any one of these would be enough"), table(["lchange", ".then costs, " + drink.brief.currency + "/L", "l"], ways) || make("p", {}, "No single change is enough."));
  document.getElementById("holds").replaceChildren();
  for (const field of main.querySelectorAll("fieldset")) drawRule(field, null);
}

// ---- how sure

async function stressView() {
  const at = document.getElementById("sure");
  at.replaceChildren(make("p", {}, "Drawing lots…"));
  try {
    const svg = await ask("/api/picture", question({ picture: "stress" }));
    at.replaceChildren(make("h2", {}, "How sure it is, as lots vary"), pictureOf(svg, "How caps and targets vary as lots vary"));
  } catch (error) { at.replaceChildren(shown(error)); }
}

// ---- saving

async function saveView() {
  if (!changed()) { say("Nothing was changed."); return; }
  const body = question({ fingerprint: drink.brief.fingerprint });
  await confirmed(body);
}

async function confirmed(body) {
  try {
    const { lines } = await ask("/api/changes", body);
    const dialog = make("dialog", { "aria-label": "What is written" }, make("h2", {}, "This is written into " + drink.file), diff(lines),
      make("div", { class: "row" }, make("button", { type: "button", id: "write", onclick: async () => {
        try { await ask("/api/save", body); dialog.close(); await open(drink.file); say("Saved; what stood there is in " + drink.file + ".bak"); }
        catch (error) { dialog.append(shown(error)); }
      } }, "Write it"), make("button", { type: "button", class: "plain", onclick: () => dialog.close() }, "Not now")));
    dialog.addEventListener("close", () => dialog.remove());
    document.body.append(dialog);
    dialog.showModal();
  } catch (error) { main.append(shown(error)); main.lastChild.scrollIntoView(); }
}

function diff(lines) {
  const pre = make("pre", {});
  for (const line of lines) pre.append(make("span", { class: line.mark === "+" ? "add" : line.mark === "-" ? "take" : null }, line.mark + " " + line.text + "\n"));
  return pre;
}

function textView(faults) {
  const b = drink.brief;
  const area = make("textarea", { "aria-label": "the brief's text", spellcheck: "false" });
  area.value = b.text;
  main.replaceChildren(make("h2", {}, b.file), faults ? faultsShown(faults) : "", area, make("div", { class: "row" },
    make("button", { type: "button", id: "write-text", disabled: b.demo, onclick: () => confirmed({ file: drink.file, text: area.value, fingerprint: b.fingerprint }) }, "Save…"),
    make("button", { type: "button", class: "plain", onclick: () => open(drink.file) }, "Back to the drink")));
}
