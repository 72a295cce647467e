// A plan of several drinks over months: what to order, what to make, and what becomes of it if something happens.
import { main, where, make, figures, table, lines, shown, say, field, agree } from "./tools.js";
import { choice, sideBySide, told, valueOf } from "./whatif.js";

let asking = null;

export function planView(file, name, ...scenarios) {
  document.title = "A plan · Bittersum";
  where.textContent = (name || file) + " (" + file + ")";
  const events = (id, label, example) => field(label, { id, placeholder: example });
  main.replaceChildren(make("h2", {}, "Plan several drinks"), make("form", { class: "asks", id: "plan-form", onsubmit: (event) => { event.preventDefault(); plan(file, false); } },
    choice("If", "plan-if", [["", "nothing happens"], ...scenarios.map((s) => [s, s]), ...(scenarios.length ? [["*", "any of these may happen"]] : [])]),
    make("details", {}, make("summary", {}, "Or if"), make("div", { class: "asks" }, events("plan-fails", "this cannot be had", "NAME@2027-05..2027-06"), events("plan-price", "this price moves", "NAME=+30%@2027-05"), events("plan-demand", "demand moves", "DRINK=+20%"),
      field("Also write orders and batches into", { id: "plan-book", placeholder: "orders.xlsx" }))),
    make("button", { type: "submit", id: "plan-ask" }, "Plan"), make("button", { type: "button", class: "plain", id: "plan-stop", hidden: true, onclick: () => asking && asking.abort() }, "Stop")),
    make("section", { id: "plan", "aria-label": "Plan" }));
}

async function plan(file, replace) {
  const mine = asking = new AbortController(), at = document.getElementById("plan"), stop = document.getElementById("plan-stop");
  const list = (id) => valueOf(id).split(";").map((x) => x.trim()).filter(Boolean), when = valueOf("plan-if");
  at.replaceChildren(make("p", {}, "Planning; this can take a minute…"));
  stop.hidden = false;
  try {
    await lines("/api/plan", { file, if: when === "*" ? "" : when, hedge: when === "*", fails: list("plan-fails"), price: list("plan-price"), demand: list("plan-demand"), book: valueOf("plan-book"), replace }, (line) => {
      if (line.progress) say("Planning: " + line.progress);
      if (line.told) answerView(at, line);
    }, mine.signal);
  } catch (error) {
    if (error.there && await agree("Replace what is there?", make("p", {}, error.there + " is there already and holds something else. It would be kept as " + error.there + ".bak."), "Replace it")) return plan(file, true);
    at.replaceChildren(error.name === "AbortError" ? make("p", {}, "Stopped.") : shown(error));
  } finally { stop.hidden = true; say(""); }
}

function answerView(at, line) {
  const answer = line.told, p = answer.answer;
  if (!p.orders && !p.makes) { at.replaceChildren(make("pre", { role: "alert" }, answer.says)); return; }
  const money = (x) => x.toFixed(2);
  const orders = p.orders || [], makes = p.makes || [], drinks = p.drinks || [];
  const made = p.periods.map((period) => [period, ...drinks.map((d) => makes.filter((m) => m.period === period && m.drink === d.name).map((m) => figures(m.amount, 4) + (m.batches ? " in " + m.batches + (m.batches === 1 ? " batch" : " batches") : "") + (d.recipes.length > 1 ? ", recipe " + m.recipe : "")).join("; ") || "-")]);
  at.replaceChildren(make("p", { class: "big", id: "plan-cost" }, "It costs " + money(p.cost) + " " + p.currency + "; no plan costs less than " + money(Math.floor(100 * p.bound) / 100) + "."), line.wrote ? make("p", { role: "status" }, "Written into " + line.wrote + ".") : "",
    line.scenario ? make("pre", {}, answer.says) : "", ...(p.notes || []).map((n) => make("p", { class: "wrong" }, n)),
    make("h3", {}, "What to order"), table(["lon", "lof", "lwhat", ".amount", ".price", ".cost, " + p.currency, "lusable from"], orders.map((o) => [o.on, o.supplier, o.item, figures(o.amount, 4) + " " + o.unit, figures(o.price, 4), money(o.cost), o.usable_from]), true) || make("p", {}, "Nothing."),
    make("h3", {}, "What to make, in litres as made"), table(["l", ...drinks.map((d) => "l" + d.name)], made),
    ...drinks.filter((d) => d.recipes.length).flatMap((d) => [make("h3", {}, d.name), sideBySide(d.recipes.map((_, n) => "recipe " + (n + 1)), d.recipes)]),
    ...told(answer, "Stock and purchases, recipes and cost by period"));
}
