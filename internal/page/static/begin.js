// A drink begun with a recipe that the maker has: its file, where it is sold, what its words mean, then the brief.
import { main, where, make, ask, shown, say, link, field, number, replacing } from "./tools.js";
import { choice, valueOf } from "./whatif.js";
import { wordsAsked, list } from "./words.js";

let said = { columns: {}, names: {} }; // what words mean, as far as it was said
let known = null;

export async function beginView() {
  document.title = "Begin a drink · Bittersum";
  where.textContent = "";
  said = { columns: {}, names: {} };
  try { known = await ask("/api/begin", {}); } catch (error) { main.replaceChildren(shown(error)); return; }
  const upload = make("input", { type: "file", id: "begin-upload", accept: ".csv,.xlsx,.toml", onchange: async () => {
    const file = upload.files[0];
    if (!file) return;
    try {
      const text = await new Promise((done, failed) => { const reader = new FileReader(); reader.onload = () => done(reader.result); reader.onerror = () => failed(reader.error); reader.readAsDataURL(file); });
      const kept = await replacing("/api/upload", { name: file.name, data: text.slice(text.indexOf(",") + 1) });
      if (kept) { document.getElementById("begin-recipe").value = kept.name; say(kept.name + " is in this folder now."); }
    } catch (error) { document.getElementById("begin-answer").replaceChildren(shown(error)); }
  } });
  main.replaceChildren(make("h2", {}, "Begin a drink with a recipe"), make("p", {}, "What people notice of it becomes what is asked for, one just noticeable difference either way. It is in .csv, .xlsx or .toml: ingredients and grams a litre, percent, kg, g or mL."),
    make("form", { class: "asks", onsubmit: (event) => { event.preventDefault(); send(false); } },
      field("Recipe in this folder", { id: "begin-recipe", list: "begin-recipes", required: true, value: known.recipes[0] || "" }), make("div", { class: "field" }, make("label", { for: "begin-upload" }, "or one from elsewhere"), upload),
      field("The drink is called", { id: "begin-drink", placeholder: "as the recipe" }), field("New folder for it", { id: "begin-folder", required: true, placeholder: "lemon" }),
      make("fieldset", { id: "begin-markets" }, make("legend", {}, "For sale in"), known.places.map((p) => make("label", { class: "use" }, make("input", { type: "checkbox", value: p.name }), p.title))),
      make("label", { class: "use" }, make("input", { type: "checkbox", id: "begin-carbonated" }), "carbonated"),
      make("details", {}, make("summary", {}, "More"), make("div", { class: "asks" }, field("Syrup for a throw of", { id: "begin-throw", placeholder: "1+5" }), field("mL in a bottle", { id: "begin-bottle", inputmode: "decimal" }), field("Litres of a batch", { id: "begin-batch", inputmode: "decimal" }),
        field("Currency", { id: "begin-currency", value: known.currency }), choice("Is it a spirit drink", "begin-spirit", [["", "not said"], ["yes", "yes"], ["no", "no"]]))),
      make("button", { type: "submit", id: "begin-ask" }, "See")), list("begin-recipes", known.recipes), list("word-names", known.names), list("word-columns", known.columns), make("section", { id: "begin-answer", "aria-label": "The brief" }));
}

async function send(write) {
  const at = document.getElementById("begin-answer"), sized = (id) => { const x = number(valueOf(id)); if (Number.isNaN(x)) throw Object.assign(new Error(), { faults: [valueOf(id) + " is no number"] }); return x || 0; };
  say("Reading…");
  try {
    const spirit = valueOf("begin-spirit");
    const answer = await ask("/api/begin", Object.assign({ recipe: valueOf("begin-recipe"), folder: valueOf("begin-folder"), drink: valueOf("begin-drink"), markets: [...document.querySelectorAll("#begin-markets input:checked")].map((b) => b.value), carbonated: document.getElementById("begin-carbonated").checked,
      throw: valueOf("begin-throw"), bottle_ml: sized("begin-bottle"), batch_l: sized("begin-batch"), currency: valueOf("begin-currency"), spirit: spirit === "" ? null : spirit === "yes", write }, said));
    if (answer.file) location.hash = "#" + encodeURIComponent(answer.file);
    else if (answer.asked) at.replaceChildren(wordsAsked(answer.asked, said, () => send(false)));
    else at.replaceChildren(make("h3", {}, "This becomes the brief"), answer.keeps_caps ? "" : make("p", { class: "wrong", role: "alert" }, "The recipe does not keep the caps. Not to be made or sold as it is."), make("pre", { id: "begin-says" }, answer.says),
      make("button", { type: "button", id: "begin-write", onclick: () => send(true) }, "Write it"), make("details", {}, make("summary", {}, "Its text"), make("pre", {}, answer.brief)));
  } catch (error) { at.replaceChildren(shown(error)); }
  say("");
}
