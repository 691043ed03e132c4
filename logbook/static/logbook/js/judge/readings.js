// The verdict on readings that a person wrote down: a peak and the seconds beyond the limit.
import { areaEntered, areaName, levelsOf, marginOf } from "./areas.js";
import { Rectangle } from "./rectangle.js";
import { conversionOf, converted, unitKnown } from "./units.js";

/**
 * @typedef {object} Reading
 * @property {string} chart
 * @property {string} [unit] the chart's own where it is left out
 * @property {number | null} peak null where it is not known [unit]
 * @property {number | null} seconds null where they are not known [s]
 */

/**
 * The excursions that readings tell; charts that the type does not have are passed over.
 * The first reading of a chart is taken to be of the first event that the trace shows there, and so on.
 * @param {import("./charts.js").EngineType} type
 * @param {Reading[]} readings
 * @param {import("./units.js").Units} units
 * @param {object[]} traced excursions of the run's trace
 * @returns {object[]}
 */
export function readingExcursions(type, readings, units, traced) {
  const found = [];
  for (const reading of readings) {
    const chart = type.charts.find(({ name }) => name === reading.chart);
    const peak = chart ? peakOf(chart, reading, units) : null;
    if (!chart || (peak !== null && !isBeyond(chart, peak))) continue;
    const place = found.filter((excursion) => excursion.chart === chart.name).length;
    found.push(readingJudged(chart, peak, reading.seconds ?? null, eventNumber(traced, chart, place)));
  }
  return found;
}

function peakOf(chart, reading, units) {
  if ((reading.peak ?? null) === null) return null;
  const unit = reading.unit ? (unitKnown(units, reading.unit) ?? reading.unit) : chart.unit;
  return converted(conversionOf(units, unit, chart.unit), reading.peak);
}

function isBeyond(chart, peak) {
  const turned = chart.sign * peak;
  return chart.isClosed ? turned >= chart.limit : turned > chart.limit;
}

function eventNumber(traced, chart, place) {
  const numbers = [...new Set(traced.filter((one) => one.chart === chart.name).map((one) => one.possible))];
  return numbers[place] ?? Math.max(0, ...numbers) + place - numbers.length + 1;
}

function readingJudged(chart, peak, seconds, number) {
  // An unknown figure proves nothing, and may have been the worst.
  const turned = peak === null ? null : chart.sign * peak;
  const proven = new Rectangle(seconds ?? 0, turned ?? chart.limit, chart.isClosed);
  const worst = new Rectangle(seconds ?? Infinity, turned ?? Infinity, chart.isClosed);
  const entered = areaEntered(chart, proven);
  return {
    chart: chart.name,
    channel: chart.channel,
    unit: chart.unit,
    start_s: null,
    end_s: null,
    open_ended: seconds === null,
    peak,
    seconds_above: seconds,
    levels: levelsOf(chart, proven),
    area: areaName(chart, entered),
    area_possible: areaName(chart, areaEntered(chart, worst)),
    possible: number,
    margin: marginOf(chart, proven, entered),
    evidence: "reading",
  };
}
