// What a shape says of a chart: the area it enters, and its margin to the next.

/** @typedef {import("./rectangle.js").Rectangle | import("./curve.js").Curve} Shape */

/**
 * The place of the most severe area entered, -1 for none.
 * @param {import("./charts.js").Chart} chart
 * @param {Shape} shape
 * @returns {number}
 */
export function areaEntered(chart, shape) {
  return chart.areas.findLastIndex(({ edge }) => shape.enters(edge));
}

/**
 * @param {import("./charts.js").Chart} chart
 * @param {number} place as areaEntered gives it
 * @returns {string | null}
 */
export function areaName(chart, place) {
  return place < 0 ? null : chart.areas[place].name;
}

/**
 * The margin to the next more severe area; null where there is none.
 * @param {import("./charts.js").Chart} chart
 * @param {Shape} shape
 * @param {number} entered
 * @returns {{next_area: string, seconds: number | null, value: number | null} | null}
 */
export function marginOf(chart, shape, entered) {
  const next = chart.areas[entered + 1];
  if (!next) return null;
  return { next_area: next.name, seconds: shape.secondsShort(next.edge), value: shape.valueShort(next.edge) };
}

/**
 * The time beyond each level of a chart, by a shape or, without one, none.
 * @param {import("./charts.js").Chart} chart
 * @param {Shape | null} shape
 * @returns {object[]}
 */
export function levelsOf(chart, shape) {
  return Array.from(chart.levels, (turned) => ({
    [chart.side]: chart.sign * turned,
    seconds: shape ? shape.beyond(turned) : 0,
  }));
}
