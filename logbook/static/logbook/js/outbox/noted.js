// One sentence at the head of a sheet, about what became of it on this device.
import { make } from "./make.js";

/** @param {HTMLFormElement} sheet @param {string} words @param {"status"|"alert"} role */
export function noted(sheet, words, role) {
  const page = sheet.ownerDocument;
  const place = sheet.querySelector("[data-kept-note]") ?? sheet.insertBefore(make(page, "p", "", {}), sheet.firstChild);
  place.dataset.keptNote = "";
  place.className = "notice";
  place.setAttribute("role", role);
  place.textContent = words;
}
