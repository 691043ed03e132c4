// A recorded trace on this device, looked through once for each channel.
import { JudgingError } from "./errors.js";
import { MICROSECOND } from "./edges.js";

/**
 * @typedef {object} Trace
 * @property {Float64Array} times of each row from the first, never decreasing [s]
 * @property {Record<string, Float64Array>} channels in each channel's unit, NaN where there is no valid sample
 * @property {{column: string, cells: number, example: string}[]} [ignored]
 */

/**
 * @typedef {object} Look
 * @property {number} low the lowest valid sample
 * @property {number} high the highest; below `low` where there is no valid sample
 * @property {number} count of valid samples
 * @property {number[]} gaps beginning and end of each stretch not observed, one after the other [s]
 */

/**
 * Refuse times that are missing or run backwards, and a trace without rows.
 * @param {Float64Array} times
 */
export function timesChecked(times) {
  if (!times.length) throw new JudgingError("trace_unusable", "The trace has no rows.");
  let before = -Infinity;
  for (let row = 0; row < times.length; row++) {
    const time = times[row];
    if (time - time !== 0) throw new JudgingError("trace_unusable", `Sample ${row + 1} has no time.`);
    if (time < before) throw backwards(row, time, before);
    before = time;
  }
}

function backwards(row, time, before) {
  const words = `Time runs backwards at sample ${row + 1}: ${shown(time)} s after ${shown(before)} s.`;
  return new JudgingError("trace_unusable", words);
}

function shown(number) {
  return String(Number(number.toPrecision(6)));
}

/**
 * Look through one channel.
 * @param {Float64Array} times
 * @param {Float64Array} samples
 * @param {number} gapS
 * @returns {Look}
 */
export function channelLook(times, samples, gapS) {
  const bound = gapS + MICROSECOND;
  const gaps = [];
  let [low, high, before, count] = [Infinity, -Infinity, times[0], 0];
  for (let row = 0; row < samples.length; row++) {
    const value = samples[row];
    if (value - value !== 0) continue; // an infinity less itself is no number either
    if (times[row] - before > bound) gaps.push(before, times[row]);
    before = times[row];
    count++;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  const last = times[times.length - 1];
  if (!count) return { low, high, count, gaps: [times[0], last] };
  if (last - before > bound) gaps.push(before, last);
  return { low, high, count, gaps };
}
