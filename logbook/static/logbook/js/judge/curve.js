// How long a reading was beyond each value: the exact duration curve, and how it meets an area's edge.
import { Durations } from "./durations.js";
import { MICROSECOND } from "./edges.js";
import { meetingsOf } from "./meetings.js";
import { countBelow } from "./sorted.js";
import { sumOf, Tally } from "./sums.js";

/** @typedef {import("./edges.js").Edge} Edge */

/** Under which key a verdict's excursion holds its curve, which is no part of the verdict and goes nowhere with it. */
export const CURVE = Symbol("curve");

/** The curve of straight pieces, each from `low` to `high` in `seconds`; none goes below `limit`. */
export class Curve {
  /** @type {Durations | null} worked out when it is first asked for */
  #durations = null;

  /**
   * @param {Float64Array} low [turned chart's unit]
   * @param {Float64Array} high [turned chart's unit]
   * @param {Float64Array} seconds [s]
   * @param {{limit: number, isClosed: boolean}} bound
   */
  constructor(low, high, seconds, { limit, isClosed }) {
    this.low = low;
    this.high = high;
    this.seconds = seconds;
    this.limit = limit;
    this.isClosed = isClosed;
    this.total = sumOf(seconds);
  }

  /**
   * @param {number} value
   * @returns {number} the time beyond it [s]
   */
  beyond(value) {
    const { low, high, seconds, isClosed } = this;
    const spent = new Tally();
    for (let k = 0; k < seconds.length; k++) {
      if (low[k] >= value && high[k] > value) spent.add(seconds[k]);
      else if (high[k] > value) spent.add(seconds[k] * ((high[k] - value) / (high[k] - low[k])));
      else if (isClosed && low[k] === value) spent.add(seconds[k]);
    }
    return spent.sum;
  }

  /**
   * @param {number} most how many of its values
   * @returns {[number, number][]} values from the limit outward with the time at or beyond each, and beyond it [s]
   */
  points(most) {
    const { corners, atLeast, above } = this.#exact;
    const last = Math.min(corners.length, most) - 1;
    const rows = Array.from({ length: last + 1 }, (_, k) => Math.trunc((k * (corners.length - 1)) / Math.max(last, 1)));
    return rows.flatMap((row) => [...new Set([atLeast[row], above[row]])].map((seconds) => [corners[row], seconds]));
  }

  get #exact() {
    this.#durations ??= new Durations(this.low, this.high, this.seconds, this.limit);
    return this.#durations;
  }

  // Whether a test passes at one of the values at which the curve or the edge turns, from the edge's first on.
  #meets(edge, test) {
    const { corners, atLeast, above } = this.#exact;
    for (let k = countBelow(corners, edge.first); k < corners.length; k++) {
      if (test(corners[k], atLeast[k], above[k])) return true;
    }
    return edge.values.some((value) => test(value, this.#exact.at(value, true), this.#exact.at(value, false)));
  }

  /** @param {Edge} edge @returns {boolean} exact, from the corners of both */
  enters(edge) {
    if (this.isClosed) {
      return this.#meets(edge, (value, spent) => spent > MICROSECOND && spent - edge.at(value) >= -MICROSECOND);
    }
    return this.#meets(
      edge,
      (value, atLeast, above) =>
        above - edge.at(value) > MICROSECOND ||
        (value > edge.first && atLeast - edge.before(value) > MICROSECOND),
    );
  }

  /**
   * @param {Edge} edge
   * @returns {number | null} the least of allowed less spent where any time was spent [s]
   */
  secondsShort(edge) {
    const { top } = this.#exact;
    let least = Infinity;
    this.#meets(edge, (value, atLeast, above) => {
      const spent = this.isClosed ? atLeast : above;
      if (spent > 0) least = Math.min(least, edge.at(value) - spent);
      if (value > edge.first && value <= top) least = Math.min(least, edge.before(value) - atLeast);
      return false;
    });
    return least === Infinity ? null : Math.max(0, least);
  }

  /**
   * @param {Edge} edge
   * @returns {number | null} the least rise by which it would enter the area; null where it was too short
   */
  valueShort(edge) {
    if (this.total <= 0) return null;
    const exact = this.#exact;
    let least = Infinity;
    for (const { value, allowed, falls } of meetingsOf(edge, exact.levels())) {
      const orEqual = falls || this.isClosed;
      if (allowed < this.total || (orEqual && allowed === this.total)) {
        least = Math.min(least, value - (allowed > 0 ? exact.highest(allowed, orEqual) : exact.top));
      }
    }
    return least === Infinity ? null : Math.max(0, least);
  }
}
