// Tastings and what batches teach: questions with their boxes, answered in the program's words.
import { main, where, make, ask, replacing, shown, say, field, number } from "./tools.js";
import { choice, valueOf } from "./whatif.js";

const tests = [["triangle", "triangle: which of three is the odd one"], ["duo-trio", "duo-trio: which of two is the reference"], ["paired", "paired: which of two is stronger"], ["3-afc", "three-alternative: which of three is strongest"], ["tetrad", "tetrad: four cups into two pairs"]];
const box = (label, id, value, more) => field(label, Object.assign({ id, value }, more));
const count = { inputmode: "numeric" }, share = { inputmode: "decimal" };
const kept = () => [make("label", { class: "use" }, make("input", { type: "checkbox", id: "t-into" }), "write what was found over the profiles of this folder")];

// Each question: its title, its boxes, and what is asked with them.
const questions = {
  tasters: ["How many tasters does a test need?", () => [choice("Test", "t-test", tests), box("% of people who can tell, not to be missed", "t-notice", "30", share), box("% of certainty to find it out", "t-power", "80", share)], () => ({ test: valueOf("t-test"), notice: figure("t-notice"), power: figure("t-power") })],
  sheet: ["A server's sheet", () => [choice("Test", "t-test", tests), box("Tasters", "t-tasters", "24", count), box("What A is", "t-a", "today's drink"), box("What B is", "t-b", "the changed drink"), box("Another number for each tasting", "t-seed", "1", count)], () => ({ test: valueOf("t-test"), tasters: figure("t-tasters"), seed: figure("t-seed"), a: valueOf("t-a"), b: valueOf("t-b") })],
  score: ["What do the answers say?", () => [choice("Test", "t-test", tests), box("Right answers", "t-right", "", count), box("of", "t-of", "", count), box("% of people who may tell, to be called alike", "t-alike", "30", share),
    make("details", {}, make("summary", {}, "Keep them"), make("div", { class: "asks" }, box("in the file", "t-keep", "", { placeholder: "answers.toml" }), box("What A was", "t-a", ""), box("What B was", "t-b", ""), box("Note", "t-note", ""), box("The one attribute that was changed", "t-attribute", ""), box("from", "t-base", "", share), box("to", "t-changed", "", share)))],
    () => ({ test: valueOf("t-test"), right: figure("t-right"), of: figure("t-of"), alike: figure("t-alike"), keep: valueOf("t-keep"), a: valueOf("t-a"), b: valueOf("t-b"), note: valueOf("t-note"), attribute: valueOf("t-attribute"), base: figure("t-base"), changed: figure("t-changed") })],
  noticed: ["What do your tasters just notice?", () => [box("File of kept answers", "t-file", "answers.toml"), kept()], () => ({ file: valueOf("t-file"), into: document.getElementById("t-into").checked })],
  panel: ["What do marks on a line say?", () => [box("The panel's file", "t-file", "panel.toml"), kept()], () => ({ file: valueOf("t-file"), into: document.getElementById("t-into").checked })],
  method: ["How is a bitterness value tasted?", () => [], () => ({})],
  bitter: ["The bitterness value from a file", () => [box("File of what tasters found", "t-file", "gentian.toml")], () => ({ file: valueOf("t-file") })],
};

function figure(id) {
  const x = number(valueOf(id));
  if (Number.isNaN(x)) throw Object.assign(new Error(), { faults: [valueOf(id) + " is no number"] });
  return x || 0;
}

// asks shows a form whose answer is the program's own words.
function asks(at, boxes, send) {
  const answer = make("div", { class: "answer" });
  at.replaceChildren(make("form", { class: "asks", onsubmit: async (event) => {
    event.preventDefault();
    say("Reckoning…");
    try { const said = await send(); if (said) answer.replaceChildren(make("pre", { id: "says" }, said.says)); } catch (error) { answer.replaceChildren(shown(error)); }
    say("");
  } }, boxes, make("button", { type: "submit", id: "t-ask" }, "See")), answer);
}

export function tastingView() {
  document.title = "Tastings · Bittersum";
  where.textContent = "Tastings";
  const at = make("section", { "aria-label": "Question" });
  const show = (name) => asks(at, questions[name][1](), () => replacing("/api/taste", Object.assign({ ask: name }, questions[name][2]())));
  main.replaceChildren(make("h2", {}, "Tongues as an instrument"), make("p", { class: "soft" }, "Quinine and plants of restricted use are tasted and spat out, and not by those who must avoid them."),
    choice("Question", "t-question", Object.entries(questions).map(([name, [title]]) => [name, title])), at);
  document.getElementById("t-question").addEventListener("change", (event) => show(event.target.value));
  show("tasters");
}

export async function learnView(file) {
  document.title = "What batches teach · Bittersum";
  where.textContent = file;
  const papers = await ask("/api/papers"), records = papers.records.filter((r) => r.brief_file === file && !r.faults);
  const at = make("section", { "aria-label": "Records" });
  main.replaceChildren(make("h2", {}, "What batches teach"), make("p", {}, "What was weighed and measured tells what ingredients really bring. Take all records every time: what is written replaces what was written before."), at);
  asks(at, [make("fieldset", { id: "t-records" }, make("legend", {}, "Records"), records.length ? records.map((r) => make("label", { class: "use" }, make("input", { type: "checkbox", value: r.file, checked: true }), r.batch + ", " + (r.made_on || "not made yet"))) : "There is no record of this drink."),
    box("Infusions on the bench (files, with ; between)", "t-infusions", ""), box("Leave out (BATCH/NAME, with ; between)", "t-without", ""), box("Variation where none is known, %", "t-assumed", "30", share), kept()], () => {
    const list = (id) => valueOf(id).split(";").map((x) => x.trim()).filter(Boolean);
    return replacing("/api/fit", { file, records: [...at.querySelectorAll("#t-records input:checked")].map((b) => b.value), infusions: list("t-infusions"), without: list("t-without"), assumed: figure("t-assumed"), into: document.getElementById("t-into").checked });
  });
}
