// What is typed is kept on this device at every change, for the person who typed it, until the server has recorded it.

const PREFIX = "draft:";
const CANNOT = "This browser cannot keep what you type. Send it before you leave this screen.";
const LEFT_OUT = "[type=password], [type=file], [name=csrfmiddlewaretoken], [type=submit], [type=button]";

/**
 * Keep every sheet that asks for it, bring back what was typed, and forget what the server has recorded.
 * @param {Document} page
 */
export function draftsKept(page) {
  const store = page.defaultView.localStorage;
  page.querySelectorAll("[data-recorded]").forEach((mark) => forget(store, mark));
  sheets(page).forEach((sheet) => bringBack(store, sheet));
  for (const change of ["input", "change"]) {
    page.addEventListener(change, (event) => keep(store, event.target.form));
  }
  page.addEventListener("submit", (event) => sent(store, event.target));
  page.addEventListener("htmx:afterRequest", (event) => {
    const sheet = event.detail.requestConfig.elt.closest("form[data-draft]");
    if (sheet && event.detail.successful) store.removeItem(PREFIX + sheet.dataset.draft);
  });
  page.addEventListener("htmx:load", (event) => {
    if (event.detail.elt !== page.body) sheets(event.detail.elt).forEach((sheet) => bringBack(store, sheet));
  });
}

function sheets(part) {
  return [...part.querySelectorAll("form[data-draft]")];
}

function boxes(sheet) {
  return [...sheet.elements].filter((box) => box.name && !box.matches(LEFT_OUT) && box.type !== "fieldset");
}

function keep(store, sheet) {
  if (!sheet?.matches("form[data-draft]")) return;
  const values = boxes(sheet).map((box) => [box.name, box.value, isChosen(box)]);
  const isKept = write(store, sheet, { at: new Date().toISOString(), values, isSent: false });
  note(sheet, isKept ? "Kept on this device as you type." : CANNOT);
}

function write(store, sheet, draft) {
  try {
    store.setItem(PREFIX + sheet.dataset.draft, JSON.stringify(draft));
    return true;
  } catch {
    return false;
  }
}

function read(store, key) {
  try {
    return JSON.parse(store.getItem(PREFIX + key));
  } catch {
    return null;
  }
}

function isChosen(box) {
  return box.type === "radio" || box.type === "checkbox" ? box.checked : null;
}

// A sheet that the server has sent back holds what was typed already, and a box touched before this script what is newer.
function bringBack(store, sheet) {
  const draft = read(store, sheet.dataset.draft);
  if (!draft) return;
  if (sheet.dataset.sent !== undefined) return keep(store, sheet);
  const kept = new Map(draft.values.map(([name, value, chosen]) => [chosen === null ? name : `${name}=${value}`, [value, chosen]]));
  const touched = new Set(boxes(sheet).filter((box) => box.dataset.touched !== undefined).map((box) => box.name));
  for (const box of boxes(sheet).filter((box) => !touched.has(box.name))) {
    const [value, chosen] = kept.get(isChosen(box) === null ? box.name : `${box.name}=${box.value}`) ?? [];
    if (value === undefined) continue;
    if (box.type === "hidden") box.dataset.first ??= box.value;
    if (chosen === null) box.value = value;
    else box.checked = chosen;
  }
  sheet.closest("details")?.setAttribute("open", "");
  note(sheet, `Brought back as you left it, ${new Date(draft.at).toLocaleString("sv-SE").slice(0, 16)}.`, () => begin(store, sheet));
  sheet.dispatchEvent(new sheet.ownerDocument.defaultView.CustomEvent("draft:back", { bubbles: true }));
}

// An empty sheet can be had, and what was typed can be had back: nothing is asked twice.
function begin(store, sheet) {
  const key = PREFIX + sheet.dataset.draft;
  const draft = store.getItem(key);
  store.removeItem(key);
  sheet.reset();
  for (const box of boxes(sheet)) if (box.dataset.first !== undefined) box.value = box.dataset.first;
  note(sheet, "An empty sheet.", () => {
    store.setItem(key, draft);
    bringBack(store, sheet);
  });
}

function sent(store, sheet) {
  if (!sheet.matches("form[data-draft]")) return;
  keep(store, sheet);
  write(store, sheet, { ...read(store, sheet.dataset.draft), isSent: true });
}

// Only what was sent, and under the number that the server has recorded, is forgotten.
function forget(store, mark) {
  const draft = read(store, mark.dataset.recorded);
  const number = mark.dataset.recordedId;
  const isIt = !number || draft?.values.some(([name, value]) => name === "id" && value === number);
  if (draft?.isSent && isIt) store.removeItem(PREFIX + mark.dataset.recorded);
}

function note(sheet, words, other) {
  const page = sheet.ownerDocument;
  const line = sheet.querySelector(".kept") ?? sheet.insertBefore(page.createElement("p"), sheet.firstChild);
  line.className = "kept small";
  if (words === CANNOT) line.setAttribute("role", "alert");
  if (line.firstChild?.data !== words) line.replaceChildren(words);
  if (!other) return;
  const act = page.createElement("button");
  act.type = "button";
  act.className = "link-act";
  act.textContent = words.startsWith("An empty") ? "Bring back what I typed" : "Begin an empty sheet";
  act.addEventListener("click", other);
  line.append(" ", act);
}
