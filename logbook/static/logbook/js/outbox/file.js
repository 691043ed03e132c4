// What is unsent as a file, and back: for a phone that is dying, or a browser that is to be cleared.
import { box } from "./box.js";
import { store } from "./store.js";

const KIND = "embermark-unsent";

/** Saving to a file, and taking a file back. */
export const file = {
  /** @param {Document} page @param {object[]} unsent offer them as one file */
  save(page, unsent) {
    const text = JSON.stringify({ kind: KIND, saved_at: new Date().toISOString(), items: unsent.map(asText) }, null, 1);
    const link = page.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = `embermark-unsent-${new Date().toISOString().slice(0, 10)}.json`;
    link.click();
    URL.revokeObjectURL(link.href);
  },

  /**
   * Take back what a file holds and neither this device nor the server has.
   * @param {File} chosen
   * @returns {Promise<string>} what came of it, in words
   */
  async takeBack(chosen) {
    const read = await chosen.text().then(JSON.parse).catch(() => null);
    if (read?.kind !== KIND || !Array.isArray(read.items)) return "This is no file of unsent entries. Nothing was changed.";
    const known = new Set([...(await box.all()), ...(await store.all("receipts"))].map(({ id }) => id));
    const missing = read.items.filter(({ id }) => !known.has(id)).map(asItem);
    await box.putBack(missing);
    return `${missing.length} taken back, ${read.items.length - missing.length} known here already.`;
  },
};

function asText(item) {
  if (!item.file) return item;
  return { ...item, file: { ...item.file, bytes: [...new Uint8Array(item.file.bytes)].map((byte) => String.fromCharCode(byte)).join("") } };
}

function asItem(item) {
  const back = { ...item, state: item.state === "refused" ? "refused" : "unsure", tries: 0, nextAt: 0, held: false };
  if (!item.file) return back;
  return { ...back, file: { ...item.file, bytes: Uint8Array.from(item.file.bytes, (letter) => letter.charCodeAt(0)).buffer } };
}
