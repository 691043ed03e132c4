// The columns of a recording by their headers: which fits a name, and in which unit it stands.
import { unitKnown } from "../units.js";
import { leftToServer, unusable } from "./text.js";

const PLACEHOLDERS = new Set(
  ["n/a", "#n/a", "na", "nan", "null", "none", "nil", "inf", "err", "error", "ovr", "inv", "bad"],
);
const SHOWN = 40;

/**
 * @typedef {object} Columns
 * @property {string[]} headers
 * @property {import("./cells.js").Kind[]} kinds
 * @property {Map<number, string>} units that stand under the headers
 */

/** @param {string} text @returns {string} without what does not matter: case, blanks, underscores, hyphens */
export function plainName(text) {
  return text.toLowerCase().replace(/[\s_-]+/g, " ").trim();
}

/** @param {string} header @returns {[string, string]} its name, and the text in brackets at its end */
export function headerParts(header) {
  const found = /^(.*\S)\s*[[(]\s*([^[\]()]+?)\s*[\])]$/.exec(header);
  return found ? [found[1], found[2]] : [header, ""];
}

/** @param {string} cell @returns {boolean} whether it says that there is no value */
export function isPlaceholder(cell) {
  return PLACEHOLDERS.has(cell.toLowerCase()) || !/[\p{L}\p{N}%°]/u.test(cell);
}

/** @param {string[]} headers @returns {string} as a message lists them */
export function headersListed(headers) {
  const shown = headers.filter(Boolean).map((header) => `“${header}”`);
  const more = shown.length > SHOWN ? ` and ${shown.length - SHOWN} more` : "";
  return shown.slice(0, SHOWN).join(", ") + more;
}

/**
 * The one column that passes the first test which any passes; two that pass the same are refused.
 * @param {string[]} headers
 * @param {((header: string) => boolean)[]} tests
 * @param {string} name
 * @returns {number | null}
 */
export function columnFitting(headers, tests, name) {
  for (const passes of tests) {
    const found = headers.flatMap((header, k) => (header && passes(header) ? [k] : []));
    if (found.length > 1) {
      const first = found.slice(0, -1).map((k) => k + 1).join(", ");
      throw unusable(
        `Columns ${first} and ${found[found.length - 1] + 1} both fit ${name} (“${headers[found[0]]}”); ` +
          "name one header for it, each header once.",
      );
    }
    if (found.length) return found[0];
  }
  return null;
}

/** @param {string} name @returns {((header: string) => boolean)[]} as it is written, else but for what does not matter */
export function headerTests(name) {
  return [(header) => header === name.trim(), (header) => plainName(header) === plainName(name)];
}

/**
 * The column that a channel's name or label finds.
 * @param {string[]} headers
 * @param {import("../charts.js").Channel} channel
 * @param {import("../units.js").Units} units
 * @returns {number | null}
 */
export function channelMatched(headers, channel, units) {
  const [name, label] = [plainName(channel.name), plainName(channel.label)];
  const before = (header) => {
    const [bare, bracket] = headerParts(header);
    return bracket && unitKnown(units, bracket) ? plainName(bare) : null;
  };
  const tests = [(header) => before(header) === name, (header) => [plainName(header), before(header)].includes(label)];
  const found = columnFitting(headers, [...headerTests(channel.name), ...tests], channel.name);
  if (found === null) doubtsRefused(headers, [name, label]);
  return found;
}

// A name with something in brackets behind it that may be a unit which only the server knows.
function doubtsRefused(headers, names) {
  const doubtful = headers.find((header) => {
    const [bare, bracket] = headerParts(header);
    return /\p{L}/u.test(bracket) && names.includes(plainName(bare));
  });
  if (doubtful) throw leftToServer(`This phone does not know the unit in the header “${doubtful}”.`);
}

/**
 * The unit of a column: what the file says, else what is given, else the usual one.
 * @param {Columns} table
 * @param {number} index
 * @param {{given: string | undefined, usual: string, units: import("../units.js").Units}} otherwise
 * @returns {string}
 */
export function columnUnit(table, index, { given, usual, units }) {
  const bracket = headerParts(table.headers[index])[1];
  const said = [table.units.get(index) ?? "", unitKnown(units, bracket) ? bracket : ""];
  const text = said.find((unit) => unit && (unitKnown(units, unit) || !given)) ?? given ?? usual;
  const known = unitKnown(units, text);
  if (!known) throw leftToServer(`This phone does not know “${text}”, the unit of column “${table.headers[index]}”.`);
  return known;
}
