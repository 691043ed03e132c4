// The phone's part of every page: who is here, what is kept, what is sent, and the program that works without signal.
import { homeScreen } from "../outbox/home.js";
import { idle } from "../outbox/idle.js";
import { make } from "../outbox/make.js";
import { pages } from "./pages.js";
import { programInstalled } from "./program.js";
import { sender } from "../outbox/sender.js";
import { sheetsKept } from "../outbox/sheets.js";
import { store } from "../outbox/store.js";
import { stripShown } from "../outbox/strip.js";
import { traced } from "../outbox/traced.js";
import { unsentShown } from "../outbox/unsent.js";

const PAPER = "This browser cannot keep entries. Use a normal window, or paper.";
const ENGINES = "/engines/";
const CONTACT_FRESH_MS = 60_000;
const LEFT = "embermark-left";

/**
 * Wire a page; whoever is signed in on it is who writes.
 * @param {Document} page
 * @returns {Promise<void>} fulfilled when it is known who that is
 */
export function phoneStarted(page) {
  const { person, personName, shell } = page.documentElement.dataset;
  const who = { person: person ? Number(person) : null, name: personName ?? "" };
  const isShell = shell !== undefined;
  const isKnown = isShell && !who.person ? known(who).catch(() => undefined) : Promise.resolve();
  sheetsKept(page, who);
  traced.watch(page);
  leaving(page);
  begun(page, who, { isShell, isKnown }).catch(() => undefined);
  return isKnown;
}

async function begun(page, who, { isShell, isKnown }) {
  if (!(await store.works())) return cannot(page, isShell);
  await isKnown;
  await left(page.defaultView.localStorage, who);
  if (!isShell && who.person) await store.change(["facts"], ({ facts }) => facts.put({ name: "person", person: who.person, called: who.name }));
  stripShown(page);
  if (page.location.pathname === ENGINES) page.querySelector("#work").append(...homeScreen(page));
  sender.watch(page);
  await Promise.all([unsentShown(page, who), spoken(page, who, isShell)]);
}

// Said on every screen; where there is nothing but what is kept, it is all that is said.
function cannot(page, isShell) {
  const strip = page.querySelector("[data-sent-strip]");
  const place = isShell ? page.querySelector("#work") : page.querySelector("[data-unsent]");
  place?.replaceChildren(make(page, "p", PAPER, { className: "notice", role: "alert" }));
  if (!strip || place) return;
  strip.textContent = PAPER;
  strip.hidden = false;
}

// Without signal, whoever was signed in last is who writes; it is sent only when that person is signed in again.
async function known(who) {
  const last = await store.get("facts", "person");
  Object.assign(who, { person: last?.person ?? null, name: last?.called ?? "" });
}

async function spoken(page, who, isShell) {
  const hasProgram = await programInstalled(page);
  if (!isShell && !(await isNeeded(who))) return;
  const here = await sender.now();
  if (!here) return;
  if (isShell) return again(page);
  if (!hasProgram || here.person !== who.person || !here.person) return;
  await idle(page);
  await pages.keep(here);
}

async function isNeeded(who) {
  const [all, contact] = await Promise.all([store.all("outbox"), store.get("facts", "contact")]);
  const isFresh = contact && contact.person === who.person && Math.abs(Date.now() - contact.at) < CONTACT_FRESH_MS;
  return all.length > 0 || (who.person !== null && !isFresh);
}

// What was kept for a person goes when they sign out; what they have not sent stays. The page is left before its
// store has answered, so that a mark, which is written at once, has the next page do it.
function leaving(page) {
  page.addEventListener("submit", (event) => {
    const { person } = page.documentElement.dataset;
    if (!event.target.matches("form.leave") || !person) return;
    page.defaultView.localStorage.setItem(LEFT, person);
    store.change(["facts"], ({ facts }) => facts.put({ name: "person", person: null })).catch(() => undefined);
  });
}

async function left(marks, who) {
  const person = Number(marks.getItem(LEFT));
  if (!person) return;
  if (person !== who.person) {
    await pages.forget(person);
    await store.change(["facts"], ({ facts }) => facts.put({ name: "person", person: null }));
  }
  marks.removeItem(LEFT);
}

function again(page) {
  const line = page.querySelector(".kept-age") ?? page.querySelector("#work").firstElementChild;
  const way = page.createElement("a");
  way.href = page.location.href;
  way.className = "act";
  way.textContent = "The server answers again: load this screen anew";
  line.append(" ", way);
}
