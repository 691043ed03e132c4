// A list by keyboard: J or down to the next row, K or up to the one before, Home, End, X chooses. Enter follows the link
// that has the focus, as it does everywhere.
const STEPS = { j: 1, ArrowDown: 1, k: -1, ArrowUp: -1 };

function isTyping(target) {
  return target.matches("input:not([type=checkbox]), select, textarea, summary, [contenteditable]");
}

// In the panel beside the list one is at the row that stands open in it.
function placeOf(target, links) {
  const isBeside = target.closest("#beside") !== null;
  return links.findIndex((link) => (isBeside ? link.ariaCurrent === "true" : link.closest("tr").contains(target)));
}

function placeFor(key, here, count) {
  if (key === "Home") return 0;
  if (key === "End") return count - 1;
  if (here < 0) return STEPS[key] > 0 ? 0 : count - 1;
  return Math.min(Math.max(here + STEPS[key], 0), count - 1);
}

function rowKeyed(event, list) {
  if (event.altKey || event.ctrlKey || event.metaKey || isTyping(event.target)) return;
  const links = [...list.querySelectorAll("[data-row-opens]")];
  const here = placeOf(event.target, links);
  const isInList = list.contains(event.target);
  if (event.key === "x" && here >= 0) {
    const box = links[here].closest("tr").querySelector("input[type=checkbox]");
    if (box) box.click();
  } else if (event.key in STEPS || (isInList && (event.key === "Home" || event.key === "End"))) {
    // Arrows scroll the page as ever until a row has the focus; J and K begin anywhere.
    if (!isInList && event.key.startsWith("Arrow")) return;
    links[placeFor(event.key, here, links.length)]?.focus();
  } else return;
  event.preventDefault();
}

export function rowsKeyed(root) {
  const list = root.querySelector("[data-rows]");
  if (list) root.addEventListener("keydown", (event) => rowKeyed(event, list));
}
