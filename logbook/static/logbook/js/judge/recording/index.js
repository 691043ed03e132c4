// Reading a recorded run on this device: a recorder's text file in, a trace in the engine type's units out.
import { engineTypeRead } from "../charts.js";
import { conversionOf, converted } from "../units.js";
import { layoutOf } from "./layout.js";
import { secondsFrom } from "./moments.js";
import { cellsOf } from "./cells.js";
import { plainName } from "./names.js";
import { planOf, planProposed, TIME_NAMES } from "./plan.js";
import { rowsRead } from "./rows.js";
import { linesOf, textOf, unusable } from "./text.js";

const LONGEST_S = 400 * 86_400; // far longer than any engine runs; a wrong unit or a damaged stamp counts further

/**
 * @typedef {object} Recording
 * @property {import("../trace.js").Trace} trace with what was ignored
 * @property {{header: string, channel: string, unit: string}[]} matches
 * @property {string[]} unused headers
 * @property {string | null} startedAt the first stamp as it is written; null where the file has none
 */

/**
 * Read a recorder's file. What only the server can read is refused with the code `left_to_server`, anything that the
 * server would refuse as well with `trace_unusable`.
 * @param {Blob | ArrayBuffer} file CSV with any delimiter, decimal mark, preamble and unit row, gzipped or not
 * @param {object} typeDocument an engine type document that the server has checked
 * @param {import("../units.js").Units} units what the server sends with the type document
 * @param {{name?: string, columns?: Record<string, string>, units?: Record<string, string>}} [given] the file's name;
 *   channel, or "time_s", to header; and to the unit of its column where the file does not say
 * @returns {Promise<Recording>}
 */
export async function recordingRead(file, typeDocument, units, given = {}) {
  const { lines, layout, wish } = await fileLaidOut(file, typeDocument, units, given);
  const plan = planOf(layout.columns, wish);
  return recordingOf({ lines, layout, plan, units }, rowsRead(lines, layout, plan));
}

/**
 * The headers of a file and the columns that would be read from it, for a person to check; refused as `recordingRead` does.
 * @param {Blob | ArrayBuffer} file
 * @param {object} typeDocument an engine type document that the server has checked
 * @param {import("../units.js").Units} units
 * @param {{name?: string, columns?: Record<string, string>}} [given] headers remembered from other files
 * @returns {Promise<{headers: string[], columns: Record<string, string>, units: Record<string, string>}>} by channel, or
 *   "time_s"; those that no column fits, or more than one, are left out
 */
export async function columnsProposed(file, typeDocument, units, given = {}) {
  const { layout, wish } = await fileLaidOut(file, typeDocument, units, given);
  const { headers } = layout.columns;
  const found = [...planProposed(layout.columns, wish)];
  return {
    headers: headers.filter(Boolean),
    columns: Object.fromEntries(found.map(([name, { index }]) => [name, headers[index]])),
    units: Object.fromEntries(found.map(([name, { unit }]) => [name, unit])),
  };
}

async function fileLaidOut(file, typeDocument, units, given) {
  const lines = linesOf(await textOf(file, given.name ?? ""));
  const channels = [...engineTypeRead(typeDocument, units).channels.values()];
  const wish = { channels, columns: given.columns ?? {}, given: given.units ?? {}, units };
  return { lines, wish, layout: layoutOf(lines, namesWanted(wish), units) };
}

function namesWanted({ channels, columns }) {
  const names = [...channels.flatMap(({ name, label }) => [name, label]), ...Object.values(columns)];
  return new Set([...names.filter(Boolean).map(plainName), ...TIME_NAMES]);
}

function recordingOf(file, rows) {
  const { layout, plan, units } = file;
  const { headers } = layout.columns;
  if (!rows.count) {
    const header = headers[plan.time.index];
    throw unusable(`No row has a time in column “${header}” (the first holds “${rows.time.example}”).`);
  }
  const times = timesOf(file, rows);
  timesRefused(file, rows, times);
  return {
    trace: { times, channels: channelsOf(plan, rows, units, headers), ignored: ignoredIn(rows, headers) },
    matches: plan.channels.map(({ index, channel, unit }) => ({ header: headers[index], channel: channel.name, unit })),
    unused: plan.unused,
    startedAt: isStamped(plan.time) ? rows.stamp.replaceAll(",", ".") : null,
  };
}

function isStamped({ kind, date }) {
  return kind === "stamp" || date !== null;
}

function timesOf({ layout, plan, units }, rows) {
  const times = rows.time.values.slice(0, rows.count);
  if (plan.time.kind === "number") {
    turn(times, conversionFor(plan.time.unit, "s", units, `“${layout.columns.headers[plan.time.index]}” is no time`));
    const first = times[0];
    for (let k = 0; k < times.length; k++) times[k] -= first;
  } else secondsFrom(times, !isStamped(plan.time));
  return times;
}

function conversionFor(unit, to, units, what) {
  try {
    return conversionOf(units, unit, to);
  } catch (error) {
    if (error.code !== "unit_unusable") throw error;
    throw unusable(`Column ${what}: ${error.message}`);
  }
}

function turn(values, by) {
  for (let k = 0; k < values.length; k++) values[k] = converted(by, values[k]);
}

function channelsOf(plan, rows, units, headers) {
  return Object.fromEntries(
    plan.channels.map(({ index, channel, unit }) => {
      const values = rows.columns.get(index).values.slice(0, rows.count);
      turn(values, conversionFor(unit, channel.unit, units, `“${headers[index]}” can't be read as ${channel.name}`));
      return [channel.name, values];
    }),
  );
}

function ignoredIn({ time, columns }, headers) {
  return [...columns.values(), time]
    .filter(({ words }) => words)
    .sort((one, other) => one.index - other.index)
    .map(({ index, words, example }) => ({ column: headers[index], cells: words, example }));
}

function timesRefused({ lines, layout, plan }, rows, times) {
  const header = layout.columns.headers[plan.time.index];
  const later = times.findIndex((time, k) => k > 0 && time < times[k - 1]);
  if (later > 0) {
    const [before, cell] = [later - 1, later].map(
      (row) => cellsOf(lines[rows.lines[row] - 1], layout.delimiter)[plan.time.index],
    );
    throw unusable(
      `Time runs backwards in line ${rows.lines[later]}, column “${header}”: ${cell} after ${before}; ` +
        "put the rows in the order of time, or split the recording there.",
    );
  }
  const longest = times[times.length - 1];
  if (longest <= LONGEST_S) return;
  throw unusable(
    `From the first row to the last, column “${header}” counts ${Number(longest.toPrecision(6))} s, ` +
      "over a year; no engine runs so long. Mend the times, or give their unit.",
  );
}
