// Where a duration curve and an area's edge can be nearest, measured along the values.

/**
 * @typedef {object} Meeting
 * @property {number} value of the edge
 * @property {number} allowed there [s]
 * @property {boolean} falls whether the allowed time falls just past it
 */

/**
 * The edge's vertices and, on its slopes, the values at which the allowed time is one of the curve's at its corners.
 * @param {import("./edges.js").Edge} edge
 * @param {Float64Array} levels the curve's times at its corners, sorted [s]
 * @returns {Generator<Meeting>}
 */
export function* meetingsOf(edge, levels) {
  const { values, seconds, isLinear } = edge;
  const last = values.length - 1;
  for (let k = 0; k <= last; k++) {
    const at = k < last && values[k + 1] === values[k] ? k + 1 : k;
    const after = Math.min(at + 1, last);
    yield { value: values[k], allowed: seconds[at], falls: isLinear && seconds[after] < seconds[at] };
  }
  for (let k = 0; isLinear && k < last; k++) yield* onSlope(edge, k, levels);
}

function* onSlope({ values, seconds }, k, levels) {
  const [top, foot] = [seconds[k], seconds[k + 1]];
  const width = values[k + 1] - values[k];
  for (const allowed of levels) {
    if (allowed < top && allowed > foot) {
      yield { value: values[k] + width * ((top - allowed) / (top - foot)), allowed, falls: width > 0 };
    }
  }
}
