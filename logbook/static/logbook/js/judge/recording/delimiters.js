// What parts the cells of a file, told by how well it parts its last rows into numbers and times.
import { BLANKS, cellsOf, kindOf } from "./cells.js";
import { headerParts, plainName } from "./names.js";
import { unusable } from "./text.js";

const DELIMITERS = ["\t", ";", "|", ",", BLANKS];
const TAIL = 60; // lines that show the shape of a row of numbers

/** @param {string[]} cells @returns {number} how many are numbers or times */
export function tellingCount(cells) {
  return cells.filter((cell) => kindOf(cell) !== "text").length;
}

/** @param {string[]} cells @returns {boolean} whether at least half of those that are not blank are numbers or times */
export function isData(cells) {
  const said = cells.filter(Boolean).length;
  return said > 0 && said <= 2 * tellingCount(cells);
}

/** @param {string[]} cells @param {Set<string>} wanted @returns {number} how many are names looked for */
export function namedCount(cells, wanted) {
  const words = cells.filter((cell) => cell.toUpperCase() !== cell.toLowerCase());
  return words.filter((word) => wanted.has(plainName(word)) || wanted.has(plainName(headerParts(word)[0]))).length;
}

/**
 * The delimiter of a file and the usual number of cells in its rows of numbers.
 * @param {string[]} head
 * @param {number} searched lines at the top in which the header is looked for
 * @param {Set<string>} wanted
 * @returns {{delimiter: string, width: number}}
 */
export function delimiterOf(head, searched, wanted) {
  const lines = [...head.slice(0, searched), ...head.slice(searched).slice(-TAIL)];
  let best = { delimiter: "", width: 1, isNamed: false, score: 0 };
  for (const delimiter of DELIMITERS) {
    // Blanks around another delimiter part the names as well.
    if (delimiter === BLANKS && best.isNamed && best.score > 0) break;
    if (!lines.some((line) => line.includes(delimiter === BLANKS ? " " : delimiter))) continue;
    const found = { delimiter, ...shapeOf(lines.slice(-TAIL), delimiter), isNamed: isNaming(lines, delimiter, wanted) };
    if (found.isNamed === best.isNamed ? found.score > best.score : found.isNamed) best = found;
  }
  if (best.delimiter) return best;
  throw unusable("The file holds no table; a recording has a header and rows of numbers, parted by commas.");
}

function isNaming(lines, delimiter, wanted) {
  return lines.some((line) => namedCount(cellsLoose(line, delimiter), wanted) > 1);
}

// A quoted cell that goes on over the line's end is taken to end there.
function cellsLoose(line, delimiter) {
  return cellsOf(line, delimiter) ?? cellsOf(`${line}"`, delimiter);
}

// How well a delimiter cuts lines into equally many numbers and times, and into how many cells.
function shapeOf(lines, delimiter) {
  const scores = new Map([[1, 0]]);
  for (const cells of lines.map((line) => cellsLoose(line, delimiter))) {
    if (cells.length < 2) continue;
    // A wrong delimiter may leave halves of numbers, which are numbers, so the share of them counts too.
    const said = cells.filter(Boolean).length || 1;
    scores.set(cells.length, (scores.get(cells.length) ?? 0) + tellingCount(cells) ** 2 / said);
  }
  const score = Math.max(...scores.values());
  return { score, width: [...scores.keys()].find((count) => scores.get(count) === score) };
}
