// The shelf: the lots of a file, how each stands, what is done to one, and where it went.
import { main, where, make, figures, table, ask, shown, say, field, number } from "./tools.js";

let shelf = null; // the program's last answer

export async function shelfView(file) {
  where.textContent = file;
  document.title = "The shelf · Bittersum";
  say("Reading…");
  const here = location.hash;
  try { shelf = await ask("/api/lots", { file }); if (location.hash === here) draw(); say(""); } catch (error) { main.replaceChildren(shown(error)); say(""); }
}

function draw() {
  const rows = shelf.lots.items.map((l) => [
    make("span", {}, l.number, l.supplier || l.delivery_note ? make("div", { class: "soft" }, [l.supplier, l.delivery_note].filter(Boolean).join(", ")) : ""), l.ingredient, figures(l.left_kg, 5), String(l.quantity_kg), l.price_per_kg == null ? "" : String(l.price_per_kg), l.best_before || "",
    l.not_usable_because ? make("strong", {}, l.not_usable_because) : "yes",
    make("div", { class: "tight" }, make("button", { type: "button", class: "plain", "aria-label": "Change lot " + l.number, "data-change": l.number, onclick: () => changeView(l) }, "Change"), make("button", { type: "button", class: "plain", "aria-label": "Trace lot " + l.number, "data-trace": l.number, onclick: () => traceView(l.number) }, "Trace"))]);
  const name = make("input", { type: "text", id: "trace-name", list: "batches", autocomplete: "off" });
  main.replaceChildren(make("h2", {}, "On the shelf, first out first, on " + shelf.day), make("div", { id: "done", role: "status" }, shelf.done ? make("p", { class: "calm" }, shelf.done) : ""),
    table(["llot", "lingredient", ".left, kg", ".of", ".paid per kg", "lbest before", "lmay be used", "l"], rows, true) || make("p", {}, "Nothing is on the shelf yet."),
    make("form", { class: "asks", onsubmit: (event) => { event.preventDefault(); if (name.value.trim()) traceView(name.value.trim()); } },
      make("div", { class: "field" }, make("label", { for: "trace-name" }, "Trace a batch or a lot"), name, make("datalist", { id: "batches" }, shelf.batches.map((b) => make("option", { value: b })))),
      make("button", { type: "submit", class: "plain" }, "Trace")),
    make("section", { id: "change", "aria-label": "Change a lot" }), make("section", { id: "trace", "aria-label": "Trace" }), addForm());
}

const changes = [["hold", "Hold: into no batch until it is released"], ["release", "Release"], ["refuse", "Refuse"], ["write-off", "Write off: spoilt, spilt, given away"], ["adjust", "Adjust: what is left, as after counting"]];

function changeView(lot) {
  const what = make("select", { id: "what", onchange: () => { kg.hidden = !["write-off", "adjust"].includes(what.value); kg.querySelector("label").textContent = what.value === "adjust" ? "kg that are left" : "kg that are gone"; } }, changes.map(([value, text]) => make("option", { value }, text)));
  const kg = field("kg that are gone", { id: "change-kg", inputmode: "decimal" }), said = make("div", {});
  kg.hidden = true;
  document.getElementById("change").replaceChildren(make("h3", { tabindex: "-1" }, "Lot " + lot.number + " of " + lot.ingredient + ", " + figures(lot.left_kg, 5) + " kg left, " + lot.state),
    make("form", { class: "asks", onsubmit: async (event) => {
      event.preventDefault();
      try {
        const amount = kg.hidden ? null : number(document.getElementById("change-kg").value);
        shelf = await ask("/api/lots/change", { file: shelf.file, name: lot.number, what: what.value, kg: amount, reason: document.getElementById("reason").value.trim(), by: document.getElementById("change-by").value.trim() });
        draw();
      } catch (error) { said.replaceChildren(shown(error)); }
    } }, make("div", { class: "field" }, make("label", { for: "what" }, "What is done"), what), kg,
    field("Why", { id: "reason", required: true }), field("By", { id: "change-by" }), make("button", { type: "submit", id: "change-lot" }, "Do it"), make("button", { type: "button", class: "plain", onclick: () => document.getElementById("change").replaceChildren() }, "Not now")), said);
  document.getElementById("change").scrollIntoView({ block: "nearest" });
  what.focus();
}

