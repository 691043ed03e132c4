// Scales from values to pixels, and the round figures at which an axis is marked, as the server's own pictures have them.
const SAME = 1e-6;
const CLOCK_STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 10800, 21600];
const [SHORT, GIVEN_SHARE] = [0.3, 0.6]; // an excursion below this share of the time axis is given this share of it

/** A scale of one or two straight parts; values increase, pixels belong to them. */
export class Scale {
  /** @param {number[]} values @param {number[]} pixels */
  constructor(values, pixels) {
    this.values = values;
    this.pixels = pixels;
  }

  /** @returns {number} the greatest value drawn */
  get high() {
    return this.values.at(-1);
  }

  /** @returns {number|null} where the scale changes */
  get turn() {
    return this.values.length === 3 ? this.values[1] : null;
  }

  /** @param {number} value @returns {number} its pixel; beyond the scale's ends, the end's */
  at(value) {
    const { values, pixels } = this;
    if (value <= values[0]) return pixels[0];
    const k = values.findIndex((one) => one >= value);
    if (k < 0) return pixels.at(-1);
    return pixels[k - 1] + ((value - values[k - 1]) / (values[k] - values[k - 1])) * (pixels[k] - pixels[k - 1]);
  }
}

/** The step of 1, 2 or 5 times a power of ten that parts a span into at most so many. */
export function roundStep(span, count) {
  const rough = span / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  return power * [1, 2, 5, 10].find((factor) => factor * power >= rough * (1 - SAME));
}

/** @returns {number[]} round values within a span */
export function valueTicks(low, high, count) {
  return multiples(low, high, roundStep(high - low, Math.max(count, 1)));
}

/** @returns {number[]} whole seconds, minutes or parts of an hour within a span [s] */
export function clockTicks(low, high, count) {
  const rough = (high - low) / Math.max(count, 1);
  return multiples(low, high, CLOCK_STEPS.find((step) => step >= rough) ?? Math.ceil(rough / 3600) * 3600);
}

function multiples(low, high, step) {
  const [first, last] = [Math.ceil(low / step - SAME), Math.floor(high / step + SAME)];
  return Array.from({ length: Math.max(last - first + 1, 0) }, (_, k) => Number(((first + k) * step).toFixed(9)));
}

/**
 * A scale on which the longest allowed time has its place, and a short excursion room to be read.
 * @param {import("../judge/charts.js").Chart} chart @param {number} seconds @param {number} left @param {number} right
 */
export function timeScale(chart, seconds, left, right) {
  const longest = Math.max(seconds, ...chart.areas.flatMap(({ edge }) => [...edge.seconds]));
  const end = 1.15 * longest || 1;
  if (seconds <= 0 || seconds >= SHORT * longest) return new Scale([0, end], [left, right]);
  const step = roundStep(1.4 * seconds, 4);
  return new Scale([0, step * Math.ceil((1.4 * seconds) / step), end], [left, left + GIVEN_SHARE * (right - left), right]);
}

/**
 * A scale of values turned so that higher is worse, which leaves two lines of text on the near side of the limit.
 * @param {import("../judge/charts.js").Chart} chart @param {number} peak turned
 * @param {number} top @param {number} bottom @param {number} size of letters
 */
export function beyondScale({ limit, levels, sign }, peak, top, bottom, size) {
  const farthest = Math.max(peak, ...levels);
  const beyond = limit + 1.25 * (Math.max(farthest - limit, 0.02 * Math.abs(limit)) || 1);
  const far = sign < 0 && farthest < 0 ? Math.min(beyond, 0) : beyond;
  const near = limit - ((far - limit) * 2.2 * size) / (bottom - top);
  return new Scale([near, far], sign > 0 ? [bottom, top] : [top, bottom]);
}
