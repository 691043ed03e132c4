// Sheets that can be kept without signal: what is typed becomes an item, and an item is put back into its sheet to be put right.
import { box } from "./box.js";
import { itemsOf } from "./collect.js";
import { make } from "./make.js";
import { sender } from "./sender.js";
import { store } from "./store.js";
import { talk } from "./talk.js";

const CANNOT = "Not kept: this device has no room, or keeps nothing. Nothing that was kept before is lost. Write this on paper.";

/**
 * Keep what a sheet says when the server does not answer; while it answers, sheets go the way they always went.
 * @param {Document} page
 * @param {{person: number|null, name: string}} who
 */
export function sheetsKept(page, who) {
  const asked = new URLSearchParams(page.location.search).get("item");
  if (asked) editing(page, asked);
  const passed = new WeakSet();
  const busy = new WeakSet();
  page.addEventListener("submit", (event) => onSubmit(event, { who, passed, busy }), { capture: true });
}

function onSubmit(event, { who, passed, busy }) {
  const sheet = event.target;
  if (!sheet.matches("form[data-outbox]") || passed.has(sheet) || !who.person) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  if (busy.has(sheet)) return;
  busy.add(sheet);
  sent(sheet, event.submitter, who, passed).finally(() => busy.delete(sheet));
}

async function sent(sheet, submitter, who, passed) {
  const here = sheet.dataset.item || isShell(sheet) ? null : await talk.hello();
  // Somebody else may have signed in in another window: then it is kept, and waits for whoever wrote it.
  if (!here || (here.person !== null && here.person !== who.person)) return keep(sheet, submitter, who);
  passed.add(sheet);
  // Pressed anew: htmx forgets the button as soon as the finger is on something else.
  if (submitter) submitter.click();
  else sheet.requestSubmit();
  passed.delete(sheet);
}

function isShell(sheet) {
  return sheet.ownerDocument.documentElement.dataset.shell !== undefined;
}

async function keep(sheet, submitter, who) {
  try {
    const [[said, ...files], verdict] = await Promise.all([itemsOf(sheet, submitter, who), judged(sheet)]);
    const kept = await box.keep([{ ...said, verdict }, ...files], Boolean(sheet.dataset.item));
    done(sheet, kept[0]);
    navigator.storage?.persist?.();
    sender.now({ hurry: true });
  } catch {
    note(sheet, CANNOT, "alert");
  }
}

// A sheet whose limits this phone cannot judge is kept all the same; the server judges it.
async function judged(sheet) {
  const found = await import("./verdict.js").then(({ verdictOf }) => verdictOf(sheet)).catch(() => null);
  return found ?? {};
}

function done(sheet, item) {
  const page = sheet.ownerDocument;
  page.defaultView.localStorage.removeItem(`draft:${sheet.dataset.draft}`);
  const panel = make(page, "section", "", { className: "panel", role: "status" });
  panel.dataset.kept = item.id;
  panel.append(make(page, "h2", "Kept on this phone", {}));
  panel.append(make(page, "p", `${item.title}. It goes to the server by itself as soon as that answers, in your name.`, {}));
  panel.append(...calledFor(page, item.verdict));
  for (const [href, words] of [["/not-sent-yet/", "Not sent yet"], ["/engines/", "Engines"]]) {
    panel.append(make(page, "a", words, { className: "act", href }), " ");
  }
  sheet.replaceWith(panel);
  panel.scrollIntoView({ block: "center" });
}

function calledFor(page, { words, revision }) {
  if (!words) return [];
  const by = `Computed on this phone with limits revision ${revision}; the server will check again.`;
  const found = words.length ? words : ["Nothing that was written down is beyond a limit."];
  return [make(page, "h3", "What it calls for", {}), ...found.map((line) => make(page, "p", line, {})), make(page, "p", by, { className: "quiet small" })];
}

async function editing(page, id) {
  const sheet = page.querySelector("form[data-outbox]");
  if (!sheet) return;
  delete sheet.dataset.draft;
  sheet.dataset.item = id;
  const item = await store.get("outbox", id);
  if (!item) return note(sheet, "This is no longer here: the server has received it.", "status");
  fill(sheet, item.fields);
  refusals(sheet, item.refusal);
}

function fill(sheet, fields) {
  const typed = new Map(fields);
  for (const box of [...sheet.elements].filter(({ name }) => typed.has(name))) {
    if (["radio", "checkbox"].includes(box.type)) box.checked = typed.get(box.name) === box.value;
    else if (box.type !== "file") box.value = typed.get(box.name);
  }
}

function refusals(sheet, refusal) {
  if (!refusal) return;
  const page = sheet.ownerDocument;
  note(sheet, `Needs you: ${refusal.words}`, "alert");
  for (const [name, words] of Object.entries(refusal.fields)) {
    const box = sheet.elements.namedItem(name);
    const place = (box instanceof page.defaultView.RadioNodeList ? box[0] : box)?.closest(".field");
    if (place) place.append(make(page, "span", words, { className: "error" }), ...reason(page, name, refusal.fields[`asked_${name}`]));
    if (place) place.classList.add("field-wrong");
  }
}

// What was asked about may be answered here: the reason goes with the mark of the question that it answers.
function reason(page, name, mark) {
  if (!mark) return [];
  const id = `reason-${name}`;
  return [
    make(page, "label", "Why it is so", { htmlFor: id }),
    make(page, "input", "", { name: `reason_${name}`, maxLength: 240, autocomplete: "off", id }),
    make(page, "input", "", { type: "hidden", name: `asked_${name}`, value: mark }),
  ];
}

function note(sheet, words, role) {
  const page = sheet.ownerDocument;
  const place = sheet.querySelector("[data-kept-note]") ?? sheet.insertBefore(page.createElement("p"), sheet.firstChild);
  place.dataset.keptNote = "";
  place.className = "notice";
  place.setAttribute("role", role);
  place.textContent = words;
}