async function traceView(name) {
  const at = document.getElementById("trace");
  try {
    const answer = await ask("/api/lots/trace", { file: shelf.file, name });
    const named = (batch) => make("button", { type: "button", class: "plain", onclick: () => traceView(batch) }, batch);
    const batches = answer.items.map((t) => {
      const into = t.lots.map((l) => [named(l.lot), l.ingredient, figures(l.kg, 5), l.on || ""]).concat(Object.entries(t.goods || {}).map(([ingredient, lot]) => [named(lot), ingredient, "", ""]));
      const sold = (t.sold || []).map((s) => [s.to, String(s.bottles), s.on]);
      return [make("h4", {}, "Batch ", named(t.batch), t.made ? ", made on " + (t.made.made_on || "") + ": " + t.made.verdict : "", t.decided ? ", " + t.decided.what : ""),
        table(["llot in it", "lingredient", ".kg", "lon"], into) || "", sold.length ? table(["lwent to", ".bottles", "lon"], sold) : "", t.made && t.made.bottles ? make("p", {}, t.made.bottles + " bottles were filled, " + t.bottles_left + " are not sold.") : ""];
    });
    at.replaceChildren(make("h3", {}, "Where " + name + " went, and came from"), ...(batches.length ? batches.flat() : [make("p", {}, "No batch holds lot " + name + ".")]),
      ...(shelf.register ? [] : [make("p", { class: "soft" }, "No register is here that a brief names, so customers and goods without a lot are not known.")]),
      batches.length ? make("p", {}, make("a", { href: "/trace?" + new URLSearchParams({ file: shelf.file, name }), target: "_blank", rel: "noopener" }, "To print, as for a recall")) : "");
  } catch (error) { at.replaceChildren(shown(error)); }
  at.scrollIntoView({ block: "nearest" });
}

function addForm() {
  const said = make("div", {}), value = (id) => document.getElementById("add-" + id).value.trim(), contents = make("div", {});
  const content = () => {
    const n = contents.children.length;
    contents.append(make("div", { class: "asks" }, field("Certificate: what", { id: "add-content-" + n, list: "attributes" }), field("per gram", { id: "add-per-" + n, inputmode: "decimal" }), field("standard deviation", { id: "add-sd-" + n, inputmode: "decimal" })));
  };
  content();
  const amount = (id) => { const x = number(value(id)); if (Number.isNaN(x)) throw Object.assign(new Error(), { faults: [id + ": " + value(id) + " is no number"] }); return x; };
  const send = async (event) => {
    event.preventDefault();
    try {
      const lot = { number: value("number"), ingredient: value("ingredient"), kg: amount("kg"), price: amount("price"), pack_kg: amount("pack") || 0, moisture: (amount("moisture") || 0) / 100, received: value("received"), best_before: value("best"), supplier: value("supplier"), delivery_note: value("note"), held: document.getElementById("add-held").checked, reason: value("why"), sure: value("sure"), contents: {} };
      for (let n = 0; n < contents.children.length; n++) if (value("content-" + n)) lot.contents[value("content-" + n)] = { per_g: amount("per-" + n) ?? 0, sd: amount("sd-" + n) || 0 };
      shelf = await ask("/api/lots/add", { file: shelf.file, lot });
      draw();
      main.scrollIntoView();
    } catch (error) { said.replaceChildren(shown(error)); }
  };
  return make("details", { class: "add" }, make("summary", {}, "Add a lot"), make("form", { id: "add", onsubmit: send },
    make("div", { class: "asks" }, field("Lot", { id: "add-number", required: true }), field("Ingredient", { id: "add-ingredient", list: "ingredients", required: true }), field("kg", { id: "add-kg", inputmode: "decimal", required: true }), field("Paid per kg", { id: "add-price", inputmode: "decimal" }), field("Best before", { id: "add-best", type: "date" }), field("Received", { id: "add-received", type: "date", value: shelf.day })),
    make("div", { class: "asks" }, field("Supplier", { id: "add-supplier" }), field("Delivery note", { id: "add-note" }), field("kg in a pack", { id: "add-pack", inputmode: "decimal" }), field("Moisture on the certificate, %", { id: "add-moisture", inputmode: "decimal" })),
    contents, make("button", { type: "button", class: "plain", onclick: content }, "Another certificate value"),
    make("div", { class: "asks" }, make("label", { class: "use" }, make("input", { type: "checkbox", id: "add-held" }), "hold it at once"), field("Why it is held", { id: "add-why" }), field("Why a value far from the profile is right", { id: "add-sure" })),
    make("datalist", { id: "ingredients" }, shelf.ingredients.map((name) => make("option", { value: name }))), make("datalist", { id: "attributes" }, shelf.attributes.map((name) => make("option", { value: name }))),
    said, make("button", { type: "submit", id: "add-lot" }, "Add it")));
}
