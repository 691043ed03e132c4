// A photo taken on a sheet: made small, kept on this phone at once, and sent after the words that it belongs to.
import { box } from "./box.js";
import { items } from "./items.js";
import { make } from "./make.js";
import { photoParts } from "./photo_parts.js";
import { sender } from "./sender.js";
import { sha256 } from "./digest.js";
import { shrunk } from "./shrink.js";
import { store } from "./store.js";

const NONE = "Take a photo first, or choose a picture.";
const UNREADABLE = "This phone cannot read that picture. Take it again, or choose a JPEG.";
const CANNOT = "Not kept: this device has no room, or keeps nothing. Nothing that was kept before is lost, and the picture is still chosen here.";

/**
 * Keep what was chosen on a sheet for a photo; the sheet is then ready for the next one.
 * @param {HTMLFormElement} sheet
 * @param {{person: number, name: string}} who
 */
export async function photoKept(sheet, who) {
  const page = sheet.ownerDocument;
  const chosen = [...sheet.querySelectorAll("input[type=file]")].map(({ files }) => files[0]).find(Boolean);
  if (!chosen) return said(sheet, NONE, "alert");
  const small = await shrunk(page, chosen).catch(() => null);
  if (!small) return said(sheet, UNREADABLE, "alert");
  try {
    const [kept] = await box.keep([await itemOf(sheet, chosen, small, who)]);
    sheet.reset();
    said(sheet, "", "status");
    shownKept(sheet, kept);
    page.defaultView.navigator.storage?.persist?.();
    sender.now({ hurry: true });
  } catch {
    said(sheet, CANNOT, "alert");
  }
}

async function itemOf(sheet, chosen, { bytes, type, preview }, who) {
  const choice = [...sheet.elements].find(({ name }) => name.endsWith("about"));
  const words = choice?.matches("select") ? `, ${choice.selectedOptions[0].text}` : "";
  const caption = [...sheet.elements].find(({ name }) => name.endsWith("caption"))?.value.trim() ?? "";
  const file = { name: chosen.name || "photo.jpg", type, sha256: await sha256(bytes), bytes };
  return {
    id: crypto.randomUUID(),
    kind: "photo",
    author: who.person,
    authorName: who.name,
    path: sheet.ownerDocument.location.pathname,
    about: choice?.value || sheet.dataset.about,
    title: `${sheet.dataset.title}${words}`,
    fields: [["caption", caption]],
    after: sheet.dataset.after ? [sheet.dataset.after] : [],
    file,
    preview,
  };
}

function said(sheet, words, role) {
  const line = sheet.querySelector("[data-photo-said]") ?? sheet.appendChild(make(sheet.ownerDocument, "p", "", {}));
  line.dataset.photoSaid = "";
  line.hidden = !words;
  line.setAttribute("role", role);
  line.textContent = words;
}

// What is kept stands under the sheet with its state in words, until the page is left.
function shownKept(sheet, item) {
  const page = sheet.ownerDocument;
  const list = sheet.parentElement.querySelector("[data-photos-kept]") ?? sheet.parentElement.appendChild(make(page, "ul", "", { className: "photos", role: "status" }));
  list.dataset.photosKept = "";
  const line = make(page, "li", "", {});
  const words = make(page, "p", "", {});
  line.append(...photoParts.picture(page, item), words);
  list.append(line);
  const show = async () => state(page, words, item);
  box.onChange(page, show);
  show();
}

async function state(page, words, { id, title }) {
  const [item, receipt] = await Promise.all([store.get("outbox", id), store.get("receipts", id)]);
  if (!item && !receipt) return;
  words.textContent = `${title}: ${item ? items.words(item) : items.received(receipt)}. `;
  if (receipt) words.append(make(page, "a", "Show it", { href: receipt.link }));
}
