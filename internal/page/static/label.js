// Drafts of labels, one for each market, each line with the rule that asks for it; of a drink, or of a batch as made.
import { choice } from "./whatif.js";
import { main, where, make, table, ask, shown, say, field, number } from "./tools.js";

let asked = null;

export async function labelView(file, record) {
  asked = { file, record: record || "", recipe: "", nutrients: {} };
  document.title = "Label · Bittersum";
  where.textContent = record ? record + ", a batch as made" : file;
  main.replaceChildren(make("h2", {}, "The label, a draft"), make("div", { id: "of", class: "asks" }), make("div", { id: "known" }), make("form", { class: "asks", id: "label-print", onsubmit: (event) => { event.preventDefault(); trueSize(); } },
    field("Label, width x height in mm", { id: "label-size", value: "90x60" }), field("Bottle, diameter x height in mm", { id: "label-bottle", placeholder: "60x120" }), make("button", { type: "submit", class: "plain", id: "label-show" }, "At true size, to print")), make("div", { id: "printed" }), make("div", { id: "labels" }));
  await draft();
}

const rule = (r) => make("span", { class: "soft" }, r.citation === "practice" ? "[practice]" : "[" + r.citation + ", text " + r.text + "]");

async function draft() {
  say("Drafting…");
  try {
    const body = asked, answer = await ask("/api/label", body);
    if (body !== asked || !document.getElementById("labels")) return;
    where.textContent = answer.answer.brief + (asked.record ? ", batch in " + asked.record : " (" + asked.file + ")");
    recipeView(answer.recipes);
    knownView(answer.nutrients);
    document.getElementById("labels").replaceChildren(...answer.answer.labels.map((l) => make("section", { class: "label", "aria-label": answer.titles[l.market] }, make("h3", {}, answer.titles[l.market]),
      make("dl", {}, (l.lines || []).map((line) => [make("dt", {}, line.part), make("dd", {}, line.wording, make("div", {}, rule(line.rule)), line.note ? make("div", { class: "soft" }, "(" + line.note + ")") : "")])),
      l.panel ? panelView(l.panel) : "")));
  } catch (error) { document.getElementById("labels").replaceChildren(shown(error)); }
  say("");
}

function panelView(p) {
  const daily = p.rows.some((r) => r.daily_value);
  const view = table(["l" + p.title, ...p.columns.map((c) => "." + c), ...(daily ? [".% daily value"] : [])],
    p.rows.map((r) => [make("span", { class: r.indent ? "indent" : null }, r.name), ...r.amounts, ...(daily ? [r.daily_value || ""] : [])]));
  view.firstChild.classList.add("panel");
  return [view, (p.below || []).map((text) => make("p", {}, text)), make("ul", { class: "plain" }, p.rules.map((r) => make("li", {}, rule(r))), (p.notes || []).map((note) => make("li", { class: "soft" }, "(" + note.replace(/--nutrient \w+=G gives/, "the box above takes") + ")")))];
}

// trueSize shows the labels as they are printed.
async function trueSize() {
  const address = "/labels?" + new URLSearchParams({ q: JSON.stringify(asked), size: document.getElementById("label-size").value, bottle: document.getElementById("label-bottle").value }), at = document.getElementById("printed");
  try { await ask(address); } catch (error) { at.replaceChildren(shown(error)); return; }
  at.replaceChildren(make("p", {}, make("a", { href: address, target: "_blank" }, "Open it alone, to print")), make("div", { class: "scroll" }, make("iframe", { class: "sheet", src: address, title: "Labels at true size" })));
}

// recipeView chooses the recipe; a batch is what was made.
function recipeView(files) {
  const at = document.getElementById("of");
  if (asked.record || at.firstChild || !files.length) return;
  at.append(choice("Of", "label-recipe", [["", "the cheapest recipe"], ...files.map((file) => [file, file])]));
  at.querySelector("select").addEventListener("change", (event) => { asked = Object.assign({}, asked, { recipe: event.target.value }); document.getElementById("printed").replaceChildren(); draft(); });
}

// knownView asks for the figures that the profiles do not know.
function knownView(names) {
  const at = document.getElementById("known");
  if (at.firstChild) return;
  at.append(make("details", {}, make("summary", {}, "Figures that the profiles do not know, in g per 100 mL as served"), make("form", { class: "asks", onsubmit: (event) => {
    event.preventDefault();
    const nutrients = {};
    for (const name of names) { const x = number(document.getElementById("n-" + name).value); if (x !== null) nutrients[name] = x; }
    if (Object.values(nutrients).some(Number.isNaN)) { say("A figure is no number."); return; }
    asked = Object.assign({}, asked, { nutrients });
    draft();
  } }, names.map((name) => field(name, { id: "n-" + name, inputmode: "decimal" })), make("button", { type: "submit" }, "Draft it with these"))));
}
