// The rules of the outbox: what an item is, in which of five states, and what may be sent when. Nothing here touches a page.

const FIRST_MS = 2000;
const LONGEST_MS = 300_000;
const FORMAT = 3;
const REPLACING = new Set(["answer", "cause", "work_change"]);
const OF_INSPECTIONS = new Set(["answer", "finding", "handover", "begin", "action", "cause", "taking"]);

/**
 * @typedef {{id: string, format: number, seq: number, kind: string, author: number, authorName: string, about: string,
 *   title: string, path: string, fields: [string, string][], charts: string[], after: string[], kept_at: string,
 *   kept_offset_min: number, state: "kept"|"sending"|"unsure"|"refused", tries: number, nextAt: number,
 *   held?: boolean, refusal?: {words: string, fields: Record<string, string>}, verdict?: object,
 *   file?: {name: string, type: string, sha256: string, bytes: ArrayBuffer}, preview?: string}} Item
 */

/** What items mean. */
export const items = {
  /** @param {Partial<Item>} said @param {Date} now @returns {Item} a new item, kept and not yet tried */
  made: (said, now) => ({
    charts: [],
    after: [],
    ...said,
    format: FORMAT,
    kept_at: now.toISOString(),
    kept_offset_min: -now.getTimezoneOffset(),
    state: "kept",
    tries: 0,
    nextAt: 0,
  }),

  /** @param {Item} item @returns {string} its state in words; nothing is called received before its receipt is here */
  words(item) {
    if (item.state === "refused") return `Needs you - ${item.refusal?.words ?? "the server refused it"}`;
    if (item.held) return "Kept on this phone, held back while you change it";
    return { sending: "Sending", unsure: "Not sure - checking" }[item.state] ?? "Kept on this phone";
  },

  /** @param {{number: number, at: string}} receipt @returns {string} */
  received: (receipt) => `Received - no. ${receipt.number}, ${clock(new Date(receipt.at))}`,

  /** How long an item waits after so many tries, half as much again at most. @returns {number} [ms] */
  backOff: (tries, chance) => Math.min(FIRST_MS * 2 ** Math.min(tries - 1, 20), LONGEST_MS) * (1 + chance / 2),

  /** What may be sent for a person now, in order: what waits for nothing that is still here. @returns {Item[]} */
  ready(all, author, now, hurry) {
    const here = new Set(all.map(({ id }) => id));
    const may = (item) => item.author === author && !stays(item) && !item.after.some((id) => here.has(id));
    return all.filter((item) => may(item) && (hurry || isDue(item, now))).sort((one, other) => isPhoto(one) - isPhoto(other) || one.seq - other.seq);
  },

  /** When the next one of a person is due. @returns {number} [ms], Infinity where none waits */
  next: (all, author) => Math.min(Infinity, ...all.filter((item) => item.author === author && !stays(item)).map(({ nextAt }) => nextAt)),

  /** What an item must follow: what replaces something the earlier ones of it, a handover all of its inspection. */
  follows(said, all) {
    const job = ({ about }) => about.split("/")[0];
    const own = all.filter(({ author }) => author === said.author);
    const isOfJob = (item) => OF_INSPECTIONS.has(item.kind) && job(item) === job(said);
    if (said.kind === "handover") return own.filter(isOfJob).map(({ id }) => id);
    const isEarlier = ({ kind, about }) => kind === said.kind && about === said.about;
    return REPLACING.has(said.kind) ? own.filter(isEarlier).map(({ id }) => id) : [];
  },

  /** @param {number} ms @returns {string} how long ago, in words */
  age(ms) {
    const minutes = Math.floor(Math.max(ms, 0) / 60_000);
    if (minutes < 1) return "less than a minute";
    if (minutes < 120) return minutes === 1 ? "1 minute" : `${minutes} minutes`;
    const hours = Math.floor(minutes / 60);
    return hours < 48 ? `${hours} hours` : `${Math.floor(hours / 24)} days`;
  },
};

// What needs its author first.
function stays({ state, held }) {
  return state === "refused" || Boolean(held);
}

// Words first: a photo may take long, and nobody waits for it.
function isPhoto({ kind }) {
  return Number(kind === "photo");
}

// A clock that was set back must not hold anything for longer than the longest wait.
function isDue(item, now) {
  return item.nextAt <= now || item.nextAt > now + 2 * LONGEST_MS;
}

function clock(moment) {
  return moment.toTimeString().slice(0, 5);
}
