// What the headings and names of a spreadsheet mean: said once and kept beside it.
import { main, where, make, ask, shown, say, field } from "./tools.js";
import { choice, valueOf } from "./whatif.js";

export const list = (id, names) => make("datalist", { id }, names.map((name) => make("option", { value: name })));

// wordsAsked asks what words mean, into said, and goes on. Nothing is guessed: each is answered, or left out.
export function wordsAsked(asked, said, on) {
  const id = (n) => "word-" + n;
  return make("form", { onsubmit: (event) => {
    event.preventDefault();
    asked.forEach((q, n) => { said[q.column ? "columns" : "names"][q.word] = valueOf(id(n)); });
    on();
  } }, make("h3", {}, "What do these mean?"), asked.map((q, n) => {
    const box = field((q.column ? "The heading " : "") + "“" + q.word + "”" + (q.line ? ", line " + q.line : "") + (q.example ? ", such as " + q.example : ""), { id: id(n), list: q.column ? "word-columns" : "word-names", required: true });
    const take = (value, text) => make("button", { type: "button", class: "plain", onclick: () => { document.getElementById(id(n)).value = value; } }, text);
    return make("div", { class: "asks" }, box, q.likely.map((l) => take(l.name, l.title)), take("-", "Leave it out"));
  }), make("button", { type: "submit", id: "words-on" }, "Go on"));
}

export async function wordsView() {
  document.title = "Words of a spreadsheet · Bittersum";
  where.textContent = "";
  let known, said = null;
  try { known = await ask("/api/words", {}); } catch (error) { main.replaceChildren(shown(error)); return; }
  const at = make("section", { "aria-label": "How it is read" }), columns = list("word-columns", []);
  const send = async () => {
    say("Reading…");
    try {
      const answer = await ask("/api/words", Object.assign({ file: valueOf("words-file"), as: valueOf("words-as"), sheet: valueOf("words-sheet"), currency: valueOf("words-currency"), decimal: valueOf("words-decimal") }, said));
      columns.replaceChildren(...(answer.columns || []).map((name) => make("option", { value: name })));
      at.replaceChildren(answer.asked ? wordsAsked(answer.asked, said, send) : make("pre", { id: "words-says" }, answer.says));
    } catch (error) { at.replaceChildren(shown(error)); }
    say("");
  };
  main.replaceChildren(make("h2", {}, "What the words of a spreadsheet mean"), make("p", {}, "What is said is kept beside it, in a file of its name and .words.toml, and asked no more."),
    make("form", { class: "asks", onsubmit: (event) => { event.preventDefault(); said = { columns: {}, names: {} }; send(); } }, field("Spreadsheet in this folder", { id: "words-file", list: "words-files", required: true, value: known.tables[0] || "" }),
      choice("It holds", "words-as", [["prices", "prices"], ["lots", "lots"], ["recipe", "a recipe"], ["ingredients", "ingredients of your own"]]),
      make("details", {}, make("summary", {}, "More"), make("div", { class: "asks" }, field("Worksheet", { id: "words-sheet" }), field("Currency, where it does not say", { id: "words-currency" }), choice("Decimal sign", "words-decimal", [["", "as its numbers show"], ["point", "point"], ["comma", "comma"]]))),
      make("button", { type: "submit", id: "words-ask" }, "Read it")), list("words-files", known.tables), list("word-names", known.names), columns, at);
}
