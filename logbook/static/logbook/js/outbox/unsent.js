// The screen "Not sent yet": everything that this device keeps, by author, and what can be done with it.
import { acts } from "./acts.js";
import { box } from "./box.js";
import { calmed } from "./calm.js";
import { file } from "./file.js";
import { homeScreen } from "./home.js";
import { items } from "./items.js";
import { make } from "./make.js";
import { photoParts } from "./photo_parts.js";
import { sender } from "./sender.js";
import { store } from "./store.js";
import { tracePart } from "./trace_part.js";

const LAST = 10;

/** @param {Document} page @param {{person: number|null}} who */
export async function unsentShown(page, who) {
  const place = page.querySelector("[data-unsent]");
  if (!place) return;
  const list = make(page, "div", "", {});
  const ways = waysOf(page);
  place.replaceChildren(ways, list, await factsOf(page));
  const isTyping = () => list.contains(page.activeElement) && page.activeElement.matches("input");
  const show = calmed(async () => isTyping() || shown(page, list, who));
  box.onChange(page, show);
  page.addEventListener("embermark-server", show);
  show();
}

async function shown(page, list, who) {
  const [all, receipts, server] = await Promise.all([box.all(), store.all("receipts"), store.get("facts", "server")]);
  const authors = [...new Set(all.map(({ author }) => author))];
  const parts = authors.map((author) => ofAuthor(page, all.filter((item) => item.author === author), { who, server }));
  if (!all.length) parts.push(make(page, "p", "Nothing waits on this device.", {}));
  const mine = receipts.filter(({ author }) => author === who.person).sort((a, b) => (a.at < b.at ? 1 : -1));
  list.replaceChildren(...parts, ...receivedOf(page, mine.slice(0, LAST)));
}

function ofAuthor(page, own, { who, server }) {
  const part = make(page, "section", "", {});
  const [{ author, authorName }] = own;
  part.append(make(page, "h2", `${own.length === 1 ? "1 entry" : `${own.length} entries`} by ${authorName}`, {}));
  if (author !== (server?.person ?? who.person)) {
    const wait = own.length === 1 ? "waits" : "wait";
    part.append(make(page, "p", `${own.length === 1 ? "It" : "They"} ${wait} for ${authorName}: sign in as ${authorName} to send.`, {}));
  }
  const cards = make(page, "ul", "", { className: "cards" });
  own.forEach((item) => cards.append(standing(page, item) ?? cardOf(page, item, author === who.person)));
  part.append(cards);
  return part;
}

// A card about which nothing has changed stays as it is, with what is open in it.
function standing(page, item) {
  const card = page.querySelector(`[data-item="${item.id}"]`);
  return card?.dataset.mark === markOf(item) ? card : null;
}

function markOf(item) {
  return [item.state, item.tries, item.held, item.refusal?.words].join("|");
}

function cardOf(page, item, isMine) {
  const card = make(page, "li", "", { className: "card" });
  card.dataset.mark = markOf(item);
  card.dataset.item = item.id;
  card.dataset.state = item.state;
  card.append(make(page, "h3", item.title, {}), make(page, "p", items.words(item), { className: "item-state" }));
  card.append(make(page, "p", `Kept ${items.age(Date.now() - Date.parse(item.kept_at))} ago.`, { className: "quiet small" }));
  if (item.after.length && item.state === "kept") card.append(make(page, "p", "Goes after what it belongs to.", { className: "quiet small" }));
  card.append(...photoParts.picture(page, item), ...(isMine ? [...photoParts.sheet(page, item), ...tracePart(page, item)] : []));
  if (isMine) card.append(...acts.of(page, item));
  return card;
}

function receivedOf(page, receipts) {
  if (!receipts.length) return [];
  const lines = make(page, "ul", "", { className: "received" });
  for (const receipt of receipts) {
    const line = make(page, "li", receipt.aside ? `${receipt.title}: set aside, ${receipt.aside}` : `${receipt.title}: ${items.received(receipt)}. ${[receipt.words, receipt.differs, receipt.clock].filter(Boolean).join(" ")}`, {});
    if (receipt.sign) line.append(" ", make(page, "a", "Read and sign", { href: receipt.sign }));
    lines.append(line);
  }
  return [make(page, "h2", "Received last", {}), lines];
}

function waysOf(page) {
  const ways = make(page, "div", "", { className: "unsent-ways" });
  const said = make(page, "p", "", { role: "status" });
  const chosen = make(page, "input", "", { type: "file", accept: "application/json,.json", id: "unsent-file" });
  chosen.addEventListener("change", async () => (said.textContent = await file.takeBack(chosen.files[0])));
  ways.append(
    acts.button(page, "Send now", async () => (said.textContent = answerWords(await sender.now({ hurry: true }))), "main-act"),
    acts.button(page, "Save to a file", async () => file.save(page, await box.all())),
    make(page, "label", "Take back a file of entries", { htmlFor: "unsent-file" }),
    chosen,
    said,
  );
  return ways;
}

function answerWords(here) {
  if (!here) return "The server does not answer. Everything stays here.";
  return here.person === null ? "The server answers. Sign in to send." : "The server answers.";
}

async function factsOf(page) {
  const isLasting = await navigator.storage?.persisted?.();
  const { usage = 0, quota = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  const part = make(page, "section", "", {});
  const lasting = isLasting ? "This browser has promised to keep it." : "This browser may clear it when the device runs full: send often, and put Embermark on the home screen.";
  const room = `${(usage / 1e6).toFixed(1)} of ${Math.round(quota / 1e6)} MB used.`;
  part.append(make(page, "h2", "Where it is kept", {}), make(page, "p", `${lasting} ${room}`, {}), ...homeScreen(page));
  return part;
}
