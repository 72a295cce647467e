// The page asks the program what its commands would answer and shows it. It reckons nothing of its own. Each view
// is a file of its own; the address says which is shown: #drink.toml, or #view/of/what.
import { main, where, make, figures, table, ask, shown, say, link } from "./tools.js";
import { open } from "./drink.js";
import { batchView } from "./kettle.js";
import { recordView } from "./record.js";
import { shelfView } from "./shelf.js";
import { labelView } from "./label.js";
import { registerView } from "./register.js";
import { planView } from "./plan.js";
import { knownView } from "./known.js";
import { beginView } from "./begin.js";
import { wordsView } from "./words.js";
import { tastingView, learnView } from "./tasting.js";

// ---- the list of briefs

async function list() {
  where.textContent = "";
  say("Looking through the folder…");
  main.replaceChildren(make("p", {}, "…"));
  try {
    const answer = await ask("/api/briefs");
    document.title = "Bittersum: " + answer.folder;
    where.textContent = answer.folder;
    const row = (b) => {
      const link = make("a", { href: "#" + encodeURIComponent(b.file) }, b.name);
      const about = b.faults ? b.faults.length + (b.faults.length === 1 ? " fault: " : " faults: ") + b.faults[0] : b.unmet ? "cannot be met" : b.cap ? b.cap : "";
      return [make("span", {}, link, make("div", { class: "soft" }, b.file)), b.cost_per_bottle == null ? (b.cost_per_litre == null ? "" : figures(b.cost_per_litre, 4) + " " + b.currency + "/L") : figures(b.cost_per_bottle, 3) + " " + b.currency + " a bottle",
        b.least_head_room == null ? "" : (100 * b.least_head_room).toFixed(0) + " %", about];
    };
    const shelf = (title, briefs) => [make("h2", {}, title), table(["ldrink", ".cost", ".least head-room", "lcap or what is wrong"], briefs.map(row), true) || make("p", {}, "There is no brief in this folder: bittersum init makes one.")];
    const demo = (b) => b.file.startsWith("demo:");
    const papers = await ask("/api/papers");
    if (location.hash.length > 1) return; // another view was opened meanwhile
    main.replaceChildren(...shelf("Drinks", answer.briefs.filter((b) => !demo(b))), make("p", {}, make("a", { href: link("begin", ""), id: "begin" }, "Begin a drink with a recipe that you have")), ...batches(papers.records), make("h2", {}, "The shelf and the books"), make("ul", { class: "plain" }, (papers.lots.length ? papers.lots : ["lots.toml"]).map((file) => make("li", {}, make("a", { href: link("shelf", file) }, file), papers.lots.length ? "" : " (made with its first lot)")), registers(answer.briefs), make("li", {}, make("a", { href: link("tastings", "") , id: "tastings" }, "Tastings")), make("li", {}, make("a", { href: link("known", ""), id: "known-link" }, "What is known of ingredients")), make("li", {}, make("a", { href: link("words", ""), id: "words-link" }, "Words of spreadsheets"))), ...plans(papers.plans), ...shelf("Demos", answer.briefs.filter(demo)));
    say("");
  } catch (error) { main.replaceChildren(shown(error)); say(""); }
}

// batches lists the records, those with something open first.
function batches(records) {
  if (!records.length) return [];
  records.sort((a, b) => (b.open > 0) - (a.open > 0) || b.file.localeCompare(a.file));
  return [make("h2", {}, "Batches"), table(["lbatch", "ldrink", "lmade on", "lwritten down"], records.map((r) => [
    make("span", {}, r.brief_file ? make("a", { href: link("record", r.brief_file, r.file) }, r.batch) : r.batch, make("div", { class: "soft" }, r.file)), r.brief, r.made_on || "",
    r.faults ? r.faults[0] : !r.brief_file ? "no brief here is called " + r.brief : r.open ? r.of - r.open + " of " + r.of : "all"]), true)];
}

function plans(known) {
  const begin = async () => { try { const { file, left_out } = await ask("/api/plan/begin", {}); location.hash = link("plan", file).slice(1); say(left_out ? "Left out: " + left_out.join("; ") : ""); } catch (error) { main.prepend(shown(error)); } };
  return [make("h2", {}, "Plans of several drinks"), make("ul", { class: "plain", id: "plans" }, known.map((p) => make("li", {}, make("a", { href: link("plan", p.file, p.name, ...(p.scenarios || [])) }, p.name), make("span", { class: "soft" }, " " + p.file))),
    known.some((p) => p.file === "plan.toml") ? "" : make("li", {}, make("button", { type: "button", class: "plain", id: "begin-plan", onclick: begin }, "Begin a plan of these drinks")))];
}

// registers lists each register once, by a brief that names it.
function registers(briefs) {
  const seen = new Map(briefs.filter((b) => b.register).map((b) => [b.register, b.file]));
  return [...seen].map(([name, file]) => make("li", {}, make("a", { href: link("register", file) }, name), ", the register of batches"));
}

const views = { batch: batchView, record: recordView, shelf: shelfView, label: labelView, register: registerView, plan: planView, tastings: tastingView, learn: learnView, known: knownView, begin: beginView, words: wordsView };

function route() {
  const parts = location.hash.slice(1).split("/").map(decodeURIComponent);
  if (parts.length > 1 && views[parts[0]]) views[parts[0]](...parts.slice(1));
  else if (parts[0]) open(parts[0]);
  else list();
}

window.addEventListener("hashchange", route);
document.getElementById("home").addEventListener("click", (event) => { event.preventDefault(); location.hash = ""; if (!location.hash) route(); });
route();
