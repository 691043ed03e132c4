// Evidence and limits in, the verdict document out.
import { chartExcursions } from "./chart_judging.js";
import { clip, pathOf } from "./paths.js";
import { isPast } from "./stays.js";
import { segmentsOf } from "./regimes.js";
import { channelLook, timesChecked } from "./trace.js";
import { conversionOf, converted } from "./units.js";

const ALL_REGIMES = 3;

/**
 * @typedef {object} Case one trace before one type
 * @property {import("./charts.js").EngineType} type
 * @property {import("./trace.js").Trace} trace
 * @property {import("./units.js").Units} units
 * @property {import("./regimes.js").Segments | null} segments
 * @property {Map<string, import("./trace.js").Look>} looks by channel that has a column
 */

/**
 * The verdict on a recorded run.
 * @param {import("./charts.js").EngineType} type
 * @param {import("./trace.js").Trace} trace
 * @param {import("./units.js").Units} units
 * @returns {object} the verdict document
 */
export function traceVerdict(type, trace, units) {
  timesChecked(trace.times);
  const present = [...type.channels.values()].filter(({ name }) => Object.hasOwn(trace.channels, name));
  const looks = new Map(present.map((c) => [c.name, channelLook(trace.times, trace.channels[c.name], c.gapS)]));
  const segments = segmentsOf(trace, type.segmentation);
  return {
    samples: trace.times.length,
    regimes: segments?.spans ?? [],
    starts: segments?.starts ?? [],
    usage: segments?.usage ?? null,
    unobserved: [...looks].flatMap(([channel, { gaps }]) => gapsTold(channel, gaps)),
    ignored: trace.ignored ?? [],
    ...chartsJudged({ type, trace, units, segments, looks }),
  };
}

function gapsTold(channel, gaps) {
  return Array.from({ length: gaps.length / 2 }, (_, k) => ({
    channel,
    start_s: gaps[2 * k],
    end_s: gaps[2 * k + 1],
  }));
}

function chartsJudged(one) {
  const [notes, refused, excursions] = [[], [], []];
  for (const chart of one.type.charts) {
    const reason = reasonNotJudged(one, chart);
    if (reason) {
      refused.push({ chart: chart.name, reason });
      continue;
    }
    if (!one.segments && chart.regimes) {
      notes.push(`${chart.name}: judged over the whole trace, since its regimes are not known.`);
    }
    excursions.push(...chartJudged(one, chart));
  }
  return { notes, repeats: "not counted", not_judged: refused, excursions };
}

function reasonNotJudged({ looks, segments }, { channel, regimes }) {
  const look = looks.get(channel);
  if (!look) return `the trace has no column for ${channel}`;
  if (!look.count) return `the trace has no valid sample of ${channel}`;
  if (!segments && regimes && !regimes.includes("running")) {
    return `the ${regimes.join(" and ")} part of the run is not known without the speed channel`;
  }
  return "";
}

function chartJudged(one, chart) {
  const channel = one.type.channels.get(chart.channel);
  const by = conversionOf(one.units, channel.unit, chart.unit);
  const tolerance = channel.tolerance * by.difference;
  const look = one.looks.get(channel.name);
  if (isClear(look, chart, by, tolerance)) return [];
  const how = { sign: chart.sign, by, gapS: channel.gapS, count: look.count };
  const whole = pathOf(one.trace.times, one.trace.channels[channel.name], how);
  return chartExcursions({
    chart,
    tolerance,
    whole,
    paths: windows(one, chart, whole),
    starting: isOfStarts(one, chart) ? stretchesOf(one, chart) : null,
  });
}

// Whether no sample can be beyond the limit, from the extremes alone.
function isClear({ low, high }, chart, by, tolerance) {
  const worst = chart.sign * converted(by, chart.sign > 0 ? high : low) + tolerance;
  return !isPast(worst, chart);
}

function isOfStarts({ segments }, { regimes }) {
  return segments !== null && regimes?.length === 1 && regimes[0] === "starting";
}

function stretchesOf({ segments }, { regimes }) {
  return segments.stretches.filter(({ regime }) => regimes.includes(regime));
}

// The parts of the path that a chart judges; stretches that meet are one part.
function windows(one, chart, whole) {
  const isWhole = !one.segments || !chart.regimes || chart.regimes.length === ALL_REGIMES || isOfStarts(one, chart);
  if (isWhole) return [whole];
  const parts = [];
  for (const { first, last } of stretchesOf(one, chart)) {
    const before = parts[parts.length - 1];
    if (before && before.last.row === first.row) before.last = last;
    else parts.push({ first, last });
  }
  return parts.map(({ first, last }) => clip(whole, first, last));
}
