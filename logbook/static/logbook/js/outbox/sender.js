// Sends what is kept, one at a time in one window only, whenever there is reason to think that the server may answer.
import { box } from "./box.js";
import { items } from "./items.js";
import { store } from "./store.js";
import { talk } from "./talk.js";

const LOCK = "embermark-sending";
const LOOK_AGAIN_MS = 60_000;
const SOON_MS = 500;

let timer = 0;
let silent = 0;

/** Whoever sends. */
export const sender = {
  /**
   * Send what may be sent now; with hurry also what waits for its next try.
   * @param {{hurry?: boolean}} how
   * @returns {Promise<object|null>} who is signed in, null where the server does not answer
   */
  async now({ hurry = false } = {}) {
    const here = await navigator.locks.request(LOCK, () => drained(hurry));
    await planned(globalThis);
    return here;
  },

  /**
   * Hold back an item that is not on its way, so that its author can change it. @param {string} id
   * @returns {Promise<boolean>} whether it is held back: not where anything is being sent just now, or may have arrived
   */
  hold: (id) => navigator.locks.request(LOCK, { ifAvailable: true }, async (lock) => {
    if (!lock || (await store.get("outbox", id))?.state !== "kept") return false;
    await box.mark(id, { held: true });
    return true;
  }),

  /** Send on opening, when the network or the screen comes back, and by the clock. @param {Document} page */
  watch(page) {
    const view = page.defaultView;
    view.addEventListener("online", () => sender.now({ hurry: true }));
    page.addEventListener("visibilitychange", () => page.visibilityState === "visible" && sender.now({ hurry: true }));
    box.onChange(page, () => planned(view));
    planned(view);
  },
};

async function drained(hurry) {
  const all = await box.all();
  for (const { id } of all.filter(({ state }) => state === "sending")) await box.mark(id, { state: "unsure" });
  const here = await talk.hello();
  silent = here ? 0 : silent + 1;
  await noted(here);
  if (!here) return null;
  for (const { id } of items.ready(all, here.person, Date.now(), hurry)) {
    if ((await sent(id, here)) === "stop") break;
  }
  return here;
}

// What stood as sending when a window was closed is not known to have arrived, and is sent again under its number.
async function sent(id, here) {
  const item = await store.get("outbox", id);
  // Only what it belongs to is looked for: all of it together may hold many photos.
  const before = await Promise.all((item?.after ?? []).map((one) => store.get("outbox", one)));
  const around = [item, ...before].filter(Boolean);
  if (!items.ready(around, here.person, Date.now(), true).includes(item)) return "gone";
  await box.mark(id, { state: "sending" });
  const answer = await talk.send(item, here.csrf, new Date());
  if (answer.is === "received") await box.receive(item, answer.receipt);
  else if (answer.is === "refused") await box.mark(id, { state: "refused", refusal: { words: answer.words, fields: answer.fields } });
  else await waits(item, answer.is);
  return answer.is === "unsure" ? "stop" : answer.is;
}

async function waits(item, why) {
  const tries = item.tries + 1;
  const state = why === "unsure" ? "unsure" : "kept";
  await box.mark(item.id, { state, tries, nextAt: Date.now() + items.backOff(tries, Math.random()) });
}

async function noted(here) {
  const contact = here ? { name: "contact", at: Date.now(), person: here.person } : null;
  const state = { name: "server", answers: Boolean(here), person: here?.person ?? null };
  await store.change(["facts"], ({ facts }) => {
    facts.put(state);
    if (contact) facts.put(contact);
    if (here?.columns) facts.put({ name: "columns", of: here.columns });
  });
  document.dispatchEvent(new CustomEvent("embermark-server", { detail: here }));
}

async function planned(view) {
  view.clearTimeout(timer);
  const all = await box.all();
  if (!all.length) return;
  const { person } = (await store.get("facts", "server")) ?? {};
  const due = Math.min(items.next(all, person) - Date.now(), LOOK_AGAIN_MS);
  const wait = silent ? items.backOff(silent, Math.random()) : Math.max(due, SOON_MS);
  timer = view.setTimeout(() => sender.now(), wait);
}
