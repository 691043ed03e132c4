// What a chart looks at: a channel's samples as a path of straight lines, with its gaps.
import { countBelow, countUpTo } from "./sorted.js";
import { MICROSECOND } from "./edges.js";

const NO_ROW = -1;

/**
 * @typedef {object} Gap a stretch not observed
 * @property {number} after the point of the path before it, -1 before the first
 * @property {number} start_s
 * @property {number} end_s
 * @property {number} level its higher end [turned]
 */

/**
 * @typedef {object} Path points joined by straight lines where `joined` says so
 * @property {Float64Array} times
 * @property {Float64Array} values [turned]
 * @property {Int32Array} rows of the trace; -1 for a regime's edge or the end of a filled gap
 * @property {Uint8Array} joined one fewer than the points
 * @property {Gap[]} gaps
 */

/**
 * The path of one channel over a whole trace; it has a valid sample.
 * @param {Float64Array} times
 * @param {Float64Array} samples not finite where there is none
 * @param {{sign: number, by: import("./units.js").Conversion, gapS: number, count: number}} how they are turned and
 *   joined, and how many are valid
 * @returns {Path}
 */
export function pathOf(times, samples, { sign, by, gapS, count }) {
  const path = emptied(count);
  const { times: found, values, rows, joined, gaps } = path;
  const { before, times: factor, over, after } = by;
  const bound = gapS + MICROSECOND;
  let [at, last] = [0, times[0]];
  for (let row = 0; row < samples.length; row++) {
    const value = samples[row];
    if (value - value !== 0) continue; // an infinity less itself is no number either
    const time = times[row];
    const turned = sign * (((value + before) * factor) / over + after);
    if (time - last > bound) gaps.push(gapTo(path, at, last, time, turned));
    else if (at > 0) joined[at - 1] = 1;
    last = time;
    found[at] = time;
    values[at] = turned;
    rows[at++] = row;
  }
  const end = times[times.length - 1];
  if (end - last > bound) gaps.push({ after: at - 1, start_s: last, end_s: end, level: values[at - 1] });
  return path;
}

// The gap before a point that is not put yet.
function gapTo({ values }, at, start, end, value) {
  return { after: at - 1, start_s: start, end_s: end, level: at > 0 ? Math.max(values[at - 1], value) : value };
}

/** @param {number} size @returns {Path} room for so many points, none of them joined */
export function emptied(size) {
  return {
    times: new Float64Array(size),
    values: new Float64Array(size),
    rows: new Int32Array(size),
    joined: new Uint8Array(Math.max(size - 1, 0)),
    gaps: [],
  };
}

/**
 * The part of a whole path between two rows of the trace, both of them included: its samples, an interpolated point
 * at an edge that falls between two joined ones, and the parts of gaps between, each with its own higher end.
 * @param {Path} path
 * @param {{row: number, time: number}} first
 * @param {{row: number, time: number}} last
 * @returns {Path}
 */
export function clip(path, first, last) {
  const low = countBelow(path.rows, first.row);
  const high = countUpTo(path.rows, last.row);
  const start = path.rows[low] === first.row ? null : edgeValue(path, low, first.time);
  const end = path.rows[high - 1] === last.row ? null : edgeValue(path, high, last.time);
  const front = start === null ? 0 : 1;
  const part = between(path, { low, high, front, back: end === null ? 0 : 1 });
  if (start !== null) pointPut(part, 0, first.time, start);
  if (end !== null) pointPut(part, part.times.length - 1, last.time, end);
  part.gaps = path.gaps
    .filter((gap) => gap.after >= low - 1 && gap.after < high)
    .map((gap) => ({
      after: gap.after - low + front,
      start_s: Math.max(gap.start_s, first.time),
      end_s: Math.min(gap.end_s, last.time),
      level: gap.level,
    }))
    .filter((gap) => gap.end_s > gap.start_s);
  return part;
}

function edgeValue(path, right, time) {
  if (right === 0 || right === path.times.length || !path.joined[right - 1]) return null;
  const [t0, t1] = [path.times[right - 1], path.times[right]];
  const [v0, v1] = [path.values[right - 1], path.values[right]];
  return t1 > t0 ? v0 + (v1 - v0) * ((time - t0) / (t1 - t0)) : v0;
}

// A view of the same memory where no edge is put to it: nothing that is read of a path is ever written.
function between(path, { low, high, front, back }) {
  if (high > low && front + back === 0) return viewOf(path, low, high);
  const part = emptied(Math.max(high - low, 0) + front + back);
  part.times.set(path.times.subarray(low, high), front);
  part.values.set(path.values.subarray(low, high), front);
  part.rows.set(path.rows.subarray(low, high), front);
  part.joined.fill(1);
  if (high > low) part.joined.set(path.joined.subarray(low, high - 1), front);
  return part;
}

function viewOf({ times, values, rows, joined }, low, high) {
  const [part, gaps] = [(array) => array.subarray(low, high), []];
  return { times: part(times), values: part(values), rows: part(rows), joined: joined.subarray(low, high - 1), gaps };
}

/** @param {Path} path @param {number} k @param {number} time @param {number} value put there as no reading */
export function pointPut(path, k, time, value) {
  path.times[k] = time;
  path.values[k] = value;
  path.rows[k] = NO_ROW;
}
