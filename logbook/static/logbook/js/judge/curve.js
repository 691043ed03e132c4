// How long a reading was beyond each value: the exact duration curve, and how it meets an area's edge.
import { Durations } from "./durations.js";
import { MICROSECOND } from "./edges.js";
import { meetingsOf } from "./meetings.js";
import { countBelow, merged } from "./sorted.js";
import { sumOf, Tally } from "./sums.js";

/** @typedef {import("./edges.js").Edge} Edge */

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
    const tally = new Tally();
    for (let k = 0; k < this.seconds.length; k++) tally.add(this.seconds[k] * this.#share(k, value));
    return tally.sum;
  }

  #share(k, value) {
    const width = this.high[k] - this.low[k];
    if (width > 0) return Math.min(Math.max((this.high[k] - value) / width, 0), 1);
    return this.high[k] > value || (this.isClosed && this.high[k] === value) ? 1 : 0;
  }

  get #exact() {
    this.#durations ??= new Durations(this.low, this.high, this.seconds, this.limit);
    return this.#durations;
  }

  #candidates(edge) {
    const { corners } = this.#exact;
    return merged(corners.subarray(countBelow(corners, edge.first)), edge.values);
  }

  /** @param {Edge} edge @returns {boolean} exact, from the corners of both */
  enters(edge) {
    const values = this.#candidates(edge);
    return this.isClosed ? this.#reaches(edge, values) : this.#passes(edge, values);
  }

  #reaches(edge, values) {
    return values.some((value) => {
      const spent = this.#exact.at(value, true);
      return spent > MICROSECOND && spent - edge.at(value) >= -MICROSECOND;
    });
  }

  #passes(edge, values) {
    const exact = this.#exact;
    return values.some(
      (value, k) =>
        exact.at(value, false) - edge.at(value) > MICROSECOND ||
        (k > 0 && exact.at(value, true) - edge.before(value) > MICROSECOND),
    );
  }

  /**
   * @param {Edge} edge
   * @returns {number | null} the least of allowed less spent where any time was spent [s]
   */
  secondsShort(edge) {
    const exact = this.#exact;
    let least = Infinity;
    for (const value of this.#candidates(edge)) {
      const spent = exact.at(value, this.isClosed);
      if (spent > 0) least = Math.min(least, edge.at(value) - spent);
      if (value > edge.first && value <= exact.top) {
        least = Math.min(least, edge.before(value) - exact.at(value, true));
      }
    }
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
