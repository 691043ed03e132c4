// An item put back into its sheet to be put right: what was typed, the file, and what the server refused of it.
import { make } from "./make.js";
import { noted } from "./noted.js";
import { store } from "./store.js";

const GONE = "This is no longer here: the server has received it.";
const NO_SHEET = "The sheet that this was written on is no longer on this screen. It stays in the list of what is not sent.";

/**
 * Fill the sheet of a page from which an item came and that is still here, and say what the server refused of it.
 * @param {Document} page @param {string} id
 */
export async function broughtBack(page, id) {
  const item = await store.get("outbox", id);
  const sheets = [...page.querySelectorAll("form[data-outbox]")];
  const sheet = sheets.find(({ dataset }) => dataset.outbox === item?.kind && dataset.about === item.about);
  if (!sheet) return page.querySelector("#work").prepend(make(page, "p", item ? NO_SHEET : GONE, { className: "notice", role: "status" }));
  delete sheet.dataset.draft;
  sheet.dataset.item = id;
  fill(sheet, item.fields);
  refill(sheet, item.file);
  sheet.closest("details")?.setAttribute("open", "");
  if (sheets.length > 1) sheet.scrollIntoView({ block: "center" });
  refusals(sheet, item.refusal);
}

function fill(sheet, fields) {
  const typed = new Map(fields);
  for (const box of [...sheet.elements].filter(({ name }) => typed.has(name))) {
    if (["radio", "checkbox"].includes(box.type)) box.checked = typed.get(box.name) === box.value;
    else if (box.type !== "file") box.value = typed.get(box.name);
  }
}

// The file that was kept is chosen anew, so that its columns can be.
function refill(sheet, file) {
  const box = file && sheet.querySelector("input[type=file]");
  if (!box) return;
  const chosen = new DataTransfer();
  chosen.items.add(new File([file.bytes], file.name, { type: file.type }));
  box.files = chosen.files;
  box.dispatchEvent(new Event("change", { bubbles: true }));
}

function refusals(sheet, refusal) {
  if (!refusal) return;
  const page = sheet.ownerDocument;
  noted(sheet, `Needs you: ${refusal.words}`, "alert");
  for (const [name, words] of Object.entries(refusal.fields)) {
    const box = sheet.elements.namedItem(name);
    const place = (box instanceof page.defaultView.RadioNodeList ? box[0] : box)?.closest(".field");
    if (place) place.append(make(page, "span", words, { className: "error" }), ...reason(page, name, refusal.fields));
    if (place) place.classList.add("field-wrong");
  }
}

// What was asked about may be answered here: the reason goes with the mark of the question that it answers.
function reason(page, name, { [`asked_${name}`]: mark, [ofCheck(name)]: isAsked }) {
  if (!mark && !isAsked) return [];
  const id = `reason-${name}`;
  const box = make(page, "input", "", { name: mark ? `reason_${name}` : ofCheck(name), maxLength: 240, autocomplete: "off", id });
  const answered = mark ? [make(page, "input", "", { type: "hidden", name: `asked_${name}`, value: mark })] : [];
  return [make(page, "label", "Why it is so", { htmlFor: id }), box, ...answered];
}

// The box for the reason beside an answer to a check before a start, which is asked of that answer alone.
function ofCheck(name) {
  return name.startsWith("answer") ? name.replace("answer", "reason") : "";
}
