// What is known of an ingredient, an attribute or a market: each figure with its source, in the program's words.
import { main, where, make, ask, shown, say, link, field } from "./tools.js";

export async function knownView(file, name) {
  document.title = (name || "What is known") + " · Bittersum";
  where.textContent = file || "";
  say("Reading…");
  const at = make("section", { id: "known", "aria-label": "What is known of it" }), names = make("datalist", { id: "known-names" }), here = location.hash;
  main.replaceChildren(make("h2", {}, "What is known"), make("form", { class: "asks", onsubmit: (event) => { event.preventDefault(); location.hash = link("known", file || "", document.getElementById("known-name").value.trim()).slice(1); } },
    field("Ingredient, attribute or market", { id: "known-name", list: "known-names", value: name || "", required: true }), names, make("button", { type: "submit", id: "known-ask" }, "See"),
    file ? make("a", { class: "go", href: "#" + encodeURIComponent(file) }, "Back to the drink") : ""), at);
  try {
    let answer;
    try { answer = await ask("/api/known", { file: file || "", name: name || "" }); } catch (error) { at.append(shown(error)); answer = await ask("/api/known", { file: file || "" }); }
    if (location.hash !== here) return;
    names.append(...answer.names.map((n) => make("option", { value: n })));
    if (answer.says) at.replaceChildren(make("pre", { id: "known-says" }, answer.says));
  } catch (error) { at.replaceChildren(shown(error)); }
  say("");
}
