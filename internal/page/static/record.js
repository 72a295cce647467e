// A record, filled in at the kettle: one step at a time, written down and judged at once. What was written down is
// in the file, so the page can be closed at any time.
import { main, where, make, figures, ask, shown, say, link, field, number } from "./tools.js";

let files = null; // { file, record }: the brief and its record
let state = null; // the program's last answer
let at = 0; // 0 is who and when, then the steps, last the end
let asking = null;

export async function recordView(file, record) {
  files = { file, record };
  state = null;
  where.textContent = record;
  say("Reading…");
  const here = location.hash;
  try {
    const mine = files, answer = await ask("/api/record", files);
    if (mine !== files || location.hash !== here) return;
    state = answer;
    document.title = state.batch + " · Bittersum";
    where.textContent = state.brief + ", batch " + state.batch + " (" + record + ")";
    at = state.made_on === "" && state.by === "" ? 0 : nextOpen(1);
    main.replaceChildren(make("div", { class: "kettle" }, make("section", { id: "step", "aria-label": "This step" }), make("section", { id: "stands", "aria-label": "How the batch stands", "aria-live": "polite" }), make("nav", { id: "steps", "aria-label": "All steps" })));
    draw();
    say("");
  } catch (error) { main.replaceChildren(shown(error)); say(""); }
}

// isOpen says what of a step is open, or is empty.
function isOpen(step) { return step.value == null ? "open" : step.ask_lot && !step.lot_used ? "lot open" : ""; }

// nextOpen is the first step from there on with something left to write down, else the first at all, else the end.
function nextOpen(from) {
  const open = (step, n) => step.value == null && n + 1 >= from;
  let found = state.steps.findIndex(open);
  if (found < 0) found = state.steps.findIndex((step) => step.value == null);
  return found < 0 ? state.steps.length + 1 : found + 1;
}

// inUnit turns what is sent in grams into the unit of the step, and back, by moving the point.
const shift = (step, x, power) => x == null ? null : step.unit === "kg" && step.kind === "weighed" ? Number(Number(x) + "e" + power) : Number(x);
const inUnit = (step, x) => shift(step, x, -3);
const sent = (step, x) => shift(step, x, 3);
const plain = (x) => x == null ? "" : String(Number(x.toPrecision(7)));

function go(n) { at = n; draw(); main.querySelector("#step h2").focus(); window.scrollTo(0, 0); }

function draw() {
  stepsView();
  standsView(state);
  if (at === 0) headView(); else if (at > state.steps.length) endView(); else stepView(state.steps[at - 1]);
}

function stepsView() {
  const item = (n, title, value, open) => make("li", { class: n === at ? "here" : null }, make("button", { type: "button", class: "plain", "aria-current": n === at ? "step" : null, onclick: () => go(n) },
    make("span", {}, title), make("span", { class: "n" }, open ? make("span", { class: "soft" }, open) : value)));
  document.getElementById("steps").replaceChildren(make("h3", {}, "All steps"), make("ol", { class: "steps" },
    item(0, "When and who", [state.made_on, state.by].filter(Boolean).join(", "), state.made_on === "" ? "open" : ""),
    state.steps.map((step, n) => item(n + 1, step.title + (step.lot ? ", lot " + step.lot : ""), plain(inUnit(step, step.value)) + " " + step.unit, isOpen(step))),
    item(state.steps.length + 1, "The end", "", "")), elseView());
}

// elseView writes down what was not planned: another lot, another ingredient, another measurement.
function elseView() {
  const said = make("div", {});
  const list = (id, names) => make("datalist", { id }, names.map((name) => make("option", { value: name })));
  const unplanned = (kind, label, names, unit) => make("form", { class: "asks", onsubmit: async (event) => {
    event.preventDefault();
    try {
      const name = document.getElementById(kind + "-name").value.trim(), x = number(document.getElementById(kind + "-value").value);
      if (x === null || Number.isNaN(x)) throw Object.assign(new Error(), { faults: [name + ": a number, such as 3.1"] });
      await write({ [kind]: { [name]: x } });
      draw();
      say("Written down.");
    } catch (error) { said.replaceChildren(shown(error)); }
  } }, field(label, { id: kind + "-name", list: kind + "-list", required: true }), field(unit, { id: kind + "-value", inputmode: "decimal", required: true }), list(kind + "-list", names), make("button", { type: "submit", class: "plain" }, "Write down"));
  return make("details", {}, make("summary", {}, "Something that was not planned"), unplanned("weighed", "Went in too (NAME or NAME/LOT)", state.sources, "grams"), unplanned("measured", "Was measured too", state.measures, "value"), said);
}

