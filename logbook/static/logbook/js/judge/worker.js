// Judges traces apart from the page, so that the page goes on answering fingers meanwhile.
import { judgeTrace } from "./index.js";

/**
 * @typedef {object} Job
 * @property {number} id
 * @property {object} typeDocument
 * @property {import("./units.js").Units} units
 * @property {import("./trace.js").Trace} trace
 */

/** @typedef {{id: number, verdict?: object, refused?: {code: string, message: string}}} Answer */

self.addEventListener("message", ({ data }) => self.postMessage(answerTo(data)));

/** @param {Job} job @returns {Answer} */
function answerTo({ id, typeDocument, units, trace }) {
  try {
    return { id, verdict: judgeTrace(typeDocument, trace, units) };
  } catch (error) {
    return { id, refused: { code: error.code ?? "refused", message: error.message } };
  }
}
