// Regimes of a run, by its speed: where each begins and ends, and the turnings they make.
import { startOf, usageOf } from "./starts.js";

const IDLE = 3;
const SLOW = 1;

/** @typedef {"starting" | "running" | "stopping"} Regime */
/** @typedef {{row: number, time: number}} Edge */
/** @typedef {{regime: Regime, first: Edge, last: Edge}} Stretch the edge rows belong to both neighbours */

/**
 * @typedef {object} Segments
 * @property {Stretch[]} stretches
 * @property {{regime: Regime, start_s: number, end_s: number}[]} spans those that take time
 * @property {object[]} starts
 * @property {{hours: number, starts: number, cycles: number}} usage
 */

/**
 * A run parted into regimes with its starts and usage; null where its speed is not known.
 * @param {import("./trace.js").Trace} trace
 * @param {object | null} segmentation
 * @returns {Segments | null}
 */
export function segmentsOf(trace, segmentation) {
  const speed = segmentation ? trace.channels[segmentation.speed] : undefined;
  const firstSample = speed ? speed.findIndex((value) => Number.isFinite(value)) : -1;
  if (firstSample < 0) return null;
  const parts = partsOf(changesOf(speed, firstSample, segmentation), trace.times);
  const stretches = parts.filter(({ regime }) => regime !== null);
  const pairs = episodesOf(parts, firstSample).map((episode) => ({
    episode,
    start: episode.isStart ? startOf(trace, segmentation, episode) : null,
  }));
  const starts = pairs.flatMap(({ start }) => start ?? []);
  return { stretches, spans: spansOf(stretches), starts, usage: usageOf(trace.times, pairs, starts) };
}

function spansOf(stretches) {
  return stretches
    .filter(({ first, last }) => last.time > first.time)
    .map(({ regime, first, last }) => ({ regime, start_s: first.time, end_s: last.time }));
}

// Each regime entered with the row at which it was; null is rest.
function changesOf(speed, firstSample, segmentation) {
  const reached = reachedIn(speed, firstSample, segmentation);
  const changes = [{ regime: beginning(reached), row: 0 }];
  for (const { row, code } of reached.slice(1)) {
    changes.push(...entered(changes[changes.length - 1].regime, code).map((regime) => ({ regime, row })));
  }
  return changes;
}

// Where the number changes of the speeds turning, stopping_below and idle that are reached, with that number.
function reachedIn(speed, firstSample, { turning, stopping_below: slow, idle }) {
  const reached = [];
  let before = -1;
  for (let row = firstSample; row < speed.length; row++) {
    const value = speed[row];
    if (value - value !== 0) continue; // an infinity less itself is no number either
    let code = IDLE;
    if (value < turning) code = 0;
    else if (value < slow) code = SLOW;
    else if (value < idle) code = 2;
    if (code !== before) reached.push({ row, code });
    before = code;
  }
  return reached;
}

// A first sample between turning and idle is told by what follows.
function beginning(reached) {
  const [{ code }] = reached;
  if (code === 0) return null;
  if (code === IDLE) return "running";
  const later = reached.find((one) => one.code === 0 || one.code === IDLE);
  return later?.code === IDLE ? "starting" : "stopping";
}

function entered(before, code) {
  const regimes = [];
  let regime = before;
  if (regime === null && code > 0) regimes.push((regime = "starting"));
  if (regime === "running" && code <= SLOW) regimes.push((regime = "stopping"));
  if (regime !== null && code === 0) regimes.push(null);
  if (regime !== null && regime !== "running" && code === IDLE) regimes.push("running");
  return regimes;
}

function partsOf(changes, times) {
  const edge = (row) => ({ row, time: times[row] });
  return changes.map(({ regime, row }, k) => ({
    regime,
    first: edge(row),
    last: edge(changes[k + 1]?.row ?? times.length - 1),
  }));
}

// The turnings: each runs from leaving rest to the fall below turning, or to the end of the trace.
function episodesOf(parts, firstSample) {
  const groups = [];
  parts.forEach((part, k) => {
    if (part.regime === null) return;
    if (k === 0 || parts[k - 1].regime === null) groups.push([]);
    groups[groups.length - 1].push(part);
  });
  return groups.map((group) => episodeOf(group, firstSample, group[group.length - 1] === parts[parts.length - 1]));
}

function episodeOf(group, firstSample, isCut) {
  const running = group.filter(({ regime }) => regime === "running");
  return {
    turning: Math.max(group[0].first.row, firstSample),
    idle: running.length ? running[0].first.row : null,
    end: group[group.length - 1].last.row,
    runEnd: running.length ? running[running.length - 1].last.row : null,
    isStart: group[0].regime === "starting",
    isCut,
  };
}