function standsView(answer) {
  const m = answer.made, list = (findings) => make("ul", {}, findings.map((f) => make("li", {}, f.text + (f.to_do ? ". To do: " + f.to_do : "") + ".")));
  const wrong = (m.findings || []).filter((f) => f.class !== "note"), barred = m.verdict === "must not be sold";
  document.getElementById("stands").replaceChildren(make("div", { class: wrong.length ? "wrong" : "calm", role: barred ? "alert" : "status", id: "verdict" },
    make("p", { class: "big" }, m.says), wrong.length ? list(wrong) : "", m.correction ? make("p", {}, m.correction.says) : ""));
}

// write sends what was entered; only asks how it would stand. A newer question gives an older one up, but never
// something that is being written down.
async function write(body, only) {
  if (asking) asking.abort();
  asking = only ? new AbortController() : null;
  const answer = await ask("/api/record", Object.assign({ try: only }, files, body), only ? asking.signal : undefined);
  if (!only) state = answer;
  return answer;
}

function card(title, lead, boxes, save, after) {
  const said = make("div", { id: "said", role: "alert" });
  const form = make("form", { class: "card", onsubmit: async (event) => {
    event.preventDefault();
    said.replaceChildren();
    say("Writing…");
    const button = form.querySelector("#write-down");
    button.disabled = true; // written once
    try { await save(); say("Written down."); } catch (error) { said.replaceChildren(shown(error)); say(""); }
    button.disabled = false;
  } }, make("h2", { tabindex: "-1" }, title), make("p", {}, lead), boxes, said,
  make("div", { class: "row" }, make("button", { type: "submit", class: "large", id: "write-down" }, after || "Write down"),
    at > 0 ? make("button", { type: "button", class: "plain large", onclick: () => go(at - 1) }, "Back") : "",
    at <= state.steps.length ? make("button", { type: "button", class: "plain large", onclick: () => go(at + 1) }, "Later") : ""));
  document.getElementById("step").replaceChildren(form);
  return said;
}

function box(label, attributes, unit) {
  const id = attributes.id;
  return make("div", { class: "field large" }, make("label", { for: id }, label), make("div", { class: "with-unit" }, make("input", Object.assign({ autocomplete: "off" }, attributes)), unit ? make("span", {}, unit) : ""));
}

function headView() {
  card("When and who", "Batch " + state.batch + ", planned for " + state.planned_on + ".",
    [box("Made on", { id: "made-on", type: "date", value: state.made_on || state.today, max: state.today }), box("By", { id: "by", type: "text", value: state.by })],
    async () => {
      await write({ made_on: document.getElementById("made-on").value, by: document.getElementById("by").value.trim() });
      go(nextOpen(1));
    });
}

// readBox reads the number of a step; what is no number, or below zero, is refused here already.
function readBox(step) {
  const [, text, unit] = /^(.*?)\s*(kg|g)?$/.exec(document.getElementById("value").value.trim()); // a unit may be said
  const x = number(text);
  if (x === null || Number.isNaN(x)) throw Object.assign(new Error(), { faults: [step.title + ": a number, such as " + (plain(inUnit(step, step.planned)) || "3.1")] });
  return { [step.kind]: { [step.name]: sent(unit ? { kind: step.kind, unit } : step, x) } };
}

