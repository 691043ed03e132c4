// The rows of a text file as arrays, one pass over the lines.
import { cellsOf } from "./cells.js";
import { numberIn, ticksIn } from "./moments.js";
import { leftToServer, unusable } from "./text.js";

const EXAMPLE = 40; // characters of a cell kept as an example

/** One column being read: values so far, and the words that stood in a value's place. */
class Column {
  /** @param {number} index @param {number} size @param {(cell: string) => number} read */
  constructor(index, size, read) {
    this.index = index;
    this.values = new Float64Array(size);
    this.read = read;
    this.words = 0;
    this.example = "";
  }

  put(row, cells) {
    const cell = cells[this.index] ?? "";
    const value = cell === "" ? NaN : this.read(cell);
    if (Number.isNaN(value) && cell !== "") this.note(cell);
    this.values[row] = Number.isFinite(value) ? value : NaN;
  }

  note(cell) {
    if (!this.words++) this.example = cell.slice(0, EXAMPLE);
  }
}

/** The column of the time, whose date may stand in a column of its own: a row without one counts, a blank one too. */
class TimeColumn extends Column {
  /** @param {import("./plan.js").Plan["time"]} plan @param {number} size @param {(cell: string) => number} number */
  constructor({ index, kind, date }, size, number) {
    super(index, size, kind === "number" ? number : (cell) => ticksIn(cell, kind === "clock" && date === null));
    this.date = date;
    this.isNumber = kind === "number";
  }

  textIn(cells) {
    const cell = cells[this.index] ?? "";
    return this.date === null ? cell : `${cells[this.date] ?? ""}T${cell}`;
  }

  put(row, cells) {
    const value = this.read(this.textIn(cells));
    this.values[row] = Number.isFinite(value) ? value : NaN;
    if (Number.isFinite(value)) return;
    const isExample = this.isNumber ? !this.example && Number.isNaN(value) : !this.words;
    if (isExample) this.example = (cells[this.index] ?? "").slice(0, EXAMPLE);
    this.words++;
  }
}

/**
 * @typedef {object} Rows
 * @property {number} count rows with a time
 * @property {TimeColumn} time
 * @property {Map<number, Column>} columns by index
 * @property {Int32Array} lines on which each row with a time stands
 * @property {string} stamp the text of the first time
 */

/**
 * The cells of the columns that are wanted, of the rows that have a time.
 * @param {string[]} lines of the whole file
 * @param {import("./layout.js").Layout} layout
 * @param {import("./plan.js").Plan} plan
 * @returns {Rows}
 */
export function rowsRead(lines, layout, plan) {
  const size = lines.length - layout.dataLine + 1;
  const number = (cell) => numberIn(cell, layout.decimal);
  const time = new TimeColumn(plan.time, size, number);
  const indexes = new Set(plan.channels.map(({ index }) => index));
  const columns = new Map([...indexes].map((index) => [index, new Column(index, size, number)]));
  const rows = { count: 0, time, columns, lines: new Int32Array(size), stamp: "" };
  for (let line = layout.dataLine; line <= lines.length; line++) {
    const cells = cellsAt(lines, line, layout);
    if (cells) rowPut(rows, cells, line);
  }
  return rows;
}

// The cells of a line; null where it is blank, a refusal where it has more than the header names.
function cellsAt(lines, line, layout) {
  const cells = cellsOf(lines[line - 1], layout.delimiter);
  if (!cells) throw leftToServer(`This phone can't read the quoted cell in line ${line}, which does not end there.`);
  if (cells.length === 0 || (cells.length === 1 && cells[0] === "")) return null;
  const named = layout.columns.headers.length;
  if (cells.length > layout.width + 1 || cells.slice(named).some(Boolean)) throw ragged(cells, line, layout);
  return cells;
}

function ragged(cells, line, { columns, headerLine, delimiter }) {
  const hint = delimiter.includes(" ") ? "" : "; decimal commas need another character between cells";
  const named = columns.headers.length;
  return unusable(
    `Line ${line} has ${cells.length} cells, but the header in line ${headerLine} names ${named} columns${hint}.`,
  );
}

// A row without a time is counted and written over by the next.
function rowPut(rows, cells, line) {
  rows.time.put(rows.count, cells);
  for (const column of rows.columns.values()) column.put(rows.count, cells);
  if (Number.isNaN(rows.time.values[rows.count])) return;
  if (!rows.count) rows.stamp = rows.time.textIn(cells);
  rows.lines[rows.count++] = line;
}
