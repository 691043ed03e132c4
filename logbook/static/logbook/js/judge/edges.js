// The allowed-time function of an area: how long a reading may stay above each value.
import { countBelow, countUpTo } from "./sorted.js";

/** Times closer than this are the same. [s] */
export const MICROSECOND = 1e-6;

/** Allowed seconds by value, values turned so that higher is worse; at a vertical edge the lower. */
export class Edge {
  /**
   * @param {Float64Array} values never decreasing [turned chart's unit]
   * @param {Float64Array} seconds never increasing [s]
   * @param {boolean} isLinear whether the vertices are joined by straight lines
   */
  constructor(values, seconds, isLinear) {
    this.values = values;
    this.seconds = seconds;
    this.isLinear = isLinear;
  }

  /** @returns {number} where the area begins */
  get first() {
    return this.values[0];
  }

  /**
   * @param {number} value at or beyond the first vertex
   * @returns {number} seconds allowed above it
   */
  at(value) {
    const left = countUpTo(this.values, value) - 1;
    return this.#between(left, left + 1, value);
  }

  /**
   * @param {number} value beyond the first vertex
   * @returns {number} the limit from below of the seconds allowed
   */
  before(value) {
    const right = countBelow(this.values, value);
    return this.#between(Math.max(right - 1, 0), right, value);
  }

  #between(left, next, value) {
    if (!this.isLinear) return this.seconds[left];
    const right = Math.min(next, this.values.length - 1);
    const width = this.values[right] - this.values[left];
    const share = width > 0 ? (value - this.values[left]) / width : 0;
    return this.seconds[left] * (1 - share) + this.seconds[right] * share; // exact at either end
  }

  /**
   * @param {number} spent [s]
   * @param {boolean} orEqual whether the allowed time may equal what was spent, or must be below it
   * @returns {number | null} the lowest value at which so short a time is allowed
   */
  reachedAt(spent, orEqual) {
    const { values, seconds } = this;
    let k = 0;
    while (k < seconds.length && !(seconds[k] < spent || (orEqual && seconds[k] === spent))) k++;
    if (k === seconds.length) return null;
    if (k === 0 || !this.isLinear) return values[k];
    const fall = seconds[k - 1] - seconds[k];
    return values[k - 1] + (values[k] - values[k - 1]) * ((seconds[k - 1] - spent) / fall);
  }
}
