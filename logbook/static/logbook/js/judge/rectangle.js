// All the time beyond the limit taken to be spent at the peak, as a printed chart is read by hand.
import { MICROSECOND } from "./edges.js";

/** A time and a peak, held against an area's edge. */
export class Rectangle {
  /**
   * @param {number} seconds [s]
   * @param {number} peak [turned chart's unit]
   * @param {boolean} isClosed whether the boundary itself is beyond
   */
  constructor(seconds, peak, isClosed) {
    this.seconds = seconds;
    this.peak = peak;
    this.isClosed = isClosed;
  }

  /**
   * @param {number} value [turned chart's unit]
   * @returns {number} the time beyond it [s]
   */
  beyond(value) {
    return value < this.peak || (this.isClosed && value === this.peak) ? this.seconds : 0;
  }

  /** @param {import("./edges.js").Edge} edge @returns {boolean} */
  enters(edge) {
    if (!this.#reaches(edge)) return false;
    const over = this.seconds - this.#allowed(edge);
    return this.isClosed ? this.seconds > MICROSECOND && over >= -MICROSECOND : over > MICROSECOND;
  }

  /**
   * @param {import("./edges.js").Edge} edge
   * @returns {number | null} how much longer would have entered; null where the area's values were not reached [s]
   */
  secondsShort(edge) {
    return this.#reaches(edge) ? Math.max(0, this.#allowed(edge) - this.seconds) : null;
  }

  /**
   * @param {import("./edges.js").Edge} edge
   * @returns {number | null} how much higher would have entered; null where the time was too short
   */
  valueShort(edge) {
    const value = this.seconds > 0 ? edge.reachedAt(this.seconds, this.isClosed) : null;
    return value === null ? null : Math.max(0, value - this.peak);
  }

  #reaches(edge) {
    const isBeyond = this.isClosed ? this.peak >= edge.first : this.peak > edge.first;
    return isBeyond && this.seconds > 0;
  }

  #allowed(edge) {
    return this.isClosed ? edge.at(this.peak) : edge.before(this.peak);
  }
}
