// The areas of a chart as surfaces of time and value, and where their edges run; values are turned so that higher is worse.

/** @typedef {[number, number]} Corner time and turned value [s, chart's unit] */

/**
 * @param {import("../judge/charts.js").Chart} chart
 * @returns {{near: number, far: number|null, allowed: ([number, number]|null)[]}[]} from the limit outward
 */
export function bandsOf({ areas, levels }) {
  const outward = [...levels];
  return outward.map((near, k) => {
    const far = outward[k + 1] ?? null;
    return { near, far, allowed: areas.map(({ edge }) => allowedIn(edge, near, far)) };
  });
}

function allowedIn(edge, near, far) {
  return near < edge.first ? null : [edge.at(near), far === null ? edge.at(near) : edge.before(far)];
}

/** For each area the corners of its surfaces, which no area more severe takes. @returns {Corner[][][]} */
export function surfacesOf(chart, x, y) {
  const bands = bandsOf(chart);
  return chart.areas.map((_, place) => bands.map((band) => surface(band, place, x.high, y.high)).filter(({ length }) => length));
}

function surface({ near, far, allowed }, place, last, end) {
  const [own, right] = [allowed[place], allowed[place + 1] ?? [last, last]];
  if (!own || (own[0] === right[0] && own[1] === right[1])) return [];
  return [[own[0], near], [right[0], near], [right[1], far ?? end], [own[1], far ?? end], [own[0], near]];
}

/** An area's edge, from the end of the time axis to the end of the value axis. @returns {Corner[]} */
export function edgeOf(chart, place, x, y) {
  const within = bandsOf(chart).filter(({ allowed }) => allowed[place]);
  const corners = within.flatMap(({ near, far, allowed }) => [[allowed[place][0], near], [allowed[place][1], far ?? y.high]]);
  return within.length ? [[x.high, within[0].near], ...corners] : [];
}

/** Corners in pixels, one more wherever a straight edge crosses the change of the scale of time. @returns {[number, number][]} */
export function placed(corners, x, y) {
  return corners.flatMap(([time, value], k) => {
    const [before, from] = corners[Math.max(k - 1, 0)];
    const here = [x.at(time), y.at(value)];
    if (x.turn === null || (before - x.turn) * (time - x.turn) >= 0) return [here];
    const share = (x.turn - before) / (time - before);
    return [[x.at(x.turn), y.at(from + share * (value - from))], here];
  });
}
