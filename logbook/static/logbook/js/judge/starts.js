// The starts of a run: light-off, peak and outcome of each, and what the run used.

const SECONDS_PER_HOUR = 3600;

/**
 * @typedef {object} Episode one turning, by rows
 * @property {number} turning
 * @property {number | null} idle
 * @property {number} end
 * @property {number | null} runEnd
 * @property {boolean} isStart
 * @property {boolean} isCut whether the trace ends before the speed falls below turning
 */

/**
 * @param {import("./trace.js").Trace} trace
 * @param {object} segmentation
 * @param {Episode} episode
 * @returns {object} as the verdict tells a start
 */
export function startOf(trace, segmentation, episode) {
  const stop = episode.isCut ? episode.end + 1 : episode.end;
  const temperature = trace.channels[segmentation.temperature] ?? new Float64Array(0);
  const lit = lightOff(temperature, episode.turning, stop, segmentation.light_off_rise);
  const hottest = hottestRow(temperature, episode.turning, episode.idle === null ? stop : episode.idle + 1);
  const timeOf = (row) => (row === null ? null : trace.times[row]);
  return {
    turning_s: trace.times[episode.turning],
    light_off_s: timeOf(lit),
    speed_at_light_off: lit === null ? null : valueAt(trace.times, trace.channels[segmentation.speed], lit),
    peak: hottest === null ? null : temperature[hottest],
    peak_s: timeOf(hottest),
    idle_s: timeOf(episode.idle),
    outcome: outcomeOf(episode, lit),
  };
}

// The row at which the temperature has first risen enough above its lowest since turning.
function lightOff(temperature, first, stop, rise) {
  let lowest = Infinity;
  for (let row = first; row < Math.min(stop, temperature.length); row++) {
    const value = temperature[row];
    if (!Number.isFinite(value)) continue;
    if (value < lowest) lowest = value;
    if (value - lowest >= rise) return row;
  }
  return null;
}

function hottestRow(temperature, first, stop) {
  let hottest = null;
  for (let row = first; row < Math.min(stop, temperature.length); row++) {
    if (!Number.isFinite(temperature[row])) continue;
    if (hottest === null || temperature[row] > temperature[hottest]) hottest = row;
  }
  return hottest;
}

// A channel at a row between two of its valid samples, interpolated in time; beyond them, the nearest.
function valueAt(times, values, row) {
  const left = validNear(values, row, -1);
  const right = validNear(values, row, 1);
  if (left === null || right === null) return values[left ?? right];
  const width = times[right] - times[left];
  const share = width > 0 ? (times[row] - times[left]) / width : 0;
  return values[left] + (values[right] - values[left]) * share;
}

function validNear(values, row, step) {
  for (let k = row; k >= 0 && k < values.length; k += step) if (Number.isFinite(values[k])) return k;
  return null;
}

function outcomeOf({ idle, isCut }, lit) {
  if (idle !== null) return "started";
  if (lit === null) return "motoring";
  return isCut ? "cut" : "aborted";
}

/**
 * The hours from light-off to the end of running, the starts and the cycles.
 * @param {Float64Array} times
 * @param {{episode: Episode, start: object | null}[]} pairs
 * @param {object[]} starts
 * @returns {{hours: number, starts: number, cycles: number}}
 */
export function usageOf(times, pairs, starts) {
  const ran = pairs.filter(({ episode }) => episode.runEnd !== null);
  const seconds = ran.map(({ episode, start }) => {
    const lit = start ? (start.light_off_s ?? start.idle_s) : times[0];
    return Math.max(lit, times[episode.runEnd]) - lit;
  });
  return {
    hours: seconds.reduce((sum, one) => sum + one, 0) / SECONDS_PER_HOUR,
    starts: starts.filter(({ outcome }) => outcome !== "motoring").length,
    cycles: starts.filter(({ outcome }) => outcome === "started").length,
  };
}
