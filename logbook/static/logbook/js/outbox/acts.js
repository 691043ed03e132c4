// What the author of an unsent item can do with it: change it, put it right, save its file, set it aside.
import { box } from "./box.js";
import { make } from "./make.js";
import { sender } from "./sender.js";

const BUSY = "Something is being sent just now. Try again in a moment.";

/** The acts on a card of the screen "Not sent yet". */
export const acts = {
  /** @param {Document} page @param {import("./items.js").Item} item @returns {Node[]} those that its state allows */
  of(page, item) {
    if (item.state === "refused") return [...putRight(page, item), aside(page, item)];
    return item.state === "kept" && item.kind !== "photo" ? changing(page, item) : [];
  },

  /** @param {Document} page @param {string} words @param {() => void} act @param {string} look @returns {HTMLElement} */
  button(page, words, act, look = "act") {
    const made = make(page, "button", words, { type: "button", className: look });
    made.addEventListener("click", act);
    return made;
  },
};

// It can be changed until it is on its way: held back first, so that what is sent is what its author last kept.
function changing(page, item) {
  const address = addressOf(item);
  if (item.held) return [beside(page, make(page, "a", "Change it", { className: "act", href: address }), acts.button(page, "Send it as it is", () => released(item)))];
  const said = make(page, "p", "", { role: "status" });
  const change = async () => ((await sender.hold(item.id)) ? page.location.assign(address) : (said.textContent = BUSY));
  return [acts.button(page, "Change it", change), said];
}

async function released(item) {
  await box.mark(item.id, { held: false });
  await sender.now({ hurry: true });
}

function addressOf({ path, id }) {
  return `${path}?item=${id}`;
}

function putRight(page, item) {
  // A photo is taken anew, and this one kept elsewhere or set aside.
  if (item.kind === "photo") return [acts.button(page, "Save this file", () => saved(page, item))];
  const way = make(page, "a", "Put it right", { className: "act", href: addressOf(item) });
  if (!item.file) return [way];
  return [beside(page, way, acts.button(page, "Save this file", () => saved(page, item)))];
}

// Apart by as much as a finger needs.
function beside(page, ...parts) {
  const line = make(page, "div", "", { className: "acts" });
  line.append(...parts);
  return line;
}

function saved(page, item) {
  const link = make(page, "a", "", { href: URL.createObjectURL(new Blob([item.file.bytes])), download: item.file.name });
  link.click();
  URL.revokeObjectURL(link.href);
}

function aside(page, item) {
  const part = make(page, "details", "", {});
  const box_ = make(page, "input", "", { id: `aside-${item.id}`, maxLength: 240, autocomplete: "off" });
  const label = make(page, "label", "Why it is not sent", { htmlFor: box_.id });
  const act = acts.button(page, "Set it aside", () => box_.value.trim() && box.setAside(item, box_.value.trim()));
  part.append(make(page, "summary", "Set it aside", {}), label, box_, act);
  return part;
}
