// What shows a photo that is kept on this phone, and the sheet for a photo of what has no screen of its own yet.
import { make } from "./make.js";

const PICTURED = new Set(["run", "answer", "finding"]);
const ANY = "image/*";
const READABLE = "image/jpeg,image/png,image/webp";

/** Parts of a page about photos. */
export const photoParts = {
  /**
   * The small picture of a photo that is kept, and how large the whole one is.
   * @param {Document} page @param {object} item @returns {HTMLElement[]} nothing for an item without one
   */
  picture(page, { preview, title, file }) {
    if (!preview) return [];
    const image = make(page, "img", "", { src: preview, alt: title, className: "photo-kept" });
    return [image, make(page, "p", `${Math.round(file.bytes.byteLength / 1000)} kB`, { className: "quiet small" })];
  },

  /**
   * A sheet for a photo of what was recorded without signal.
   * @param {Document} page @param {object} item @returns {HTMLElement[]} nothing where no photo is taken of it
   */
  sheet(page, { id, title, kind }) {
    if (!PICTURED.has(kind)) return [];
    const part = make(page, "details", "", { className: "opens" });
    const sheet = make(page, "form", "", { method: "post" });
    Object.assign(sheet.dataset, { outbox: "photo", about: `item/${id}`, after: id, title: `Photo of ${title}` });
    const taken = boxed(page, `taken-${id}`, "Take a photo", { name: "file", type: "file", accept: ANY });
    taken.lastChild.setAttribute("capture", "environment");
    const chosen = boxed(page, `chosen-${id}`, "Or a picture from this device", { name: "chosen", type: "file", accept: READABLE });
    const caption = boxed(page, `caption-${id}`, "What it shows", { name: "caption", type: "text", maxLength: 240, autocomplete: "off" });
    sheet.append(taken, chosen, caption, make(page, "button", "Add the photo", { className: "act" }));
    part.append(make(page, "summary", "Add a photo", {}), sheet);
    return [part];
  },
};

function boxed(page, id, words, facts) {
  const field = make(page, "div", "", { className: "field" });
  field.append(make(page, "label", words, { htmlFor: id }), make(page, "input", "", { ...facts, id }));
  return field;
}
