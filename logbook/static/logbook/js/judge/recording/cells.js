// The cells of one line, and what each looks like.

/** A delimiter that stands for any number of blanks. */
export const BLANKS = " +";
const ZONE = "\\s*(Z|z|[+-]\\d{2}(:?\\d{2})?)?";
const DATE = "\\d{4}([-/.])\\d{1,2}\\1\\d{1,2}";
const KINDS = [
  ["number", /^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/],
  ["clock", /^\d{1,3}:\d{2}(:\d{2}([.,]\d+)?)?$/],
  ["stamp", new RegExp(`^${DATE}([Tt]|\\s+)\\d{1,2}:\\d{2}(:\\d{2}([.,]\\d+)?)?${ZONE}$`)],
  ["stamp", new RegExp(`^\\d{8}[Tt]\\d{4}(\\d{2}([.,]\\d+)?)?${ZONE}$`)],
  ["date", new RegExp(`^${DATE}$`)],
];

/** @typedef {"number" | "clock" | "stamp" | "date" | "text"} Kind */

/** @param {string} cell without blanks around it @returns {Kind} what it looks like */
export function kindOf(cell) {
  return KINDS.find(([, pattern]) => pattern.test(cell))?.[0] ?? "text";
}

/** @param {string[]} cells @returns {Kind} what most of them look like, words left out */
export function columnKind(cells) {
  const counts = new Map();
  for (const kind of cells.map(kindOf)) if (kind !== "text") counts.set(kind, (counts.get(kind) ?? 0) + 1);
  const most = Math.max(0, ...counts.values());
  return [...counts.keys()].find((kind) => counts.get(kind) === most) ?? "text";
}

/**
 * The cells of one line, without quotes and without blanks around them.
 * @param {string} line
 * @param {string} delimiter
 * @returns {string[] | null} null where a quoted cell does not end in the line
 */
export function cellsOf(line, delimiter) {
  const [cut, by] = delimiter === BLANKS ? [line.trim().split(/\s+/).join(" "), " "] : [line, delimiter];
  if (cut === "") return [];
  if (!cut.includes('"')) return cut.split(by).map((cell) => cell.trim());
  return quotedCells(cut, by);
}

function quotedCells(line, delimiter) {
  const cells = [];
  let at = 0;
  while (at <= line.length) {
    const found = oneCell(line, at, delimiter);
    if (!found) return null;
    cells.push(found.cell.trim());
    at = found.next;
  }
  return cells;
}

// A cell from a place on: quoted only where it begins with a quotation mark, blanks before it left out.
function oneCell(line, from, delimiter) {
  let at = from;
  while (line[at] === " " && delimiter !== " ") at++;
  let cell = "";
  if (line[at] === '"') {
    const inside = /^"((?:[^"]|"")*)"/.exec(line.slice(at));
    if (!inside) return null;
    cell = inside[1].replaceAll('""', '"');
    at += inside[0].length;
  }
  const end = line.indexOf(delimiter, at);
  const stop = end < 0 ? line.length : end;
  return { cell: cell + line.slice(at, stop), next: stop + 1 };
}
