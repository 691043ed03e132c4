// Keeps what the server shows now for the hours without signal: for one person, without tokens, and with its time.
import { store } from "../outbox/store.js";

const FRESH_MS = 10 * 60_000;
const LEFT_OUT = "[name=csrfmiddlewaretoken], .notices, .filters, .pages, script[src]";
const HTML = "text/html";

/** Pages kept for a person. */
export const pages = {
  /**
   * Keep every page that is worth it and was not kept a moment ago, one after the other.
   * @param {{person: number, pages: string[]}} here what the server says
   */
  async keep(here) {
    for (const path of here.pages) {
      const kept = await store.get("pages", key(here.person, path));
      const isFresh = kept && Date.now() - kept.at < FRESH_MS;
      if (!isFresh && !(await fetched(here.person, path))) return;
    }
    await forgotten(here);
  },

  /** @returns {Promise<{title: string, html: string, at: number}|undefined>} the page as it was kept */
  find: (person, path) => store.get("pages", key(person, path)),

  /** @returns {Promise<object[]>} every page of a person */
  all: async (person) => (await store.all("pages")).filter((page) => page.person === person),

  /** Forget what was kept for a person, as when they sign out; the outbox is not touched. */
  async forget(person) {
    const own = await pages.all(person);
    await store.change(["pages"], (stores) => own.forEach((page) => stores.pages.delete(page.key)));
  },
};

function key(person, path) {
  return `${person}|${path}`;
}

// False where the server does not answer; a page that is not to be had is passed over.
async function fetched(person, path) {
  const response = await fetch(path, { headers: { "X-By-Itself": "1" }, cache: "no-store", redirect: "manual" }).catch(() => null);
  if (!response) return false;
  if (!response.ok || !response.headers.get("Content-Type")?.startsWith(HTML)) return true;
  const page = new DOMParser().parseFromString(await response.text(), HTML);
  if (Number(page.documentElement.dataset.person) !== person) return false;
  const work = page.querySelector("#work");
  work.querySelectorAll(LEFT_OUT).forEach((part) => part.remove());
  const demo = page.querySelector(".demo")?.textContent ?? "";
  const row = { demo, key: key(person, path), person, path, title: page.title, html: work.outerHTML, whole: page.body.className, at: Date.now() };
  await store.change(["pages"], (stores) => stores.pages.put(row));
  return true;
}

async function forgotten({ person, pages: wanted }) {
  const gone = (await pages.all(person)).filter(({ path }) => !wanted.includes(path));
  await store.change(["pages"], (stores) => gone.forEach((page) => stores.pages.delete(page.key)));
}
