// The picture that explains a verdict: time lying, value upright, the chart's areas hatched and named, the excursion drawn in.
import { beyondScale, clockTicks, timeScale, valueTicks } from "./scales.js";
import { drawn, hatches, hatchOf, pointsText, STROKES } from "./svg.js";
import { edgeOf, placed, surfacesOf } from "./surfaces.js";

const [WIDTH, HEIGHT, SIZE, LINE, EM] = [328, 270, 11, 1.25, 0.62];
const CLOCK_FROM = 600; // from this long on, times are marked in minutes and seconds [s]
let count = 0;

/**
 * @param {Document} page
 * @param {import("../judge/charts.js").Chart} chart
 * @param {{peak: number|null, seconds_above: number|null, curve?: [number, number][], evidence?: string}} excursion with the curve of a recorded one, its values turned outward
 * @param {{title: string, words: string, unit: string}} told
 * @returns {Element|null} null where its peak or its time is not known, and there is nothing to draw
 */
export function excursionPicture(page, chart, excursion, { title, words, unit }) {
  if (excursion.peak === null || !excursion.seconds_above) return null;
  const prefix = `picture-${(count += 1)}`;
  const sheet = sheetOf(chart, excursion);
  const parts = [
    drawn(page, "title", { id: `${prefix}-title` }, [title]),
    drawn(page, "desc", { id: `${prefix}-desc` }, [words]),
    hatches(page, prefix, chart.areas.length),
    ...areas(page, sheet, prefix),
    ...curve(page, sheet, excursion),
    ...axes(page, sheet, unit),
  ];
  const looks = { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, width: "100%", "font-family": "system-ui, sans-serif", fill: "none" };
  return drawn(page, "svg", { class: "picture", role: "img", "aria-labelledby": `${prefix}-title ${prefix}-desc`, ...looks }, parts);
}

/**
 * Where the parts stand.
 * @param {{top?: number, bottom?: number, left?: number, right?: number}} box
 * @returns {{chart: object, x: object, y: object, frame: object, ticks: [number, string][], times: [number, string][]}} marks with their texts, values turned
 */
export function sheetOf(chart, { peak, seconds_above: seconds }, box = {}) {
  const { top, bottom, right } = { top: 2 * SIZE, bottom: HEIGHT - 2 * LINE * SIZE - 10, right: WIDTH - 2 * SIZE, ...box };
  const y = beyondScale(chart, chart.sign * peak, top, bottom, SIZE);
  const ticks = levelTicks(chart, y);
  const left = box.left ?? Math.max(...ticks.map(([, words]) => words.length * SIZE * EM)) + 9;
  const x = timeScale(chart, seconds, left, right);
  return { chart, frame: { top, bottom, left, right }, x, y, ticks, times: timeTicks(x) };
}

// Round times: seconds, or minutes and seconds on a long axis.
function timeTicks(x) {
  const isClock = x.high >= CLOCK_FROM;
  const spans = x.values.slice(1).map((high, k) => [x.values[k], high]);
  const times = spans.flatMap(([low, high]) => (isClock ? clockTicks : valueTicks)(low, high, Math.floor((x.at(high) - x.at(low)) / (5 * SIZE))));
  return [...new Set(times)].sort((one, other) => one - other).map((time) => [time, isClock ? clock(time) : figure(time)]);
}

// The chart's levels and, where these leave room, round values; as they are read.
function levelTicks({ levels, sign }, y) {
  const ticks = [...levels].filter((level) => level <= y.high);
  const room = Math.abs(y.pixels[1] - y.pixels[0]) / (2.4 * SIZE);
  const [low, high] = [y.values[0], y.high].map((value) => sign * value).sort((one, other) => one - other);
  for (const value of valueTicks(low, high, Math.floor(room)).map((read) => sign * read)) {
    if (ticks.every((tick) => Math.abs(y.at(value) - y.at(tick)) > 1.3 * SIZE)) ticks.push(value);
  }
  return ticks.map((value) => [value, figure(sign * value)]);
}

function areas(page, { chart, frame, x, y }, prefix) {
  const across = (level, looks) => drawn(page, "line", { class: `picture-${looks}`, x1: frame.left, y1: y.at(level), x2: frame.right, y2: y.at(level), ...STROKES[looks] });
  const surfaces = surfacesOf(chart, x, y);
  const filled = surfaces.flatMap((own, place) => own.map((corners) => drawn(page, "polygon", { class: "picture-area", points: pointsText(placed(corners, x, y)), fill: `url(#${prefix}-${hatchOf(place)})` })));
  const edges = chart.areas.map((_, place) => line(page, "edge", placed(edgeOf(chart, place, x, y), x, y)));
  const names = surfaces.flatMap((own, place) => named(page, own, `Area ${chart.areas[place].name}`, x, y));
  return [...filled, ...edges, ...[...chart.levels].slice(1).map((level) => across(level, "level")), across(chart.limit, "limit"), ...names];
}

