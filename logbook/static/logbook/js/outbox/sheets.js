// Sheets that can be kept without signal: what is typed on them becomes an item.
import { box } from "./box.js";
import { broughtBack } from "./righting.js";
import { itemsOf } from "./collect.js";
import { make } from "./make.js";
import { noted } from "./noted.js";
import { photoParts } from "./photo_parts.js";
import { sender } from "./sender.js";
import { talk } from "./talk.js";
import { tracePart } from "./trace_part.js";
import { traced } from "./traced.js";

const NO_FILE = "Choose the recorder's file.";
const SOON_MS = 80;
const ASKING = "Asking the server. If it does not answer, this is kept on this phone.";
const CANNOT = "Not kept: this device has no room, or keeps nothing. Nothing that was kept before is lost. Write this on paper.";
/**
 * Keep what a sheet says when the server does not answer; while it answers, sheets go the way they always went.
 * @param {Document} page
 * @param {{person: number|null, name: string}} who
 */
export function sheetsKept(page, who) {
  const asked = new URLSearchParams(page.location.search).get("item");
  if (asked) broughtBack(page, asked);
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
  if (sheet.dataset.outbox === "photo") return (await import("./photo.js")).photoKept(sheet, who);
  // What follows something that is still here waits for it here, and a page without the server's own has nobody to ask.
  const isHere = sheet.dataset.item || sheet.dataset.after || isShell(sheet);
  const here = isHere ? null : await asked(sheet);
  // Somebody else may have signed in in another window: then it is kept, and waits for whoever wrote it.
  if (!here || (here.person !== null && here.person !== who.person)) return keep(sheet, submitter, who);
  passed.add(sheet);
  // Pressed anew: htmx forgets the button as soon as the finger is on something else.
  if (submitter) submitter.click();
  else sheet.requestSubmit();
  passed.delete(sheet);
}

// An access point may be there and lead nowhere: what is waited for is said before a finger presses again.
async function asked(sheet) {
  const soon = setTimeout(() => noted(sheet, ASKING, "status"), SOON_MS);
  const here = await talk.hello();
  clearTimeout(soon);
  sheet.querySelector("[data-kept-note]")?.remove();
  return here;
}

function isShell(sheet) {
  return sheet.ownerDocument.documentElement.dataset.shell !== undefined;
}

async function keep(sheet, submitter, who) {
  try {
    const [seen, { draw, ...verdict }] = await Promise.all([traced.of(sheet), judged(sheet)]);
    const [said, ...files] = await itemsOf(sheet, submitter, who, seen);
    if (!said) return noted(sheet, NO_FILE, "alert");
    const kept = await box.keep([{ verdict, ...said }, ...files], Boolean(sheet.dataset.item));
    done(sheet, kept, [seen.verdict, verdict], { pictures: seen.pictures, draw });
    navigator.storage?.persist?.();
    sender.now({ hurry: true });
  } catch {
    noted(sheet, CANNOT, "alert");
  }
}

// A sheet whose limits this phone cannot judge is kept all the same; the server judges it.
async function judged(sheet) {
  const found = await import("./verdict.js").then(({ verdictOf }) => verdictOf(sheet)).catch(() => null);
  return found ?? {};
}

function done(sheet, [item, { kind: isTraced } = {}], verdicts, { pictures, draw }) {
  const page = sheet.ownerDocument;
  page.defaultView.localStorage.removeItem(`draft:${sheet.dataset.draft}`);
  const panel = make(page, "section", "", { className: "panel", role: "status" });
  panel.dataset.kept = item.id;
  panel.append(make(page, "h2", "Kept on this phone", {}));
  panel.append(make(page, "p", `${item.title}. It goes to the server by itself as soon as that answers, in your name.`, {}));
  panel.append(...calledFor(page, verdicts.filter(({ words }) => words), pictures));
  for (const [href, words] of [["/not-sent-yet/", "Not sent yet"], ["/engines/", "Engines"]]) {
    panel.append(make(page, "a", words, { className: "act", href }), " ");
  }
  panel.append(...photoParts.sheet(page, item));
  if (!isTraced) panel.append(...tracePart(page, item, sheet.querySelector("#judging")));
  sheet.replaceWith(panel);
  panel.scrollIntoView({ block: "center" });
  draw?.().then((later) => panel.querySelector(".quiet")?.before(...later)).catch(() => undefined);
}

function calledFor(page, verdicts, pictures) {
  if (!verdicts.length) return [];
  const by = `Computed on this phone with limits revision ${verdicts[0].revision}; the server will check again.`;
  const words = verdicts.flatMap((verdict) => verdict.words);
  const found = words.length ? words : ["Nothing that was written down is beyond a limit."];
  return [make(page, "h3", "What it calls for", {}), ...found.map((line) => make(page, "p", line, {})), ...pictures, make(page, "p", by, { className: "quiet small" })];
}
