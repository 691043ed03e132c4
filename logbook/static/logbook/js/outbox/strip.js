// The line at the top of every screen: what this device keeps that the server has not, in words.
import { box } from "./box.js";
import { calmed } from "./calm.js";
import { store } from "./store.js";

const NAG_AFTER_MS = 24 * 3600_000;
const NAG_HARD_AFTER_MS = 72 * 3600_000;

/** @param {Document} page */
export function stripShown(page) {
  const line = page.querySelector("[data-sent-strip]");
  if (!line) return;
  const anew = calmed(() => show(line));
  box.onChange(page, anew);
  page.addEventListener("embermark-server", anew);
  anew();
}

async function show(line) {
  const [all, contact, server] = await Promise.all([box.all(), store.get("facts", "contact"), store.get("facts", "server")]);
  const words = said(all, contact, server);
  line.hidden = !words;
  line.replaceChildren(all.length ? link(line, words) : words);
  line.classList.toggle("needs-you", all.some((item) => item.state === "refused") || nag(all, NAG_HARD_AFTER_MS));
}

function said(all, contact, server) {
  const silence = server?.answers === false ? "No signal. " : "";
  if (!all.length) return contact ? `${silence}All received ${clock(contact.at)}` : silence.trim();
  const asleep = server?.answers && server.person === null;
  const parts = [
    count(all, "refused", (n) => (n === 1 ? "1 needs you" : `${n} need you`)),
    count(all, "unsure", (n) => `${n} not sure - checking`),
    count(all, "sending", (n) => `${n} sending`),
    count(all.filter(({ held }) => held), "kept", (n) => `${n} held back`),
    count(all.filter(({ held }) => !held), "kept", (n) => (asleep ? `Sign in to send ${n === 1 ? "1 entry" : `${n} entries`}` : `${n} kept on this phone`)),
  ];
  return `${silence}${parts.filter(Boolean).join(", ")}${nagging(all)}`;
}

function count(all, state, words) {
  const n = all.filter((item) => item.state === state).length;
  return n ? words(n) : "";
}

// After a day it is said how long; after three, that something has to be done.
function nagging(all) {
  if (!nag(all, NAG_AFTER_MS)) return "";
  const old = `, the oldest for ${hours(all)} hours`;
  return nag(all, NAG_HARD_AFTER_MS) ? `${old}. Take this device where there is signal today, or put the entries into a file` : old;
}

function nag(all, after) {
  return all.some((item) => Date.now() - Date.parse(item.kept_at) > after);
}

function hours(all) {
  const oldest = Math.max(...all.map((item) => Date.now() - Date.parse(item.kept_at)));
  return Math.floor(oldest / 3600_000);
}

function link(line, words) {
  const way = line.ownerDocument.createElement("a");
  way.href = "/not-sent-yet/";
  way.textContent = words;
  return way;
}

function clock(at) {
  return new Date(at).toTimeString().slice(0, 5);
}
