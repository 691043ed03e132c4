// Judges an invented run before a person waits for a real one, so that the browser has made the judging fast by then.
import { judgeTrace } from "./index.js";

const ROWS = 6000;
const RATE = 4;
const ROUNDS = 3;
const MISSING_EVERY = 500;

/**
 * @param {object} typeDocument an engine type document that the server has checked
 * @param {import("./units.js").Units} units
 */
export function judgingWarmed(typeDocument, units) {
  for (let round = 0; round < ROUNDS; round++) judgeTrace(typeDocument, inventedRun(typeDocument), units);
}

// Each channel swings about the first of its limits, and the speed rises from rest and falls back to it.
function inventedRun({ channels, charts, segmentation }) {
  const times = Float64Array.from({ length: ROWS }, (_, k) => k / RATE);
  const column = ({ name }, place) => {
    const limit = charts.find(({ channel }) => channel === name)?.limit ?? 1;
    const ramp = (k) => (name === segmentation?.speed ? 2 * Math.min(k, ROWS - k) / ROWS : 1);
    const swing = (k) => 1 + 0.3 * Math.sin(k / (40 + place)) + 0.02 * Math.sin(7 * k);
    return Float64Array.from(times, (_, k) => ((k + place) % MISSING_EVERY === 0 ? NaN : limit * ramp(k) * swing(k)));
  };
  return { times, channels: Object.fromEntries(channels.map((channel, place) => [channel.name, column(channel, place)])) };
}
