// Elements of a picture: attributes only, so that a strict content-security policy lets them pass; looks as the server's.
const SPACE = "http://www.w3.org/2000/svg";
const INK = "currentColor";
const COLOURS = { blue: "#0072B2", vermillion: "#D55E00", sky: "#56B4E9", orange: "#E69F00", purple: "#CC79A7" };

/** Lines by what they are. */
export const STROKES = {
  area: {},
  edge: { stroke: INK, "stroke-width": 1.2 },
  level: { stroke: INK, "stroke-width": 0.8, "stroke-dasharray": "2 3" },
  limit: { stroke: COLOURS.vermillion, "stroke-width": 2.2, "stroke-dasharray": "9 4" },
  curve: { stroke: INK, "stroke-width": 2.6 },
  "by-peak": { stroke: COLOURS.blue, "stroke-width": 2.2, "stroke-dasharray": "8 3 2 3" },
  axis: { stroke: INK, "stroke-width": 1 },
  thin: { stroke: INK, "stroke-width": 0.7 },
};

// Denser with severity, so that the order shows without colour; beyond the fourth area, the fourth's.
const HATCHES = [
  { name: "slant", turn: -45, spacing: 9, crossed: false, colour: COLOURS.sky, opacity: 0.25 },
  { name: "back", turn: 45, spacing: 5.5, crossed: false, colour: COLOURS.orange, opacity: 0.3 },
  { name: "cross", turn: -45, spacing: 7, crossed: true, colour: COLOURS.purple, opacity: 0.35 },
  { name: "grid", turn: 0, spacing: 5, crossed: true, colour: COLOURS.purple, opacity: 0.5 },
];

/** @param {Document} page @param {string} tag @param {Record<string, string|number>} facts @param {(Node|string)[]} inside */
export function drawn(page, tag, facts, inside = []) {
  const made = page.createElementNS(SPACE, tag);
  for (const [name, value] of Object.entries(facts)) made.setAttribute(name, String(value));
  made.append(...inside);
  return made;
}

/** @returns {string} the name of the hatch of the area in this place, mildest 0 */
export function hatchOf(place) {
  return HATCHES[Math.min(place, HATCHES.length - 1)].name;
}

/** @param {Document} page @param {string} prefix of the ids @param {number} count of areas @returns {Element} */
export function hatches(page, prefix, count) {
  return drawn(page, "defs", {}, HATCHES.slice(0, count).map((hatch) => pattern(page, prefix, hatch)));
}

function pattern(page, prefix, { name, turn, spacing: side, crossed, colour, opacity }) {
  const looks = { stroke: INK, "stroke-width": 0.8, "stroke-opacity": 0.6 };
  const ends = [[0, side / 2, side, side / 2], [side / 2, 0, side / 2, side]].slice(0, crossed ? 2 : 1);
  const lines = ends.map(([x1, y1, x2, y2]) => drawn(page, "line", { x1, y1, x2, y2, ...looks }));
  const box = { id: `${prefix}-${name}`, width: side, height: side, patternUnits: "userSpaceOnUse", patternTransform: `rotate(${turn})` };
  return drawn(page, "pattern", box, [drawn(page, "rect", { width: side, height: side, fill: colour, "fill-opacity": opacity }), ...lines]);
}

/** @param {[number, number][]} points @returns {string} */
export function pointsText(points) {
  return points.map((point) => point.map((at) => Number(at.toFixed(1))).join(",")).join(" ");
}
