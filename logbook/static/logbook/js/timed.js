// What the event timer measured is put into the run's sheet, with a note; a person may type over it, and both are kept.

/**
 * Take over what was timed into each sheet of a run.
 * @param {Document} page
 */
export function timesTaken(page) {
  const store = page.defaultView.localStorage;
  for (const sheet of page.querySelectorAll("form[data-timer]")) {
    const waiting = `${sheet.dataset.timer}:handed`;
    const handed = JSON.parse(store.getItem(waiting));
    if (handed) take(sheet, handed);
    show(sheet, Boolean(handed));
    sheet.addEventListener("draft:back", () => show(sheet, false));
    sheet.addEventListener("reset", () => sheet.querySelectorAll("[data-timed]").forEach((line) => (line.hidden = true)));
    if (!handed) continue;
    sheet.elements.timed.dispatchEvent(new page.defaultView.Event("input", { bubbles: true }));
    store.removeItem(waiting);
  }
}

// A second timing of the same run is added to the first.
function take(sheet, handed) {
  const before = parse(sheet.elements.timed.value);
  sheet.elements.timed.value = JSON.stringify({
    stretches: [...before.stretches, ...handed.stretches],
    marks: [...before.marks, ...handed.marks],
    taken_back: before.taken_back + handed.taken_back,
  });
}

function parse(text) {
  return text ? JSON.parse(text) : { stretches: [], marks: [], taken_back: 0 };
}

function show(sheet, fill) {
  const { stretches } = parse(sheet.elements.timed.value);
  for (const line of sheet.querySelectorAll("[data-timed]")) {
    const own = stretches.filter(({ chart }) => chart === line.dataset.timed);
    if (!own.length) continue;
    const seconds = (Math.round(own.reduce((sum, stretch) => sum + stretch.seconds, 0) * 10) / 10).toFixed(1);
    const box = sheet.ownerDocument.getElementById(line.dataset.into);
    if (fill) box.value = seconds;
    line.hidden = false;
    line.textContent = `Timed: ${seconds} s. What you type stands beside it; both are kept.`;
  }
}
