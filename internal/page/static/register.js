// The register of batches: how each stands, its release, that it is withheld, and to whom its bottles went. It is only
// ever added to.
import { main, where, make, table, ask, shown, say, field, number } from "./tools.js";

let file = ""; // a brief that names the register
let book = null;

export async function registerView(brief) {
  file = brief;
  document.title = "The register · Bittersum";
  where.textContent = brief;
  const here = location.hash;
  try { book = await ask("/api/register", { file }); if (location.hash === here) draw(); } catch (error) { main.replaceChildren(shown(error)); }
}

function draw() {
  where.textContent = book.register;
  const rows = [...book.batches].reverse().map((b) => [b.batch, b.made_on, b.verdict, b.state, b.bottles ? String(b.bottles) : "", b.sold ? String(b.sold) : "",
    make("div", { class: "tight" }, make("button", { type: "button", class: "plain", "data-batch": b.batch, "aria-label": "Open batch " + b.batch, onclick: () => decideView(b) }, "Open"))]);
  main.replaceChildren(make("h2", {}, "The register of batches"), make("div", { role: "status" }, book.done ? make("p", { class: "calm", id: "decided" }, book.done) : ""),
    table(["lbatch", "lmade on", "lverdict", "lstate", ".bottles", ".sold", "l"], rows, true) || make("p", {}, "No batch is in it."), make("section", { id: "decide", "aria-label": "A batch" }),
    ...(book.torn || []).map((line) => make("p", { class: "wrong" }, "Line " + line + " cannot be read: it was cut short, as by a loss of power.")),
    make("p", { class: "soft" }, "Nothing above the last line was changed. Its seal, the SHA-256 of the file, to be noted where nobody writes in it: ", make("code", {}, book.seal)));
}

function decideView(b) {
  const said = make("div", {});
  const send = (what, boxes, word) => make("form", { class: "asks", onsubmit: async (event) => {
    event.preventDefault();
    const form = event.target, value = (name) => { const box = form.querySelector("[name=" + name + "]"); return box ? box.value.trim() : ""; };
    try {
      const bottles = number(value("bottles"));
      if (Number.isNaN(bottles) || (bottles !== null && !Number.isInteger(bottles))) throw Object.assign(new Error(), { faults: ["bottles: a whole number, such as 48"] });
      book = await ask("/api/register", { file, batch: b.batch, what, by: value("by"), reason: value("reason"), best_before: value("best"), to: value("to"), bottles: bottles || 0, on: value("on") });
      draw();
      say("Entered.");
    } catch (error) { said.replaceChildren(shown(error)); }
  } }, boxes, make("button", { type: "submit", "data-what": what }, word));
  document.getElementById("decide").replaceChildren(...[make("h3", { tabindex: "-1" }, "Batch " + b.batch + ": " + b.state),
    b.made_on || b.verdict ? [
      send("released", [field("Released by", { name: "by" }), field("Why, if it misses its brief", { name: "reason" }), field("Best before, if not the record's", { name: "best", type: "date" })], "Release it"),
      send("withheld", [field("Withheld by", { name: "by" }), field("Why", { name: "reason" })], "Withhold it"),
      send("sold", [field("Went to", { name: "to" }), field("Bottles (below zero: came back)", { name: "bottles", inputmode: "numeric" }), field("On", { name: "on", type: "date" })], "Enter it")] : make("p", {}, "It is planned and not made yet: what was taken is booked at the end of its record."),
    said, make("details", {}, make("summary", {}, "All that stands of it"), make("pre", {}, b.says))].flat());
  document.querySelector("#decide h3").focus();
}