function stepView(step) {
  const planned = step.planned == null ? "Not planned." : step.kind === "weighed"
    ? "Weigh in " + plain(inUnit(step, step.planned)) + " " + step.unit + (step.division ? ", in steps of " + plain(inUnit(step, step.division)) + " " + step.unit : "") + "."
    : "Planned: " + figures(step.planned, 4) + " " + step.unit + "." + (step.follows == null ? "" : " By what is weighed: " + figures(step.follows, 4) + (step.spread ? ", give or take " + figures(step.spread, 2) : "") + ".");
  const check = make("p", { id: "check", role: "status" });
  let waiting = null;
  const value = box(step.kind === "weighed" ? "Weighed" : "Found", { id: "value", type: "text", inputmode: "decimal", value: plain(inUnit(step, step.value)), oninput: () => {
    clearTimeout(waiting);
    waiting = setTimeout(async () => {
      try { const answer = await write(readBox(step), true); offOf(check, answer.steps.find((s) => s.kind === step.kind && s.name === step.name)); standsView(answer); }
      catch (error) { if (error.name !== "AbortError") check.textContent = document.getElementById("value").value.trim() === "" ? "" : (error.faults || [error.message]).join("; "); }
    }, 300);
  } }, step.unit);
  const lot = step.ask_lot ? box("Lot on the package", { id: "lot-used", type: "text", value: step.lot_used || "" }) : "";
  card(step.title + (step.lot ? ", lot " + step.lot : ""), planned, [value, lot, check], async () => {
    clearTimeout(waiting);
    const body = readBox(step), used = step.ask_lot ? document.getElementById("lot-used").value.trim() : "";
    if (used) body.goods = { [step.name]: used };
    await write(body);
    go(nextOpen(at + 1));
  });
  offOf(check, step);
  document.getElementById("value").focus();
}

// offOf says how far a value is off what was planned, or off what follows from what was weighed.
function offOf(check, step) {
  if (!step || step.value == null || step.off == null) { check.textContent = ""; return; }
  const off = inUnit(step, step.off), words = (off > 0 ? "+" : "") + plain(Number(off.toPrecision(3))) + " " + step.unit;
  check.textContent = (off === 0 ? "As planned." : words + (step.kind === "weighed" ? " against the plan." : " against what follows from what was weighed.")) + (step.check ? " Check it." : "");
  check.className = step.check ? "wrong" : "soft";
}

function endView() {
  const open = state.steps.filter((step) => step.value == null).length;
  const note = make("textarea", { id: "note", class: "short" });
  note.value = state.note;
  const again = make("input", { type: "checkbox", id: "again" });
  const booked = make("pre", { id: "booked", class: "wraps", role: "status", hidden: true });
  const book = make("button", { type: "button", class: "large", id: "book", onclick: async () => {
    said.replaceChildren();
    try {
      await write({ draw: true, again: again.checked });
      standsView(state);
      booked.hidden = false;
      booked.textContent = state.booked || "Nothing had to be booked.";
    } catch (error) { said.replaceChildren(shown(error)); }
  } }, "Book what was taken");
  const books = state.shelf || state.register ? [make("h3", {}, "The shelf"), make("p", {}, "What was taken of each lot is booked in the lots file" + (state.register ? ", and the batch in the register" : "") + ". Booked again, the same record corrects itself."), make("div", { class: "row" }, book), make("details", {}, make("summary", {}, "If the number is booked already"), make("label", { class: "use" }, again, "what is booked under this number without saying by which record is this one's")), booked] : [make("p", { class: "soft" }, "The brief names no lots file of your own, so nothing is booked.")];
  const said = card("The end", open ? open + (open === 1 ? " value is" : " values are") + " still open." : "All is written down.",
    [make("div", { class: "field" }, make("label", { for: "note" }, "Anything worth keeping"), note)],
    async () => { await write({ note: document.getElementById("note").value.trim().replace(/\s*\n\s*/g, "; ") }); draw(); }, "Keep the note");
  document.getElementById("step").append(...books, make("p", {}, make("a", { href: link("label", files.file, files.record) }, "Draft the label of this batch")), state.register ? make("p", {}, make("a", { href: link("register", files.file) }, "Release it, in the register")) : "",
    make("details", {}, make("summary", {}, "All that the program says of it"), make("pre", {}, state.says)));
}
