// On a phone a long sheet is walked through, one to three boxes a screen; without this it is one page.

const PHONE = "(max-width: 47.99rem)";

/**
 * Walk through every sheet that asks for it, with Next in the flow under its boxes.
 * @param {Document} page
 */
export function sheetsWalked(page) {
  if (!page.defaultView.matchMedia(PHONE).matches) return;
  for (const sheet of page.querySelectorAll("form[data-steps]")) walk(sheet);
}

function walk(sheet) {
  const steps = [...sheet.querySelectorAll("[data-step]")];
  const show = (at, focus) => {
    steps.forEach((step, k) => (step.hidden = k !== at));
    if (focus) enter(steps[at]);
  };
  steps.forEach((step, at) => step.append(ways(step, at, steps.length, show)));
  sheet.classList.add("walked");
  sheet.addEventListener("keydown", (event) => onEnter(event, steps));
  sheet.ownerDocument.addEventListener("click", (event) => onLink(event, steps, show));
  const wrong = steps.findIndex((step) => step.querySelector(".field-wrong"));
  show(Math.max(wrong, 0), false);
}

function ways(step, at, count, show) {
  const page = step.ownerDocument;
  const area = page.createElement("div");
  area.className = "step-ways";
  const isLast = at === count - 1;
  if (!isLast) area.append(button(page, "Next", "main-act", "next", () => show(at + 1, true)));
  if (at) area.append(button(page, "Back", "act", "back", () => show(at - 1, true)));
  if (at && !isLast) area.append(button(page, "To the end", "act", "end", () => show(count - 1, true)));
  const place = page.createElement("p");
  place.className = "quiet small step-place";
  place.textContent = `Part ${at + 1} of ${count}`;
  area.append(place);
  return area;
}

function button(page, words, look, way, press) {
  const made = page.createElement("button");
  made.type = "button";
  made.className = look;
  made.dataset.way = way;
  made.textContent = words;
  made.addEventListener("click", press);
  return made;
}

function enter(step) {
  const first = step.querySelector("input:not([type=hidden]), select, textarea") ?? step.querySelector("button");
  first.focus();
  step.scrollIntoView({ block: "nearest" });
}

// Enter in a box goes on; only the last screen's own button sends the sheet.
function onEnter(event, steps) {
  const isBox = event.target.matches("input:not([type=radio], [type=checkbox])");
  if (event.key !== "Enter" || !isBox) return;
  const next = event.target.closest("[data-step]").querySelector("[data-way=next]");
  if (!next) return;
  event.preventDefault();
  next.click();
}

// A link to a box, as from the list of what is wrong, opens the screen that the box stands on.
function onLink(event, steps, show) {
  const address = event.target.closest("a[href^='#']")?.getAttribute("href");
  const box = address && address.length > 1 && event.target.ownerDocument.getElementById(address.slice(1));
  const at = box ? steps.findIndex((step) => step.contains(box)) : -1;
  if (at < 0) return;
  event.preventDefault();
  show(at, false);
  box.focus();
  box.scrollIntoView({ block: "center" });
}
