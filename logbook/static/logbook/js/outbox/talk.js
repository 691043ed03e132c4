// What is said to the server about the outbox, and what its answers mean. A token is fetched when it is needed, and kept nowhere.

const DOOR = "/api/v1/outbox/";
const PATIENCE_MS = 8000;
const SENDING_MS = 60_000;
const SLOWEST_BYTES_A_MS = 20; // a link that is slower sends no file
const NOT_YET = new Set([401, 408, 423, 425, 429]);
const NOT_FINAL = new Set(["not_authenticated", "permission_denied", "still_working", "file_damaged"]);

/** The server, as far as the outbox needs it. */
export const talk = {
  /** @returns {Promise<object|null>} who is signed in and what to keep; null where the server does not answer */
  async hello() {
    try {
      const response = await fetch(DOOR, { ...inTime(PATIENCE_MS), headers: { "X-By-Itself": "1" }, cache: "no-store", redirect: "manual" });
      const here = response.ok ? await response.json() : null;
      return typeof here?.csrf === "string" ? here : null;
    } catch {
      return null;
    }
  },

  /**
   * Send one item.
   * @param {object} item @param {string} csrf @param {Date} now
   * @returns {Promise<{is: "received", receipt: object} | {is: "refused", words: string, fields: object} | {is: "later"} | {is: "stop"} | {is: "unsure"}>}
   */
  async send(item, csrf, now) {
    try {
      return await itemSent(item, csrf, now);
    } catch {
      return { is: "unsure" };
    }
  },
};

async function itemSent(item, csrf, now) {
  const { state, tries, nextAt, refusal, seq, title, path, authorName, after, file, preview, ...said } = item;
  const stated = { ...said, sent_at: now.toISOString(), ...(file ? { sha256: file.sha256 } : {}) };
  const response = await (file ? withFile(stated, file, csrf) : posted(csrf, JSON.stringify(stated), { "Content-Type": "application/json" }));
  if (!response.ok) return declined(response);
  const body = await response.json();
  const isIt = body.id === item.id && Number.isInteger(body.receipt);
  return isIt ? { is: "received", receipt: { ...body, number: body.receipt, at: body.received_at } } : { is: "unsure" };
}

// A file goes in one form with what is said of it; the server compares its bytes with their digest.
function withFile(stated, { bytes, name, type }, csrf) {
  const form = new FormData();
  form.append("item", JSON.stringify(stated));
  form.append("file", new Blob([bytes], { type }), name);
  return posted(csrf, form, {}, SENDING_MS + bytes.byteLength / SLOWEST_BYTES_A_MS);
}

function posted(csrf, body, kind, ms = SENDING_MS) {
  const headers = { "X-CSRFToken": csrf, ...kind };
  return fetch(DOOR, { ...inTime(ms), method: "POST", headers, body, redirect: "manual" });
}

// Only a refusal in the server's own words is one; whatever else stands in the way is tried again.
async function declined(response) {
  const said = await response.json().catch(() => null);
  if (response.status === 401 || (response.status === 403 && said?.code !== "role_may_not")) return { is: "stop" };
  const isRefusal = typeof said?.detail === "string" && !NOT_YET.has(response.status) && !NOT_FINAL.has(said.code);
  if (!isRefusal || response.status >= 500) return { is: "later" };
  return { is: "refused", words: said.detail, fields: said.fields ?? {} };
}

function inTime(ms) {
  const stop = new AbortController();
  setTimeout(() => stop.abort(), ms);
  return { signal: stop.signal, credentials: "same-origin" };
}
