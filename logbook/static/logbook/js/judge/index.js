// The verdict on this device: the same documents in, and the same verdict out, as on the server.
import { engineTypeRead } from "./charts.js";
import { traceVerdict } from "./exceedance.js";
import { readingExcursions } from "./readings.js";

/** @typedef {import("./units.js").Units} Units */
/** @typedef {import("./readings.js").Reading} Reading */
/** @typedef {import("./trace.js").Trace} Trace */

/**
 * Judge a recorded run.
 * @param {object} typeDocument an engine type document that the server has checked
 * @param {Trace} trace times in seconds from the first row; channels in the units of the type's channels
 * @param {Units} units what the server sends with the type document
 * @returns {object} the verdict document
 */
export function judgeTrace(typeDocument, trace, units) {
  return traceVerdict(engineTypeRead(typeDocument, units), trace, units);
}

/**
 * Judge what a person wrote down, beside the run's trace where there is one.
 * @param {object} typeDocument an engine type document that the server has checked
 * @param {Reading[]} readings
 * @param {Units} units what the server sends with the type document
 * @param {object} [traced] what judgeTrace returned
 * @returns {object} the verdict document; without a trace it holds nothing but the readings
 */
export function judgeReadings(typeDocument, readings, units, traced = unjudged()) {
  const type = engineTypeRead(typeDocument, units);
  const typed = readingExcursions(type, readings, units, traced.excursions);
  return { ...traced, excursions: [...traced.excursions, ...typed] };
}

function unjudged() {
  return {
    samples: 0,
    regimes: [],
    starts: [],
    usage: null,
    unobserved: [],
    ignored: [],
    notes: [],
    repeats: "not counted",
    not_judged: [],
    excursions: [],
  };
}
