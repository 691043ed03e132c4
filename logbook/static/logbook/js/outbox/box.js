// The outbox itself: what goes in, what changes, and what leaves it, each in one transaction.
import { items } from "./items.js";
import { store } from "./store.js";

const CHANGED = "embermark-outbox";
const MOST_RECEIPTS = 200;
const others = new BroadcastChannel(CHANGED);

/** The outbox of this device. */
export const box = {
  /** @returns {Promise<import("./items.js").Item[]>} in the order in which they were kept */
  all: async () => (await store.all("outbox")).sort((one, other) => one.seq - other.seq),

  /**
   * Keep items, the first the one that the others follow; fulfilled when the disk has them all.
   * Nothing that is kept already is ever replaced, but by its author who puts it right.
   * @param {object[]} said @param {boolean} isPutRight
   */
  async keep(said, isPutRight = false) {
    const here = await box.all();
    let { seq = 0 } = (await store.get("facts", "seq")) ?? {};
    const now = new Date();
    // Put right, it keeps its place: what was kept after it still follows it.
    const old = isPutRight ? here.find(({ id }) => id === said[0].id) : undefined;
    const placed = (one, n) => (old && n === 0 ? { ...one, after: old.after, seq: old.seq } : { after: items.follows(one, here), ...one, seq: ++seq });
    const made = said.map((one, n) => items.made(placed(one, n), now));
    await store.change(["outbox", "facts"], ({ outbox, facts }) => {
      made.forEach((item, n) => (isPutRight && n === 0 ? outbox.put(item) : outbox.add(item)));
      facts.put({ name: "seq", seq });
    });
    tell();
    return made;
  },

  /** Put back items that were saved to a file. @param {object[]} back */
  async putBack(back) {
    await store.change(["outbox"], ({ outbox }) => back.forEach((item) => outbox.put(item)));
    tell();
  },

  /** Change what is known of an item that is still here. */
  async mark(id, change) {
    const item = await store.get("outbox", id);
    if (!item) return;
    await store.change(["outbox"], ({ outbox }) => outbox.put({ ...item, ...change }));
    tell();
  },

  /** Let an item go, because the server has given a receipt for it. */
  async receive(item, receipt) {
    const { number, at, words, link, sign, clock, differs, is_late } = receipt;
    const kept = { id: item.id, author: item.author, title: item.title, number, at, words, link, sign, clock, differs, isLate: Boolean(is_late) };
    const old = (await store.all("receipts")).sort((a, b) => (a.at < b.at ? 1 : -1)).slice(MOST_RECEIPTS);
    await store.change(["outbox", "receipts"], ({ outbox, receipts }) => {
      receipts.put(kept);
      old.forEach(({ id }) => receipts.delete(id));
      outbox.delete(item.id);
    });
    tell();
  },

  /** Set an item aside: it is not sent, and its words stay readable with the reason. */
  async setAside(item, reason) {
    const kept = { id: item.id, author: item.author, title: item.title, aside: reason, item, at: new Date().toISOString() };
    await store.change(["outbox", "receipts"], ({ outbox, receipts }) => {
      receipts.put(kept);
      outbox.delete(item.id);
    });
    tell();
  },

  /** @param {EventTarget} page @param {() => void} act called whenever something changes, in this window or another */
  onChange(page, act) {
    page.addEventListener(CHANGED, act);
    others.addEventListener("message", act);
  },
};

function tell() {
  document.dispatchEvent(new CustomEvent(CHANGED));
  others.postMessage("changed");
}
