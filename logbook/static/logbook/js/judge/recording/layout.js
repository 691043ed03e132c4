// How a recorder laid out its text file: delimiter, decimal mark, header, unit row, first row of numbers.
import { unitKnown } from "../units.js";
import { cellsOf, columnKind } from "./cells.js";
import { delimiterOf, isData, namedCount, tellingCount } from "./delimiters.js";
import { isPlaceholder } from "./names.js";
import { leftToServer, unusable } from "./text.js";

const HEAD = 1 << 16; // characters in which the header is looked for
const SEARCHED = 400; // lines of them
const SAMPLED = 100; // rows whose cells show what a column holds
const POINT = /^[+-]?\d*\.\d+([eE][+-]?\d+)?$/;
const COMMA = /^[+-]?\d*,\d+([eE][+-]?\d+)?$/;

/**
 * @typedef {object} Layout
 * @property {string} delimiter
 * @property {"." | "," | null} decimal null where the first rows show none
 * @property {import("./names.js").Columns} columns
 * @property {number} headerLine counted from 1
 * @property {number} dataLine counted from 1
 * @property {number} width the most cells that one of the first rows has
 */

/**
 * @param {string[]} lines of the whole file
 * @param {Set<string>} wanted plain names that mark a row as the header
 * @param {import("../units.js").Units} units
 * @returns {Layout}
 */
export function layoutOf(lines, wanted, units) {
  const head = headOf(lines);
  const { delimiter, width } = delimiterOf(head, SEARCHED, wanted);
  const rows = head.slice(0, SEARCHED + SAMPLED).map((line) => cellsHere(line, delimiter));
  const header = headerIndex(rows, wanted, width, units);
  const below = rows.flatMap((_, k) => (k > header && head[k].trim() ? [k] : []));
  const isUnits = below.length > 0 && isUnitRow(rows[below[0]], units);
  const unitRow = isUnits ? rows[below.shift()] : [];
  if (!below.length) throw unusable(`No rows of numbers stand below the header in line ${header + 1}.`);
  if (!isUnits) doubtRefused(rows[below[0]], below[0] + 1);
  const samples = below.slice(0, SAMPLED).map((k) => rows[k]);
  const headers = headersOf(rows[header], samples);
  return {
    delimiter,
    decimal: decimalOf(samples, delimiter),
    columns: columnsOf(headers, unitRow, samples),
    headerLine: header + 1,
    dataLine: below[0] + 1,
    width: Math.max(headers.length, ...samples.map((cells) => cells.length)),
  };
}

function headOf(lines) {
  let left = HEAD;
  const end = lines.findIndex((line) => (left -= line.length + 1) < 0);
  return end < 0 ? lines : lines.slice(0, end);
}

function cellsHere(line, delimiter) {
  const cells = cellsOf(line, delimiter);
  if (cells) return cells;
  throw leftToServer("This phone can't read a quoted cell that goes on over a line's end.");
}

function isUnitRow(cells, units) {
  const said = cells.filter((cell) => !isPlaceholder(cell));
  return !tellingCount(cells) && said.length > 0 && said.length <= 2 * said.filter((c) => unitKnown(units, c)).length;
}

// Words right below the header are units of which the phone knows too few, or no units at all.
function doubtRefused(cells, line) {
  if (tellingCount(cells) || cells.every(isPlaceholder)) return;
  throw leftToServer(`Line ${line}, below the header, may hold units that this phone does not know.`);
}

// The row with the names that are looked for, else one just above the numbers.
function headerIndex(rows, wanted, width, units) {
  const found = rows.findIndex((cells) => cells.length === width && isData(cells));
  const first = found < 0 ? rows.length : found;
  const wide = rows.flatMap((cells, k) => (2 * cells.filter(Boolean).length >= width ? [k] : []));
  const named = wide
    .map((k) => ({ k, count: namedCount(rows[k], wanted) }))
    .filter(({ k, count }) => count && !isData(rows[k]));
  if (!named.length) return namelessHeader(rows, wide.filter((k) => k < first), units);
  // Lists of channels stand above the header; a recorder that starts anew writes the header again.
  const above = named.filter(({ k }) => k < first);
  const most = Math.max(...(above.length ? above : named).map(({ count }) => count));
  return above.length
    ? above.findLast(({ count }) => count === most).k
    : named.find(({ count }) => count === most).k;
}

function namelessHeader(rows, above, units) {
  if (!above.length) throw unusable("No header stands above the numbers; the first row names the columns.");
  // Single letters are units as well as headers, so a row that looks like units is the header where no other is.
  return above.at(above.length > 1 && isUnitRow(rows[above.at(-1)], units) ? -2 : -1);
}

function decimalOf(samples, delimiter) {
  if (delimiter === ",") return ".";
  const cells = samples.flat();
  const commas = cells.filter((cell) => COMMA.test(cell)).length;
  const points = cells.filter((cell) => POINT.test(cell)).length;
  if (commas === 0 && points === 0) return null;
  return commas > points ? "," : ".";
}

function headersOf(row, samples) {
  const names = row.map((name, k) => name || (samples.some((cells) => cells[k]) ? `column ${k + 1}` : ""));
  while (!names.at(-1)) names.pop();
  return names;
}

function columnsOf(headers, unitRow, samples) {
  return {
    headers,
    kinds: headers.map((_, k) => columnKind(samples.map((cells) => cells[k] ?? ""))),
    units: new Map([...unitRow.entries()].filter(([, unit]) => !isPlaceholder(unit))),
  };
}
