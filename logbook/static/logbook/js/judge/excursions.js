// Excursions: stays beyond a limit, rejoined and measured.
import { Curve } from "./curve.js";
import { MICROSECOND } from "./edges.js";

/** @typedef {import("./stays.js").Stay} Stay */

/** One excursion: the stays that count as one, in order of time. */
export class Spell {
  /** @param {Stay[]} stays */
  constructor(stays) {
    this.stays = stays;
    this.start = stays[0].start;
    this.end = stays[stays.length - 1].end;
    this.peak = stays.reduce((highest, stay) => Math.max(highest, stay.peak), -Infinity);
  }

  get pointCount() {
    return this.stays.reduce((count, { first, last }) => count + last - first + 1, 0);
  }

  /** @param {Spell} other of the same path, filled @returns {boolean} whether no filled gap is in it */
  isSame(other) {
    return this.end === other.end && this.stays.length === other.stays.length && this.pointCount === other.pointCount;
  }

  /** @param {Spell[]} others @returns {boolean} whether one of them begins in it */
  holdsAny(others) {
    return others.some((other) => this.start <= other.start && other.start <= this.end);
  }

  /** @param {number} row @returns {boolean} */
  holdsRow(row) {
    return this.stays.some((stay) => stay.holdsRow(row));
  }

  /**
   * Whether it begins in a stretch of time, or is going on when that begins.
   * @param {number} from [s]
   * @param {number} to not part of the stretch [s]
   * @param {boolean} isClosed whether its own ends are part of it
   * @returns {boolean}
   */
  beginsIn(from, to, isClosed) {
    if (from <= this.start && this.start < to) return true;
    return isClosed ? this.start <= from && from <= this.end : this.start < from && from < this.end;
  }

  /** @param {import("./stays.js").Bound} bound @returns {Curve} the duration curve of all its stays together */
  curve(bound) {
    const count = this.stays.reduce((sum, stay) => sum + stay.pieceCount, 0);
    const pieces = {
      low: new Float64Array(count),
      high: new Float64Array(count),
      seconds: new Float64Array(count),
    };
    this.stays.reduce((place, stay) => stay.piecesPut(pieces, place, bound.limit), 0);
    return new Curve(pieces.low, pieces.high, pieces.seconds, bound);
  }
}

/**
 * Stays gathered into excursions.
 * @param {Stay[]} stays in order of time
 * @param {number} rejoinS the longest separation of two that count as one; to the microsecond [s]
 * @param {boolean} isPooled whether all of a run count as one
 * @returns {Spell[]}
 */
export function rejoined(stays, rejoinS, isPooled) {
  const groups = [];
  stays.forEach((stay, k) => {
    const isApart = k === 0 || (!isPooled && stay.start - stays[k - 1].end > rejoinS + MICROSECOND);
    if (isApart) groups.push([stay]);
    else groups[groups.length - 1].push(stay);
  });
  return groups.map((group) => new Spell(group));
}
