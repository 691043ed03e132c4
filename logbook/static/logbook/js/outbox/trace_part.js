// The sheet for a recorder's file of a run that is itself still on this phone: the file waits for its run, and follows it.
import { make } from "./make.js";

const BOX = "recorders-file";

/**
 * @param {Document} page @param {object} item
 * @param {Element|null} judging what the run's own sheet was judged by, moved here; without it the server alone judges
 * @returns {HTMLElement[]} nothing for what is no run
 */
export function tracePart(page, { id, kind, title }, judging = null) {
  if (kind !== "run") return [];
  const part = make(page, "details", "", { className: "opens" });
  const sheet = make(page, "form", "", { method: "post", noValidate: true });
  Object.assign(sheet.dataset, { outbox: "trace", about: id, after: id, title: `Trace of ${title}` });
  const field = make(page, "div", "", { className: "field" });
  const box = make(page, "input", "", { name: "file", type: "file", id: `${BOX}-${id}` });
  field.append(make(page, "label", "The recorder's file", { htmlFor: box.id }), box);
  if (judging) sheet.append(judging);
  sheet.append(field, make(page, "button", "Add the trace", { className: "act" }));
  part.append(make(page, "summary", "Add the recorder's file", {}), sheet);
  return [part];
}
