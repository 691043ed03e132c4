// The type document as judging needs it: defaults filled in, values turned so that higher is worse.
import { distinct } from "./sorted.js";
import { Edge } from "./edges.js";
import { unitKnown } from "./units.js";

const REGIMES = ["starting", "running", "stopping"];
const USUAL_GAP_S = 2;

/**
 * @typedef {object} Channel
 * @property {string} name
 * @property {string} label
 * @property {string} unit
 * @property {number} tolerance [unit]
 * @property {number} gapS the longest step that still joins two samples [s]
 */

/**
 * @typedef {object} Chart
 * @property {string} name
 * @property {string} channel
 * @property {string} unit
 * @property {"above" | "below"} side
 * @property {1 | -1} sign what readings are multiplied by
 * @property {number} limit turned
 * @property {boolean} isClosed whether the boundary itself is beyond
 * @property {boolean} byPeak
 * @property {number} rejoinS
 * @property {boolean} isPooled whether all excursions of a run are one
 * @property {string[] | null} regimes
 * @property {{name: string, edge: Edge}[]} areas mildest first
 * @property {Float64Array} levels the limit and every vertex once, outward, turned
 */

/**
 * @typedef {object} EngineType
 * @property {Map<string, Channel>} channels
 * @property {Chart[]} charts
 * @property {object | null} segmentation
 */

/**
 * Read a type document that the server has checked.
 * @param {object} document
 * @param {import("./units.js").Units} units
 * @returns {EngineType}
 */
export function engineTypeRead(document, units) {
  const gapS = document.max_gap_s ?? USUAL_GAP_S;
  const channels = new Map(document.channels.map((item) => [item.name, channelRead(item, gapS, units)]));
  return {
    channels,
    charts: document.charts.map((item) => chartRead(item, channels, units)),
    segmentation: document.segmentation ?? null,
  };
}

function channelRead(item, gapS, units) {
  return {
    name: item.name,
    label: item.label ?? item.name,
    unit: unitKnown(units, item.unit) ?? item.unit,
    tolerance: item.tolerance ?? 0,
    gapS: item.max_gap_s ?? gapS,
  };
}

function chartRead(item, channels, units) {
  const side = item.side ?? "above";
  const sign = side === "above" ? 1 : -1;
  const limit = sign * item.limit;
  const areas = item.areas.map((area) => ({ name: area.name, edge: edgeRead(area, item, side, sign) }));
  return {
    name: item.name,
    channel: item.channel,
    unit: item.unit ? (unitKnown(units, item.unit) ?? item.unit) : channels.get(item.channel).unit,
    side,
    sign,
    limit,
    isClosed: item.on_boundary === "beyond",
    byPeak: (item.method ?? "peak") === "peak",
    rejoinS: item.rejoin_s ?? 0,
    isPooled: item.accumulate === "run",
    regimes: item.regimes ? REGIMES.filter((name) => item.regimes.includes(name)) : null,
    areas,
    levels: distinct(Float64Array.from([limit, ...areas.flatMap(({ edge }) => [...edge.values])])),
  };
}

function edgeRead(area, chart, side, sign) {
  const values = Float64Array.from(area.allowed, (vertex) => sign * vertex[side]);
  const seconds = Float64Array.from(area.allowed, (vertex) => vertex.seconds);
  return new Edge(values, seconds, chart.boundary === "linear");
}
