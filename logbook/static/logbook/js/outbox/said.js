// What a verdict that was computed on this phone says, in sentences.
import { calledFirst } from "./called.js";

/**
 * @typedef {object} Judging what a sheet brings along to be judged by
 * @property {number} revision of the limits
 * @property {object} document the engine type's, checked by the server
 * @property {object} units
 * @property {Record<string, string>} symbols of units
 * @property {string[]} needed the names that a file must give for every limit to be judged
 * @property {string} worker its address
 * @property {number} type of the engine
 */

/**
 * @param {Judging} judging
 * @param {object[]} excursions
 * @returns {string[]} one for each, those that call for something first
 */
export function excursionWords(judging, excursions) {
  return calledFirst(excursions).map((excursion) => said(judging, excursion));
}

function said({ document: limits, symbols }, { chart: name, unit: own, peak, seconds_above: seconds, start_s: from, area_possible: possible }) {
  const chart = limits.charts.find((one) => one.name === name);
  const unit = symbols[own] ?? own;
  const reading = peak === null ? "reading not known" : `${tenths(peak)} ${unit}`;
  const measured = `${reading}, ${seconds === null ? "seconds not known" : `${tenths(seconds)} s`}${begun(from)}`;
  const area = chart.areas.find((one) => one.name === possible);
  const calls = area ? `area ${possible}: ${area.action.summary}` : "no action area";
  return `${name}: ${measured}; limit ${chart.limit} ${unit}; ${calls}${source(area)}.`;
}

function begun(from) {
  if (typeof from !== "number") return "";
  const [minutes, seconds] = [Math.floor(from / 60), Math.floor(from % 60)];
  return ` from ${minutes}:${String(seconds).padStart(2, "0")} of the recording on`;
}

function source(area) {
  return area?.action.reference ? ` (${area.action.reference})` : "";
}

function tenths(figure) {
  return Number(figure.toFixed(1));
}
