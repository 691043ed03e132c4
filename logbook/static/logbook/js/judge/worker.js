// Judges traces apart from the page, so that the page goes on answering fingers meanwhile.
import { CURVE } from "./curve.js";
import { judgeTrace } from "./index.js";
import { columnsProposed, recordingRead } from "./recording/index.js";
import { judgingWarmed } from "./warm.js";

const MOST_VALUES = 300; // of a curve, as the server draws it

/**
 * @typedef {object} Job with a trace, or with a recorder's file and what is said of it
 * @property {number} id
 * @property {object} typeDocument
 * @property {import("./units.js").Units} units
 * @property {import("./trace.js").Trace} [trace]
 * @property {Blob | ArrayBuffer} [file]
 * @property {{name?: string, columns?: Record<string, string>, units?: Record<string, string>}} [given]
 * @property {boolean} [isLookOnly] whether only the file's columns are asked for
 * @property {boolean} [isWarmUp] whether nothing is asked for yet
 */

/** @typedef {{id: number, answer?: object, refused?: {code: string, message: string}}} Answer */

self.addEventListener("message", async ({ data }) => self.postMessage(await answerTo(data)));

/** @param {Job} job @returns {Promise<Answer>} */
async function answerTo(job) {
  const { id, typeDocument, units, trace, file, given, isLookOnly, isWarmUp } = job;
  try {
    if (isWarmUp) return { id, answer: judgingWarmed(typeDocument, units) };
    if (isLookOnly) return { id, answer: await columnsProposed(file, typeDocument, units, given) };
    return { id, answer: trace ? judgeTrace(typeDocument, trace, units) : await fileJudged(job) };
  } catch (error) {
    return { id, refused: { code: error.code ?? "refused", message: error.message } };
  }
}

async function fileJudged({ typeDocument, units, file, given }) {
  const { trace, ...told } = await recordingRead(file, typeDocument, units, given);
  const verdict = judgeTrace(typeDocument, trace, units);
  const curves = verdict.excursions.map(({ [CURVE]: curve }) => curve?.points(MOST_VALUES) ?? []);
  return { ...told, ignored: trace.ignored, verdict, curves };
}
