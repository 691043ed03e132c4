// What a run calls for, computed on this phone from what was written down; the server judges again, and its verdict counts.
import { judgeReadings } from "../judge/index.js";

/**
 * @param {HTMLFormElement} sheet a run's sheet, which brings its limits along
 * @returns {{revision: number, excursions: object[], words: string[]} | null} null where the sheet has no limits
 */
export function verdictOf(sheet) {
  const given = sheet.querySelector("#judging");
  if (!given) return null;
  const { revision, document: limits, units, symbols } = JSON.parse(given.textContent);
  const { excursions } = judgeReadings(limits, readings(sheet), units);
  const kept = excursions.map(({ chart, area, area_possible }) => ({ chart, area, area_possible }));
  return { revision, excursions: kept, words: excursions.map((excursion) => said(limits, excursion, symbols)) };
}

function readings(sheet) {
  const parts = [...sheet.querySelectorAll("[data-chart]")].map((part, n) => [part.dataset.chart, n]);
  const given = ([, n]) => ["peak", "seconds"].some((half) => typed(sheet, `${half}_${n}`) !== null || isUnknown(sheet, `${half}_${n}`));
  return parts.filter(given).map(([chart, n]) => ({ chart, peak: typed(sheet, `peak_${n}`), seconds: typed(sheet, `seconds_${n}`) }));
}

function typed(sheet, name) {
  const text = sheet.elements.namedItem(name)?.value.trim().replace(",", ".").replace("\u2212", "-");
  return text && Number.isFinite(Number(text)) ? Number(text) : null;
}

function isUnknown(sheet, name) {
  return Boolean(sheet.elements.namedItem(`${name}_unknown`)?.checked);
}

function said(limits, excursion, symbols) {
  const chart = limits.charts.find(({ name }) => name === excursion.chart);
  const unit = symbols[excursion.unit] ?? excursion.unit;
  const { peak, seconds_above: seconds, area_possible: possible } = excursion;
  const measured = `${peak === null ? "reading not known" : `${peak} ${unit}`}, ${seconds === null ? "seconds not known" : `${seconds} s`}`;
  const area = chart.areas.find(({ name }) => name === possible);
  const calls = area ? `area ${possible}: ${area.action.summary}` : "no action area";
  return `${excursion.chart}: ${measured}; limit ${chart.limit} ${unit}; ${calls}${source(area)}.`;
}

function source(area) {
  return area?.action.reference ? ` (${area.action.reference})` : "";
}
