// What a run calls for, computed on this phone from what was written down; the server judges again, and its verdict counts.
import { excursionWords } from "./said.js";
import { judgeReadings } from "../judge/index.js";

/**
 * @param {HTMLFormElement} sheet a run's sheet, which brings its limits along
 * @returns {{revision: number, excursions: object[], words: string[], draw: () => Promise<Element[]>} | null} null where the sheet has no limits
 */
export function verdictOf(sheet) {
  const given = sheet.querySelector("#judging");
  if (!given || sheet.dataset.outbox !== "run") return null;
  const judging = JSON.parse(given.textContent);
  const { excursions } = judgeReadings(judging.document, readings(sheet, judging.read_as), judging.units);
  const kept = excursions.map(({ chart, area, area_possible }) => ({ chart, area, area_possible }));
  return { revision: judging.revision, excursions: kept, words: excursionWords(judging, excursions), draw: () => drawn(sheet.ownerDocument, judging, excursions) };
}

// Once it is kept: nobody waits for a picture.
async function drawn(page, judging, excursions) {
  return excursions.length ? (await import("./pictures.js")).picturesOf(page, judging, excursions) : [];
}

function readings(sheet, readAs) {
  const parts = [...sheet.querySelectorAll("[data-chart]")].map((part, n) => [part.dataset.chart, n]);
  const given = ([, n]) => ["peak", "seconds"].some((half) => typed(sheet, `${half}_${n}`) !== null || isUnknown(sheet, `${half}_${n}`));
  return parts.filter(given).map(([chart, n]) => ({ chart, peak: peakOf(sheet, chart, n, readAs), seconds: typed(sheet, `seconds_${n}`) }));
}

// In the limit's unit: by the corners of the line that came with the sheet, its ends carried on.
function peakOf(sheet, chart, n, readAs) {
  const peak = typed(sheet, `peak_${n}`);
  const line = readAs?.[chart]?.[sheet.elements.namedItem(`read_in_${n}`)?.value];
  return peak === null || !line ? peak : along(line, peak);
}

function along(line, at) {
  const last = line.findIndex(([read], k) => k > 0 && at < read);
  const [[low, from], [high, to]] = line.slice(last < 0 ? -2 : last - 1);
  return from + ((at - low) / (high - low)) * (to - from);
}

function typed(sheet, name) {
  const text = sheet.elements.namedItem(name)?.value.trim().replace(",", ".").replace("\u2212", "-");
  return text && Number.isFinite(Number(text)) ? Number(text) : null;
}

function isUnknown(sheet, name) {
  return Boolean(sheet.elements.namedItem(`${name}_unknown`)?.checked);
}
