// One chart over one trace: its excursions, the areas they enter, and their margins.
import { areaEntered, areaName, levelsOf, marginOf } from "./areas.js";
import { CURVE } from "./curve.js";
import { rejoined } from "./excursions.js";
import { filled } from "./filling.js";
import { Rectangle } from "./rectangle.js";
import { countUpTo } from "./sorted.js";
import { staysOf } from "./stays.js";

const NEAR_S = 1e-9;

/**
 * @typedef {object} View one chart over one trace
 * @property {import("./charts.js").Chart} chart
 * @property {number} tolerance [chart's unit]
 * @property {import("./paths.js").Path} whole
 * @property {import("./paths.js").Path[]} paths the parts judged
 * @property {import("./regimes.js").Stretch[] | null} starting of a chart that judges the excursions of starts
 */

/**
 * The excursions of one chart in order of start, near misses included.
 * @param {View} view
 * @returns {object[]}
 */
export function chartExcursions(view) {
  const proven = judged(view, view.paths, []).map((spell) => measured(view, spell));
  const possible = possibleOf(view, proven);
  const starts = Float64Array.from(possible, ({ spell }) => spell.start);
  const holders = proven.map(({ spell }) => countUpTo(starts, spell.start + NEAR_S) - 1);
  const found = proven.map((one, k) => provenTold(view, one, holders[k], possible[holders[k]].entered));
  possible.forEach((one, place) => {
    if (one.entered >= 0 && !holders.includes(place)) found.push(possibleTold(view, one, place));
  });
  return found.sort((one, other) => one.start_s - other.start_s || one.end_s - other.end_s);
}

// The excursions of the filled and raised trace; each proven one lies in one of them.
function possibleOf(view, proven) {
  const paths = view.paths.map((path) => filled(path, view.chart, view.tolerance));
  if (paths.every((path, k) => path === view.paths[k])) return proven;
  const held = proven.map(({ spell }) => spell);
  // Most excursions meet no gap, and are what they were.
  const known = new Map(view.tolerance === 0 ? proven.map((one) => [one.spell.start, one]) : []);
  return judged(view, paths, held).map((spell) => {
    const same = known.get(spell.start);
    return same?.spell.isSame(spell) ? same : measured(view, spell);
  });
}

function judged({ chart, starting }, paths, holding) {
  let stays = paths.flatMap((path) => staysOf(path, chart));
  if (starting) {
    const apart = rejoined(stays, chart.rejoinS, false);
    const kept = apart.filter((spell) => isOfStart(spell, starting, chart) || spell.holdsAny(holding));
    stays = kept.flatMap((spell) => spell.stays);
  }
  return rejoined(stays, chart.rejoinS, chart.isPooled);
}

function isOfStart(spell, starting, { isClosed }) {
  return starting.some(({ first, last }) => spell.beginsIn(first.time, last.time, isClosed));
}

function measured({ chart }, spell) {
  const curve = spell.curve(chart);
  const shape = chart.byPeak ? new Rectangle(curve.total, spell.peak, chart.isClosed) : curve;
  return { spell, curve, shape, entered: areaEntered(chart, shape) };
}

function provenTold(view, { spell, curve, shape, entered }, holder, worst) {
  const { chart } = view;
  return {
    ...listed(view, spell),
    peak: chart.sign * spell.peak,
    seconds_above: curve.total,
    levels: levelsOf(chart, curve),
    area: areaName(chart, entered),
    area_possible: areaName(chart, Math.max(worst, entered)),
    possible: holder + 1,
    margin: marginOf(chart, shape, entered),
    [CURVE]: curve,
  };
}

function possibleTold(view, { spell, entered }, place) {
  const { chart, whole } = view;
  return {
    ...listed(view, spell),
    peak: readPeak(spell, whole, chart.sign),
    seconds_above: 0,
    levels: levelsOf(chart, null),
    area: null,
    area_possible: areaName(chart, entered),
    possible: place + 1,
    margin: null,
  };
}

// The highest reading in it, as it was read; null where it holds none.
function readPeak(spell, whole, sign) {
  let highest = -Infinity;
  for (const { path, first, last } of spell.stays) {
    for (let k = first; k <= last; k++) {
      const row = path.rows[k];
      if (row >= 0) highest = Math.max(highest, whole.values[countUpTo(whole.rows, row) - 1]);
    }
  }
  return highest === -Infinity ? null : sign * highest;
}

function listed({ chart, whole }, spell) {
  const ends = [whole.rows[0], whole.rows[whole.rows.length - 1]];
  return {
    chart: chart.name,
    channel: chart.channel,
    unit: chart.unit,
    start_s: spell.start,
    end_s: spell.end,
    open_ended: ends.some((row) => spell.holdsRow(row)),
  };
}
