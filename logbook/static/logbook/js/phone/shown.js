// Without signal: the page as it was kept, its age in words, and nothing on it that needs the server looking as if it worked.
import { items } from "../outbox/items.js";
import { make } from "../outbox/make.js";
import { pages } from "./pages.js";
import { store } from "../outbox/store.js";

const HOME = "/";
const ENGINES = "/engines/";
const UNSENT = "/not-sent-yet/";

/**
 * Put the kept page of this address into the page that stands in for it.
 * @param {Document} page
 */
export async function keptShown(page) {
  const { pathname } = page.location;
  const who = await store.get("facts", "person").catch(() => null);
  marked(page, pathname === HOME ? ENGINES : pathname);
  if (pathname === UNSENT) return put(page, unsent(page), "Not sent yet", "");
  if (!who?.person) return put(page, nobody(page), "No signal", "");
  const found = await pages.find(who.person, pathname === HOME ? ENGINES : pathname);
  if (!found) return put(page, await missing(page, who.person), "No signal", "");
  const work = new DOMParser().parseFromString(found.html, "text/html").querySelector("#work");
  renumbered(work);
  deadened(page, work);
  work.prepend(ageOf(page, found.at));
  put(page, [...work.childNodes], found.title, found.whole);
  if (found.demo) page.querySelector(".strip-area").prepend(make(page, "p", found.demo, { className: "demo", role: "note" }));
}

function put(page, parts, title, look) {
  page.querySelector("#work").replaceChildren(...parts);
  page.title = title;
  if (look) page.body.className = look;
}

function ageOf(page, at) {
  const when = new Date(at).toLocaleString("sv-SE").slice(0, 16);
  const words = `No signal. This is what the server had ${items.age(Date.now() - at)} ago, ${when}.`;
  return make(page, "p", words, { className: "notice kept-age", role: "status" });
}

// Every opening of a kept sheet is another record; a draft brings its own number back.
function renumbered(work) {
  work.querySelectorAll("form[data-outbox] input[name=id]").forEach((box) => box.setAttribute("value", crypto.randomUUID()));
}

// What only the server can do is said to need it; what the outbox carries works.
function deadened(page, work) {
  work.querySelectorAll("form[method=post]:not([data-outbox])").forEach((sheet) => {
    sheet.querySelectorAll("button, input, select, textarea").forEach((box) => (box.disabled = true));
    sheet.append(make(page, "p", sheet.dataset.needs ?? "Needs signal.", { className: "quiet small" }));
  });
}

function marked(page, path) {
  const ways = [...page.querySelectorAll(".ways a")];
  const best = ways.filter((way) => path.startsWith(way.getAttribute("href"))).at(-1);
  best?.setAttribute("aria-current", best.getAttribute("href") === path ? "page" : "true");
}

function nobody(page) {
  return [
    make(page, "h1", "No signal", {}),
    make(page, "p", "Nobody was signed in on this phone when the signal went, so nothing can be recorded here in anybody's name. Sign in where there is signal; until then, write it on paper.", {}),
  ];
}

async function missing(page, person) {
  const list = make(page, "ul", "", {});
  for (const { path, title, at } of (await pages.all(person)).sort((a, b) => a.title.localeCompare(b.title))) {
    const line = make(page, "li", "", {});
    line.append(make(page, "a", title.split(" · ")[0], { href: path }), ` ${items.age(Date.now() - at)} old`);
    list.append(line);
  }
  return [make(page, "h1", "No signal", {}), make(page, "p", "This screen is not kept on this phone. What you type stays in its boxes. Kept are:", {}), list];
}

function unsent(page) {
  const place = make(page, "div", "", {});
  place.dataset.unsent = "";
  return [make(page, "h1", "Not sent yet", {}), place];
}
