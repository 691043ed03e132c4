// The sheet for a recorder's file of a run that is itself still on this phone: the file waits for its run, and follows it.
import { make } from "./make.js";
import { pages } from "../phone/pages.js";

const BOX = "recorders-file";

/**
 * @param {Document} page @param {import("./items.js").Item} item
 * @param {Element|null} judging what the run's own sheet was judged by, moved here; else that of the sheet as it is kept
 * @returns {HTMLElement[]} nothing for what is no run
 */
export function tracePart(page, item, judging = null) {
  const { id, kind, title } = item;
  if (kind !== "run") return [];
  const part = make(page, "details", "", { className: "opens" });
  const sheet = make(page, "form", "", { method: "post", noValidate: true });
  Object.assign(sheet.dataset, { outbox: "trace", about: id, after: id, title: `Trace of ${title}` });
  const field = make(page, "div", "", { className: "field" });
  const box = make(page, "input", "", { name: "file", type: "file", id: `${BOX}-${id}` });
  field.append(make(page, "label", "The recorder's file", { htmlFor: box.id }), box);
  if (judging) sheet.append(judging);
  sheet.append(field, make(page, "button", "Add the trace", { className: "act" }));
  if (!judging) judgedOnceOpen(part, sheet, item);
  part.append(make(page, "summary", "Add the recorder's file", {}), sheet);
  return [part];
}

// A file can be chosen once it is there by what it is judged.
function judgedOnceOpen(part, sheet, item) {
  const box = sheet.elements.namedItem("file");
  box.disabled = true;
  const ready = async () => {
    sheet.prepend(...(await judgingKept(sheet.ownerDocument, item).catch(() => [])));
    box.disabled = false;
  };
  part.addEventListener("toggle", ready, { once: true });
}

// None where the run's sheet is kept on this phone no longer: then the server alone judges.
async function judgingKept(page, { author, path }) {
  const { html = "" } = (await pages.find(author, path)) ?? {};
  const given = new DOMParser().parseFromString(html, "text/html").querySelector("#judging");
  if (!given) return [];
  given.removeAttribute("id");
  given.dataset.judging = "";
  return [page.adoptNode(given)];
}
