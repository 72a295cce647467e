// What every view is made with.

export const main = document.getElementById("main");
export const where = document.getElementById("where");
export const state = document.getElementById("state");

// make builds an element; children are text or elements, on* are listeners.
export function make(tag, attributes, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value != null) element.setAttribute(name, value);
  }
  for (const child of children.flat(Infinity)) if (child != null && child !== "") element.append(child);
  return element;
}

export function figures(x, n) {
  if (x == null) return "";
  if (x === 0 || Math.abs(x) < 1e-12) return "0";
  const decimals = Math.max(0, n - 1 - Math.floor(Math.log10(Math.abs(x))));
  return x.toFixed(Math.min(decimals, 12));
}

// table makes a table; a heading begins with l for words and . for figures. A stacked one becomes a list of cards
// where there is little room.
export function table(heads, rows, stacked) {
  if (!rows.length) return null;
  const cells = (tag, row) => row.map((cell, n) => make(tag, { class: heads[n][0] === "." ? "n" : null, scope: tag === "th" ? "col" : null, "data-label": tag === "td" ? heads[n].slice(1) : null }, cell));
  return make("div", { class: "scroll" }, make("table", { class: stacked ? "stacked" : null },
    make("thead", {}, make("tr", {}, cells("th", heads.map((h) => h.slice(1))))),
    make("tbody", {}, rows.map((row) => make("tr", {}, cells("td", row))))));
}

export class Refused extends Error {
  constructor(faults, there) { super(faults.join("\n")); this.faults = faults; this.there = there; }
}

export async function ask(path, body, signal) {
  const answer = await fetch(path, body === undefined ? { signal } : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal });
  if (answer.ok) return (answer.headers.get("Content-Type") || "").includes("json") ? answer.json() : answer.text();
  throw await refusal(answer);
}

async function refusal(answer) {
  let wrong;
  try { wrong = await answer.json(); } catch { wrong = { faults: [answer.status === 403 ? "This page is of another run of the program: open the address that it printed." : "the program answered " + answer.status] }; }
  return new Refused(wrong.faults, wrong.there);
}

// lines asks what is answered line by line, and hands each on; one with faults ends it.
export async function lines(path, body, each, signal) {
  const answer = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal });
  if (!answer.ok) throw await refusal(answer);
  let rest = "";
  for (const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader(); ;) {
    const { done, value } = await reader.read();
    rest += value || "";
    const whole = rest.split("\n");
    rest = whole.pop();
    for (const line of whole.filter(Boolean).map((l) => JSON.parse(l))) {
      if (line.faults) throw new Refused(line.faults);
      each(line);
    }
    if (done) return;
  }
}

export function faultsShown(faults) {
  return make("div", { class: "wrong", role: "alert" }, make("ul", { class: "plain" }, faults.map((line) => make("li", {}, line))));
}

export function shown(error) { return faultsShown(error.faults || ["The program does not answer: is it still running? (" + error.message + ")"]); }

export function say(text) { state.textContent = text; }

// link is the address of a view of some files.
export function link(view, ...files) { return "#" + [view, ...files.map(encodeURIComponent)].join("/"); }

// pictureOf shows a drawing that the program made.
export function pictureOf(svg, alt) {
  const picture = make("img", { class: "picture", alt });
  picture.src = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  picture.addEventListener("load", () => URL.revokeObjectURL(picture.src));
  return picture;
}

let fields = 0;

// field is a labelled box; attributes are those of the input.
export function field(label, attributes, after) {
  const id = attributes.id || "f" + ++fields;
  return make("div", { class: "field" }, make("label", { for: id }, label), make("input", Object.assign({ id, autocomplete: "off" }, attributes)), after || "");
}

// number reads a box; null when it is empty, NaN when it holds no number. A comma counts as a point.
export function number(text) {
  const plain = text.trim().replace(",", ".");
  return plain === "" ? null : Number(plain);
}

// capsTable shows how near a recipe comes to each cap that it touches; one that is not shown to hold is said so.
export function capsTable(caps) {
  return table(["lsubstance", "l", ".at most"], caps.filter((c) => c.guarded > 0 || c.accepted_unknown_in || !c.holds).map((c) => {
    if (c.accepted_unknown_in) return [c.substance + ", " + c.market, "", make("span", { class: "words" }, "not shown to hold: unknown in " + c.accepted_unknown_in.join(", "))];
    const used = c.max > 0 ? c.guarded / c.max : 1;
    const bar = make("span", { class: "bar" + (c.holds ? "" : " over"), role: "img", "aria-label": (100 * used).toFixed(0) + " % of the cap" }, make("i", {}));
    bar.firstChild.style.width = Math.min(100, 100 * used).toFixed(1) + "%";
    return [c.substance + ", " + c.market, bar, figures(c.guarded, 3) + " of " + c.max + " " + c.unit];
  })) || make("p", {}, "No capped substance is in it.");
}

export function cautionsList(cautions) { return make("ul", { class: "cautions" }, cautions.map((c) => make("li", {}, c.text, " ", make("span", { class: "soft" }, "[" + c.from + "]")))); }

// agree shows a question and waits for the answer.
export function agree(title, body, yes) {
  return new Promise((done) => {
    const dialog = make("dialog", { "aria-label": title }, make("h2", {}, title), body,
      make("div", { class: "row" }, make("button", { type: "button", id: "agree", onclick: () => dialog.close("yes") }, yes), make("button", { type: "button", class: "plain", onclick: () => dialog.close() }, "Not now")));
    dialog.addEventListener("close", () => { dialog.remove(); done(dialog.returnValue === "yes"); });
    document.body.append(dialog);
    dialog.showModal();
  });
}

// asking sends a question that replaces files; where one is there that holds something else it asks first.
export async function replacing(path, body) {
  try { return await ask(path, body); } catch (error) {
    if (!error.there) throw error;
    if (!await agree("Replace what is there?", make("p", {}, error.there + " is there already and holds something else. It would be kept as " + error.there + ".bak."), "Replace it")) return null;
    return replacing(path, Object.assign({}, body, { replace: true }));
  }
}
