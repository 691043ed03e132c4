// Which column of a recorder's file is which channel, chosen by a person; what is known already is chosen.
import { make } from "./make.js";

const TIME = { name: "time_s", label: "Time", unit: "s" };
const MISSING = "Not every column that the limits need was found. Say which one is which; a channel without a column is not judged.";

/**
 * @typedef {{headers: string[], columns: Record<string, string>, units: Record<string, string>}} Proposal
 * @param {Document} page
 * @param {import("./said.js").Judging} judging
 * @param {Proposal} proposal
 * @param {(chosen: {columns: Record<string, string>, units: Record<string, string>}) => void} read called with what a person chose
 * @returns {HTMLElement}
 */
export function columnsAsked(page, judging, proposal, read) {
  const part = make(page, "details", "", { open: judging.needed.some((name) => !proposal.columns[name]) });
  const rows = [TIME, ...judging.document.channels].map((channel) => rowOf(page, channel, proposal));
  const wrong = make(page, "p", "", { className: "error", role: "alert", hidden: true });
  const act = make(page, "button", "Read the file so", { type: "button", className: "act" });
  act.addEventListener("click", () => {
    const fault = faultOf(rows);
    wrong.hidden = !fault;
    wrong.textContent = fault;
    if (!fault) read(chosenOf(rows, proposal));
  });
  part.append(make(page, "summary", "Choose the columns by hand", {}));
  if (part.open) part.append(make(page, "p", MISSING, {}));
  part.append(...rows.map(({ element }) => element), wrong, act);
  return part;
}

function rowOf(page, { name, label, unit }, { headers, columns, units }) {
  const called = label || name;
  const known = columns[name];
  const column = make(page, "select", "", { id: `column-of-${name}` });
  const first = name === TIME.name ? "Choose a column" : "Not in this file";
  if (!known) column.append(make(page, "option", first, { value: "" }));
  column.append(...[...new Set(headers)].map((header) => make(page, "option", header, { value: header, selected: header === known })));
  const box = make(page, "input", "", { id: `unit-of-${name}`, value: units[name] ?? unit, maxLength: 40, autocomplete: "off" });
  const element = make(page, "div", "", { className: "field-pair" });
  element.append(field(page, `${called}: column of the file`, column), field(page, `${called}: unit in the file`, box));
  return { name, called, element, column, box };
}

function field(page, words, box) {
  const part = make(page, "div", "", { className: "field" });
  part.append(make(page, "label", words, { htmlFor: box.id }), box);
  return part;
}

function faultOf(rows) {
  const seen = new Map();
  for (const { name, called, column } of rows) {
    if (!column.value && name === TIME.name) return "Choose the column that holds the time.";
    if (column.value && seen.has(column.value)) return `“${column.value}” is chosen already, for ${seen.get(column.value)}.`;
    if (column.value) seen.set(column.value, called);
  }
  return "";
}

// Only what is not what the file itself says is said of a unit.
function chosenOf(rows, { units }) {
  const given = rows.filter(({ column }) => column.value);
  const said = given.filter(({ name, box }) => box.value.trim() && box.value.trim() !== units[name]);
  return {
    columns: Object.fromEntries(given.map(({ name, column }) => [name, column.value])),
    units: Object.fromEntries(said.map(({ name, box }) => [name, box.value.trim()])),
  };
}