// In the midst of its largest surface.
function named(page, surfaces, name, x, y) {
  const boxes = surfaces.map((corners) => {
    const [xs, ys] = [corners.map(([time]) => x.at(time)), corners.map(([, value]) => y.at(value))];
    return { xs, ys, extent: Math.min((Math.max(...xs) - Math.min(...xs)) / 3, Math.max(...ys) - Math.min(...ys)) };
  });
  const [largest] = boxes.sort((one, other) => other.extent - one.extent);
  if (!largest) return [];
  const middle = (values) => values.slice(0, 4).reduce((sum, value) => sum + value, 0) / 4;
  return [text(page, middle(largest.xs), middle(largest.ys) + 0.35 * SIZE, name, { "text-anchor": "middle", "font-weight": "bold" })];
}

// What a recording showed as the times beyond each value; what was written down, and what is read by its peak, as a rectangle.
function curve(page, { chart, x, y }, { peak, seconds_above: seconds, curve: points = [], evidence }) {
  const worst = chart.sign * peak;
  const isBox = chart.byPeak || evidence === "reading";
  const box = [[seconds, chart.limit], [seconds, worst], [0, worst]];
  const corners = points.map(([value, lasting]) => [lasting, value]);
  const marks = isBox ? [[seconds, worst]] : [[0, worst], [seconds, chart.limit]];
  return [
    ...(corners.length ? [line(page, "curve", placed(corners, x, y))] : []),
    ...(isBox ? [line(page, "by-peak", placed(box, x, y))] : []),
    ...marks.map(([time, value]) => drawn(page, "circle", { class: "picture-peak", cx: x.at(time), cy: y.at(value), r: 0.32 * SIZE, fill: "Canvas", stroke: "currentColor", "stroke-width": 2 })),
  ];
}

function axes(page, { chart, frame, x, y, ticks, times }, unit) {
  const beyond = chart.sign > 0 ? "above" : "below";
  const { top, bottom, left, right } = frame;
  const below = chart.sign > 0 ? 1.2 * SIZE : -0.5 * SIZE;
  return [
    line(page, "axis", [[left, top], [left, bottom], [right, bottom]]),
    ...ticks.flatMap(([value, words]) => [line(page, "thin", [[left - 5, y.at(value)], [left, y.at(value)]]), text(page, left - 7, y.at(value) + 0.36 * SIZE, words, { "text-anchor": "end" })]),
    ...times.flatMap(([time, words]) => [line(page, "thin", [[x.at(time), bottom], [x.at(time), bottom + 5]]), text(page, x.at(time), bottom + 5 + LINE * SIZE, words, { "text-anchor": "middle" })]),
    text(page, right, HEIGHT - 4, `Time ${beyond} the value (${x.high >= CLOCK_FROM ? "min:s" : "s"})`, { "text-anchor": "end" }),
    text(page, right - 4, y.at(chart.limit) + below, `Limit ${figure(chart.sign * chart.limit)} ${unit}`, { "text-anchor": "end", "font-weight": "bold" }),
    ...(x.turn === null ? [] : [line(page, "thin", [[x.at(x.turn), top], [x.at(x.turn), bottom]]), text(page, x.at(x.turn), top - 4, `scale changes at ${figure(x.turn)} s`, { "text-anchor": "middle" })]),
  ];
}

function line(page, looks, points) {
  return drawn(page, "polyline", { class: `picture-${looks}`, points: pointsText(points), "stroke-linejoin": "round", ...STROKES[looks] });
}

function text(page, x, y, words, looks) {
  const ground = { "paint-order": "stroke", stroke: "Canvas", "stroke-width": 3 };
  return drawn(page, "text", { class: "picture-label picture-haloed", x, y, "font-size": SIZE, fill: "currentColor", ...ground, ...looks }, [words]);
}

function figure(value) {
  return String(Number(value.toFixed(2)));
}

function clock(seconds) {
  return `${Math.floor(seconds / 60)}:${String(Math.round(seconds % 60)).padStart(2, "0")}`;
}
