// What is read from a recording: the column of the time, and the columns of the channels with their units.
import {
  channelMatched,
  columnFitting,
  columnUnit,
  headerParts,
  headerTests,
  headersListed,
  plainName,
} from "./names.js";
import { unusable } from "./text.js";

/** What a caller names the column of the time by. */
export const TIME = "time_s";
const SECONDS = ["s", "sec", "secs", "seconds"];
/** Headers of a column of the time, as plainName writes them. */
export const TIME_NAMES = new Set([
  ...["time s", "time", "time sec", "time seconds", "t", "t s"],
  ...["elapsed", "elapsed s", "elapsed seconds", "elapsed time", "time elapsed"],
]);

/**
 * @typedef {object} Wish
 * @property {import("../charts.js").Channel[]} channels
 * @property {Record<string, string>} columns channel, or "time_s", to header, named by hand
 * @property {Record<string, string>} given channel, or "time_s", to the unit of its column where the file does not say
 * @property {import("../units.js").Units} units
 */

/**
 * @typedef {object} Plan
 * @property {{index: number, kind: "number" | "stamp" | "clock", unit: string, date: number | null}} time
 * @property {{index: number, channel: import("../charts.js").Channel, unit: string}[]} channels
 * @property {string[]} unused
 */

/**
 * @param {import("./names.js").Columns} table
 * @param {Wish} wish
 * @returns {Plan}
 */
export function planOf(table, wish) {
  const chosen = columnsChosen(table, wish);
  const time = timeColumn(table, chosen, wish);
  const channels = channelColumns(table, wish, chosen, [time.index, time.date]);
  const used = new Set([time.index, time.date, ...channels.map(({ index }) => index)]);
  return { time, channels, unused: table.headers.filter((header, k) => header && !used.has(k)) };
}

/**
 * What would be read from a file, whatever is in doubt left out instead of refused.
 * @param {import("./names.js").Columns} table
 * @param {Wish} wish
 * @returns {Map<string, {index: number, unit: string}>} channel, or "time_s", to its column; no unit for stamps
 */
export function planProposed(table, wish) {
  const found = new Map();
  const named = Object.entries(wish.columns).map(([name, header]) => ({ ...wish, columns: { [name]: header } }));
  const chosen = new Map(named.flatMap((one) => [...(undoubted(() => columnsChosen(table, one)) ?? [])]));
  const time = undoubted(() => timeColumn(table, chosen, { ...wish, given: {} }));
  if (time) found.set(TIME, { index: time.index, unit: time.kind === "number" ? time.unit : "" });
  const times = time ? [time.index, time.date] : [];
  for (const channel of wish.channels) {
    const one = { ...wish, channels: [channel], given: {} };
    const [column] = undoubted(() => channelColumns(table, one, chosen, times)) ?? [];
    if (column) found.set(channel.name, column);
  }
  return found;
}

function undoubted(look) {
  try {
    return look();
  } catch (error) {
    if (error.name !== "JudgingError") throw error;
    return null;
  }
}

function columnsChosen({ headers }, wish) {
  const known = [TIME, ...wish.channels.map(({ name }) => name)].sort();
  return new Map(
    Object.entries(wish.columns).map(([name, header]) => {
      if (!known.includes(name)) {
        throw unusable(`${name} is not a channel of this engine type; it has ${known.join(", ")}.`);
      }
      const index = columnFitting(headers, headerTests(header), name);
      if (index !== null) return [name, index];
      throw unusable(`There is no column “${header}” for ${name}; the file has ${headersListed(headers)}.`);
    }),
  );
}

function timeColumn(table, chosen, wish) {
  const taken = new Set(chosen.values());
  const index = chosen.get(TIME) ?? timeFound(table, taken);
  const kind = table.kinds[index];
  if (kind === "number") {
    const unit = columnUnit(table, index, { given: wish.given[TIME], usual: "s", units: wish.units });
    return { index, kind, unit, date: null };
  }
  if (kind === "stamp") return { index, kind, unit: "s", date: null };
  if (kind === "clock") return { index, kind, unit: "s", date: ofKind(table, "date", taken)[0] ?? null };
  throw unusable(
    `Column “${table.headers[index]}” does not tell the time; write seconds, 2024-05-01T10:15:30.5 or 10:15:30.5.`,
  );
}

function ofKind({ kinds }, kind, taken) {
  return kinds.flatMap((of, k) => (of === kind && !taken.has(k) ? [k] : []));
}

function timeFound(table, taken) {
  const own = columnFitting(table.headers, headerTests(TIME), TIME);
  if (own !== null) return own;
  const isNamed = (k) => {
    const name = plainName(headerParts(table.headers[k])[0]);
    return TIME_NAMES.has(name) || SECONDS.includes(name);
  };
  const numbers = ofKind(table, "number", taken).filter(isNamed);
  const [found] = [...ofKind(table, "stamp", taken), ...ofKind(table, "clock", taken), ...numbers];
  if (found !== undefined) return found;
  throw unusable(
    "No column tells the time: name the column time_s and write seconds, or ISO 8601 or clock stamps in it; " +
      `the file has ${headersListed(table.headers)}.`,
  );
}

function channelColumns(table, wish, chosen, times) {
  const taken = new Set([...chosen.values(), ...times]);
  const free = table.headers.map((header, k) => (taken.has(k) ? "" : header));
  const found = wish.channels.flatMap((channel) => {
    const index = chosen.get(channel.name) ?? channelMatched(free, channel, wish.units);
    if (index === null) return [];
    const otherwise = { given: wish.given[channel.name], usual: channel.unit, units: wish.units };
    return [{ index, channel, unit: columnUnit(table, index, otherwise) }];
  });
  if (found.length) return found;
  const names = wish.channels.map(({ name }) => name).join(", ");
  throw unusable(
    `No column fits a channel of this engine type (${names}); name the column of each, ` +
      `from ${headersListed(table.headers)}.`,
  );
}
