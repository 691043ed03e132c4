// Stamps and clocks as whole microseconds, and numbers as they are written.

const HALF_DAY = 43_200_000_000;
const DAY = 86_400_000_000;
const CLOCK = /^(\d+):(\d{1,2})(?::(\d{1,2})(?:\.(\d*))?)?$/;
const STAMP = /^([1-9]\d{3})([-/.])(\d{1,2})\2(\d{1,2})[T ](\d{1,2}):(\d{2})(?::(\d{2})(?:\.(\d+))?)?\s*(Z|[+-]\d{2}(?::?\d{2})?)?$/;
const PACKED = /^([1-9]\d{3})()(\d{2})(\d{2})T(\d{2})(\d{2})(?:(\d{2})(?:\.(\d+))?)?\s*(Z|[+-]\d{2}(?::?\d{2})?)?$/;
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;
const INFINITE = /^[+-]?inf(inity)?$/i;

/**
 * The number that a cell holds: NaN for a word, an infinity where one is written.
 * @param {string} cell
 * @param {"." | "," | null} decimal null where either will do
 * @returns {number}
 */
export function numberIn(cell, decimal) {
  if (decimal === ",") return pointNumber(cell.replace(/[,.]/g, (mark) => (mark === "," ? "." : ",")));
  const number = pointNumber(cell);
  return decimal === null && Number.isNaN(number) ? numberIn(cell, ",") : number;
}

function pointNumber(cell) {
  if (NUMBER.test(cell)) return Number(cell);
  return INFINITE.test(cell) ? Infinity : NaN;
}

/**
 * Microseconds of a clock since midnight, or of a stamp since 1970 in UTC; NaN where it is neither.
 * @param {string} cell
 * @param {boolean} isClock
 * @returns {number} [µs]
 */
export function ticksIn(cell, isClock) {
  const text = cell.replaceAll(",", ".");
  return isClock ? clockTicks(text) : stampTicks(text);
}

function clockTicks(text) {
  const found = CLOCK.exec(text);
  return found ? timeTicks(found[1], found[2], found[3], found[4]) : NaN;
}

function stampTicks(text) {
  const found = STAMP.exec(text) ?? PACKED.exec(text);
  if (!found) return NaN;
  const [, year, , month, day, hours, minutes, seconds, fraction, zone] = found;
  const midnight = Date.UTC(year, month - 1, day);
  const isReal = new Date(midnight).getUTCMonth() === month - 1 && new Date(midnight).getUTCDate() === Number(day);
  const isClock = hours < 24 && minutes < 60 && (seconds ?? 0) < 60;
  if (!isReal || !isClock) return NaN;
  return midnight * 1000 + timeTicks(hours, minutes, seconds, fraction) - zoneTicks(zone);
}

function timeTicks(hours, minutes, seconds = "0", fraction = "") {
  const whole = (Number(hours) * 60 + Number(minutes)) * 60 + Number(seconds);
  return whole * 1_000_000 + Number(fraction.slice(0, 6).padEnd(6, "0"));
}

function zoneTicks(zone) {
  if (!zone || zone === "Z") return 0;
  const sign = zone[0] === "-" ? -1 : 1;
  return sign * timeTicks(zone.slice(1, 3), zone.slice(3).replace(":", "") || "0");
}

/**
 * Turn ticks into seconds from the first, in place. A clock that jumps back by more than twelve hours passed midnight.
 * @param {Float64Array} ticks [µs]
 * @param {boolean} isClock
 */
export function secondsFrom(ticks, isClock) {
  const first = ticks[0];
  let [days, before] = [0, first];
  for (let k = 0; k < ticks.length; k++) {
    if (isClock && ticks[k] - before < -HALF_DAY) days += DAY;
    before = ticks[k];
    ticks[k] = (before + days - first) / 1e6;
  }
}
