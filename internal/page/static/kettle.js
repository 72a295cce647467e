// A batch: planned from lots, its sheet shown as it is printed, sheet and record written.
import { main, where, make, figures, table, ask, shown, say, link, field, number, replacing } from "./tools.js";

let batch = null; // what is asked for; see batchQuestion of the program
let asking = null;

export async function batchView(file) {
  batch = { file, litres: null, day: "", without: [], cheapest: false, number: "", paper: "a4", throw: "", scale: "", allowance: null };
  document.title = "A batch · Bittersum";
  where.textContent = file;
  main.replaceChildren(make("h2", {}, "Plan a batch"),
    make("form", { class: "asks", id: "batch-form", onsubmit: (event) => event.preventDefault() },
      field("Litres", { id: "litres", inputmode: "decimal", oninput: later }),
      field("Made on", { id: "day", type: "date", onchange: later }),
      make("div", { class: "field" }, make("label", { for: "paper" }, "Paper"), make("select", { id: "paper", onchange: (event) => { batch.paper = event.target.value; plan(); } }, make("option", { value: "a4" }, "A4"), make("option", { value: "letter" }, "Letter"))),
      make("label", { class: "use" }, make("input", { type: "checkbox", id: "cheapest", onchange: (event) => { batch.cheapest = event.target.checked; plan(); } }), "cheapest lots first, not what expires first"),
      make("details", {}, make("summary", {}, "More"), make("div", { class: "asks" },
        field("Syrup for a throw of (1+5)", { id: "throw", oninput: later }), field("Scales, g (200:0.01,6000:1)", { id: "scale", oninput: later }),
        field("Number, if not the next free one", { id: "number", oninput: later }), field("Stay clear of limits by, % of the errors", { id: "allowance", inputmode: "decimal", placeholder: "100", oninput: later })))),
    make("section", { id: "lots", "aria-label": "Lots" }), make("section", { id: "planned", "aria-label": "Batch sheet" }));
  await plan();
}

let waiting = null;
function later() { clearTimeout(waiting); waiting = setTimeout(plan, 350); }

async function plan() {
  if (asking) asking.abort();
  const mine = asking = new AbortController();
  const litres = number(document.getElementById("litres").value);
  if (Number.isNaN(litres)) { document.getElementById("planned").replaceChildren(make("p", { class: "wrong", role: "alert" }, "Litres: a number, such as 250.")); return; }
  batch.litres = litres;
  for (const name of ["throw", "scale", "number"]) batch[name] = document.getElementById(name).value.trim();
  const allowance = number(document.getElementById("allowance").value);
  batch.allowance = allowance === null || Number.isNaN(allowance) ? null : Number(allowance + "e-2");
  batch.day = document.getElementById("day").value;
  const slow = setTimeout(() => say("Solving…"), 150);
  try {
    const answer = await ask("/api/batch", batch, mine.signal);
    if (mine !== asking || !document.getElementById("planned")) return;
    where.textContent = answer.name + " (" + batch.file + ")";
    const box = document.getElementById("litres"), day = document.getElementById("day");
    if (box.value === "") box.placeholder = String(answer.litres);
    if (day.value === "") day.value = answer.day;
    lotsView(answer.lots);
    planView(answer);
    say("");
  } catch (error) {
    if (error.name === "AbortError" || !document.getElementById("planned")) return;
    document.getElementById("planned").replaceChildren(shown(error));
    say("");
  } finally { clearTimeout(slow); }
}

function lotsView(lots) {
  const rows = lots.map((l) => {
    const box = make("input", { type: "checkbox", "data-lot": l.number, checked: !l.left_out && !l.not_usable_because, disabled: !!l.not_usable_because, onchange: () => {
      batch.without = batch.without.filter((n) => n !== l.number);
      if (!box.checked) batch.without.push(l.number);
      plan();
    } });
    return [make("label", { class: "use" }, box, l.number), l.ingredient, figures(l.left_kg, 4), l.best_before || "", l.not_usable_because || (l.left_out ? "left out" : "")];
  });
  const focused = document.activeElement && document.activeElement.dataset.lot;
  document.getElementById("lots").replaceChildren(make("h3", {}, "Lots that may be used"),
    table(["llot", "lingredient", ".left, kg", "lbest before", "l"], rows, true) || make("p", { class: "soft" }, "No lot of what this drink may use is on the shelf: all is weighed from what you buy."));
  if (focused) { const again = document.querySelector('[data-lot="' + CSS.escape(focused) + '"]'); if (again) again.focus(); }
}

// sheetAddress is where the program shows the sheet of this very batch.
function sheetAddress(answer) {
  const query = new URLSearchParams({ file: batch.file, day: answer.day, number: answer.number, paper: batch.paper, litres: answer.litres, record: answer.record });
  for (const lot of batch.without) query.append("without", lot);
  if (batch.cheapest) query.set("cheapest", "1");
  for (const name of ["throw", "scale"]) if (batch[name]) query.set(name, batch[name]);
  if (batch.allowance !== null) query.set("allowance", batch.allowance);
  return "/sheet?" + query;
}

function planView(answer) {
  const at = document.getElementById("planned");
  if (answer.says) { at.replaceChildren(make("h3", {}, "There is no such batch"), make("pre", { role: "alert", id: "no-batch" }, answer.says)); return; }
  const p = answer.plan, address = sheetAddress(answer);
  const frame = make("iframe", { class: "sheet", id: "sheet", src: address, title: "Batch sheet of " + answer.number });
  const sheet = field("Sheet", { id: "sheet-file", value: answer.sheet, spellcheck: "false" }), record = field("Record to fill in", { id: "record-file", value: answer.record, spellcheck: "false" });
  const said = make("div", { id: "written", role: "status" });
  const write = async () => {
    said.replaceChildren();
    try {
      const body = Object.assign({}, batch, { number: answer.number, shown: answer.shown, sheet: document.getElementById("sheet-file").value.trim(), record: document.getElementById("record-file").value.trim() });
      const done = await replacing("/api/batch/write", body);
      if (!done) return;
      said.replaceChildren(make("p", {}, "Written: " + done.written.join(", ") + "."), body.record ? make("p", {}, make("a", { href: link("record", batch.file, done.written[done.written.length - 1]) }, "Fill the record in, at the kettle")) : "");
    } catch (error) { said.replaceChildren(shown(error)); }
  };
  at.replaceChildren(make("h3", {}, "Batch " + answer.number),
    make("p", { class: "big", id: "batch-cost" }, figures(p.yield.litres, 4) + " L, " + (p.yield.bottles ? p.yield.bottles + " bottles, " : "") + p.cost.total.toFixed(2) + " " + p.assessment.currency),
    make("div", { class: "row" }, make("button", { type: "button", id: "print", onclick: () => frame.contentWindow.print() }, "Print the sheet"), make("a", { href: address, target: "_blank", rel: "noopener" }, "Open it alone")),
    make("div", { class: "asks" }, sheet, record, make("button", { type: "button", id: "write-batch", onclick: write }, "Write sheet and record")),
    make("p", { class: "soft" }, "Both are plain files in " + answer.writes + "; an empty name writes none."), said, make("div", { class: "scroll" }, frame));
}
