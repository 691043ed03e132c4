// The unbroken stays of a path beyond a limit, each with the pieces that it is made of.

/** @typedef {import("./paths.js").Path} Path */
/** @typedef {{limit: number, isClosed: boolean}} Bound */

/** One unbroken stay beyond the limit: points `first` to `last` of a path, entered and left at two times. */
export class Stay {
  /** @param {Path} path @param {number} first @param {number} last @param {number} limit */
  constructor(path, first, last, limit) {
    this.path = path;
    this.first = first;
    this.last = last;
    this.isEntered = first > 0 && path.joined[first - 1] === 1;
    this.isLeft = last < path.joined.length && path.joined[last] === 1;
    this.start = this.isEntered ? crossing(path, first - 1, first, limit) : path.times[first];
    this.end = this.isLeft ? crossing(path, last + 1, last, limit) : path.times[last];
  }

  get peak() {
    const { values } = this.path;
    let highest = values[this.first];
    for (let k = this.first + 1; k <= this.last; k++) if (values[k] > highest) highest = values[k];
    return highest;
  }

  get touchesGap() {
    return this.path.gaps.some((gap) => gap.after + 1 === this.first || gap.after === this.last);
  }

  /** @param {number} row @returns {boolean} whether that row of the trace is a reading of it */
  holdsRow(row) {
    const { rows } = this.path;
    for (let k = this.first; k <= this.last; k++) if (rows[k] === row) return true;
    return false;
  }

  get pieceCount() {
    return this.last - this.first + (this.isEntered ? 1 : 0) + (this.isLeft ? 1 : 0);
  }

  /** Put its pieces into arrays of lows, highs and seconds, from a place on; returns the next place. */
  piecesPut(pieces, place, limit) {
    const { times, values } = this.path;
    let at = place;
    if (this.isEntered) piecePut(pieces, at++, limit, values[this.first], times[this.first] - this.start);
    for (let k = this.first; k < this.last; k++) {
      piecePut(pieces, at++, values[k], values[k + 1], times[k + 1] - times[k]);
    }
    if (this.isLeft) piecePut(pieces, at++, values[this.last], limit, this.end - times[this.last]);
    return at;
  }
}

function piecePut({ low, high, seconds }, at, one, other, took) {
  low[at] = Math.min(one, other);
  high[at] = Math.max(one, other);
  seconds[at] = took;
}

function crossing({ times, values }, below, beyond, limit) {
  const [t0, t1, v0, v1] = [times[below], times[beyond], values[below], values[beyond]];
  return t0 + ((limit - v0) / (v1 - v0)) * (t1 - t0);
}

/**
 * The unbroken stays of a path beyond a limit, in order; one that takes no time only where it touches a gap.
 * @param {Path} path
 * @param {Bound} bound
 * @returns {Stay[]}
 */
export function staysOf(path, bound) {
  const { values, joined } = path;
  const { limit, isClosed } = bound;
  const stays = [];
  for (let k = 0; k < values.length; k++) {
    const value = values[k];
    if (value < limit || (value === limit && !isClosed)) continue;
    const first = k;
    while (k < joined.length && joined[k] && isPast(values[k + 1], bound)) k++;
    stays.push(new Stay(path, first, k, bound.limit));
  }
  return stays.filter((stay) => stay.end > stay.start || stay.touchesGap);
}

/** @param {number} value @param {Bound} bound @returns {boolean} */
export function isPast(value, { limit, isClosed }) {
  return value > limit || (isClosed && value === limit);
}
