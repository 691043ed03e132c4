// The times spent beyond each value, from straight pieces: measured at every corner, straight between.
import { countBelow, countUpTo, distinct } from "./sorted.js";
import { addAt, Tally } from "./sums.js";

/** What a duration curve is between the limit and its highest value. */
export class Durations {
  /**
   * @param {Float64Array} low of each piece [turned chart's unit]
   * @param {Float64Array} high of each piece
   * @param {Float64Array} seconds that each piece takes [s]
   * @param {number} limit no piece goes below it
   */
  constructor(low, high, seconds, limit) {
    const all = new Float64Array(2 * low.length + 1);
    all[0] = limit;
    all.set(low, 1);
    all.set(high, 1 + low.length);
    this.corners = distinct(all);
    this.atLeast = new Float64Array(this.corners.length);
    this.above = new Float64Array(this.corners.length);
    this.#sum(turnsOf(this.corners, low, high, seconds));
    const spent = this.above.findLastIndex((time) => time > 0);
    /** The value up to which some time is spent. */
    this.top = spent < 0 ? limit : this.corners[spent + 1];
  }

  // Summed from the top down, so that it is exactly 0 above the last value that took any time.
  #sum({ rate, rateLost, spent, spentLost }) {
    const { corners } = this;
    const slope = new Tally();
    const time = new Tally();
    for (let k = corners.length - 1; k >= 0; k--) {
      this.above[k] = time.sum;
      time.add(spent[k]);
      time.add(spentLost[k]);
      this.atLeast[k] = time.sum;
      slope.add(rate[k]);
      slope.add(rateLost[k]);
      if (k > 0) time.add(slope.sum * (corners[k] - corners[k - 1]));
    }
  }

  /**
   * @param {number} value at or beyond the limit
   * @param {boolean} isClosed whether time at the value itself counts
   * @returns {number} the time beyond it [s]
   */
  at(value, isClosed) {
    const { corners, above, atLeast } = this;
    const left = countUpTo(corners, value) - 1;
    if (corners[left] === value) return isClosed ? atLeast[left] : above[left];
    if (left === corners.length - 1) return 0;
    const share = (value - corners[left]) / (corners[left + 1] - corners[left]);
    return above[left] + (atLeast[left + 1] - above[left]) * share;
  }

  /**
   * @param {number} seconds [s]
   * @param {boolean} orEqual
   * @returns {number} the highest value beyond which more than, or at least, so long was spent
   */
  highest(seconds, orEqual) {
    const { corners, above, atLeast } = this;
    const left = Math.max(this.#lasted(seconds, orEqual) - 1, 0);
    const right = Math.min(left + 1, corners.length - 1);
    const over = above[left] - seconds;
    const fall = above[left] - atLeast[right];
    const share = over > 0 && fall > 0 ? over / fall : 0;
    return corners[left] + share * (corners[right] - corners[left]);
  }

  // How many corners, from the limit up, were stayed at or above for longer than, or at least, so long.
  #lasted(seconds, orEqual) {
    let low = 0;
    let high = this.atLeast.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      const spent = this.atLeast[middle];
      if (spent > seconds || (orEqual && spent === seconds)) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** @returns {Float64Array} every time at a corner once, sorted [s] */
  levels() {
    const levels = new Float64Array(2 * this.above.length);
    levels.set(this.atLeast);
    levels.set(this.above, this.above.length);
    return distinct(levels);
  }
}

// At each corner: by how much the curve's slope changes, and the time spent at that very value.
function turnsOf(corners, low, high, seconds) {
  const [rate, rateLost, spent, spentLost] = Array.from({ length: 4 }, () => new Float64Array(corners.length));
  for (let k = 0; k < low.length; k++) {
    const from = countBelow(corners, low[k]);
    if (high[k] > low[k]) {
      const slope = seconds[k] / (high[k] - low[k]);
      addAt(rate, rateLost, countBelow(corners, high[k]), slope);
      addAt(rate, rateLost, from, -slope);
    } else addAt(spent, spentLost, from, seconds[k]);
  }
  return { rate, rateLost, spent, spentLost };
}
