// Units by the tables that come with a type document; there is none in here.
import { JudgingError } from "./errors.js";

/**
 * @typedef {object} Conversion (value + before) * times / over + after; a difference is multiplied by `difference`
 * @property {number} before
 * @property {number} times
 * @property {number} over
 * @property {number} after
 * @property {number} difference
 */

/**
 * @typedef {object} Units
 * @property {Record<string, string>} names what people and recorders write, in small letters, and each name itself: the unit's name
 * @property {Record<string, Record<string, Conversion>>} conversions from one unit to another
 */

/** @type {Conversion} */
const SAME = { before: 0, times: 1, over: 1, after: 0, difference: 1 };

/**
 * The name of a unit, or null where the tables do not know it.
 * @param {Units} units
 * @param {string} text
 * @returns {string | null}
 */
export function unitKnown(units, text) {
  const bare = text.trim().replace(/^[[\]()]+|[[\]()]+$/g, "").trim();
  const names = new Map(Object.entries(units.names ?? {}));
  return names.get(bare.toLowerCase()) ?? names.get(bare) ?? null;
}

/**
 * How readings in one unit become readings in another.
 * @param {Units} units
 * @param {string} from
 * @param {string} to
 * @returns {Conversion}
 */
export function conversionOf(units, from, to) {
  if (from === to) return SAME;
  const found = units.conversions?.[from]?.[to];
  if (found) return found;
  if (units.conversions?.[from]) {
    throw new JudgingError("unit_unusable", `${from} can't be turned into ${to}: they measure different things.`);
  }
  throw new JudgingError("left_to_server", `This phone was given no way to turn ${from} into ${to}; the server has one.`);
}

/**
 * @param {Conversion} by
 * @param {number} value
 * @returns {number}
 */
export function converted(by, value) {
  return by === SAME ? value : ((value + by.before) * by.times) / by.over + by.after;
}
