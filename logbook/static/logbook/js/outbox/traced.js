// A recorder's file on a sheet, read and judged on this phone while the server does not answer; the server judges it again.
import { columnsAsked } from "./columns.js";
import { excursionWords } from "./said.js";
import { idle } from "./idle.js";
import { make } from "./make.js";
import { store } from "./store.js";
import { talk } from "./talk.js";

const BOXES = "form[data-outbox=run] [name=trace], form[data-outbox=trace] [name=file]";
const PATIENCE_MS = 5000;
const JUDGING = "#judging, [data-judging]";
const NOTHING = { fields: [], verdict: {}, pictures: [] };
const found = new WeakMap();
let apart = null;

/**
 * @typedef {object} Seen what is known of the file of a sheet
 * @property {[string, string][]} fields the columns as a person chose them
 * @property {Element[]} pictures of it
 * @property {{revision?: number, excursions?: object[], words?: string[]}} verdict empty where this phone judged nothing
 */

/** Recorded files on the sheets of a page. */
export const traced = {
  /** @param {Document} page */
  watch(page) {
    page.addEventListener("change", ({ target }) => target.matches(BOXES) && chosen(target));
    readied(page).catch(() => undefined);
  },

  /** @param {HTMLFormElement} sheet @returns {Promise<Seen>} not waited for without end */
  of: (sheet) => Promise.race([found.get(sheet) ?? NOTHING, new Promise((go) => setTimeout(() => go(NOTHING), PATIENCE_MS))]),
};

// Without signal a file will be judged here: what judges it is there, and fast, before it is chosen.
async function readied(page) {
  const given = page.querySelector(BOXES)?.form.querySelector(JUDGING);
  if (!given || page.documentElement.dataset.shell === undefined) return;
  await idle(page);
  const judging = JSON.parse(given.textContent);
  await (await worker(judging)).warm(judging.document, judging.units);
}

async function worker(judging) {
  const { JudgingApart } = await import("../judge/apart.js");
  apart ??= new JudgingApart(judging.worker);
  return apart;
}

function chosen(box) {
  const page = box.ownerDocument;
  const field = box.closest(".field");
  const place = field.parentNode.querySelector("[data-traced]") ?? make(page, "section", "", { className: "traced" });
  place.dataset.traced = "";
  place.replaceChildren(make(page, "div", "", { role: "status" }));
  field.after(place);
  const [file] = box.files;
  found.set(box.form, file ? looked(box.form, place, file) : NOTHING);
}

async function looked(sheet, place, file) {
  const given = sheet.querySelector(JUDGING);
  const isShell = sheet.ownerDocument.documentElement.dataset.shell !== undefined;
  const isPutRight = sheet.dataset.item !== undefined;
  if (!given || (!isShell && !isPutRight && (await talk.hello()))) return NOTHING;
  say(place, ["Reading the file on this phone."]);
  const judging = JSON.parse(given.textContent);
  try {
    const before = await remembered(judging.type);
    const said = { name: file.name, columns: before.columns };
    const proposal = await (await worker(judging)).columnsOf(judging.document, file, judging.units, said);
    return await read({ sheet, place, file, judging, proposal, before }, { columns: {}, units: {} });
  } catch (error) {
    return refused(place, error);
  }
}

// Read as a person chose, or as it was found; what was chosen is kept with the file even where it cannot be judged here.
async function read(job, by) {
  const { place, file, judging, proposal, before } = job;
  const units = { ...unitsKnown(before, proposal), ...by.units };
  const given = { name: file.name, columns: { ...proposal.columns, ...by.columns }, units };
  const fields = [...pairs("column", by.columns), ...pairs("unit", by.units)];
  try {
    const { verdict, curves, matches } = await apart.judgeFile(judging.document, file, judging.units, given);
    const { lines, called } = linesOf(judging, verdict);
    const pictures = await picturesOf(place.ownerDocument, judging, verdict.excursions.map((one, k) => ({ ...one, curve: curves[k] })));
    say(place, [...lines, readWords(judging, matches)], "What the recording calls for");
    place.querySelectorAll("figure").forEach((old) => old.remove());
    place.firstChild.after(...pictures);
    asked(job);
    return { fields, pictures, verdict: { revision: judging.revision, excursions: called, words: lines } };
  } catch (error) {
    refused(place, error);
    asked(job);
    return { fields, verdict: {}, pictures: [] };
  }
}

async function picturesOf(page, judging, excursions) {
  return (await import("./pictures.js")).picturesOf(page, judging, excursions);
}

function asked(job) {
  const { sheet, place, judging, proposal } = job;
  place.querySelector("details")?.remove();
  place.append(columnsAsked(sheet.ownerDocument, judging, proposal, (by) => {
    found.set(sheet, read({ ...job, proposal: { ...proposal, columns: { ...proposal.columns, ...by.columns } } }, by));
  }));
}

function linesOf(judging, { excursions, not_judged: left, unobserved }) {
  const called = excursions.map(({ chart, area, area_possible }) => ({ chart, area, area_possible }));
  const beyond = excursions.length ? excursionWords(judging, excursions) : ["Nothing in the recording is beyond a limit that was judged."];
  const gaps = unobserved.length ? ["Gaps in the recording were taken at their worst."] : [];
  return { called, lines: [...beyond, ...left.map(({ chart, reason }) => `${chart}: not judged, ${reason}.`), ...gaps] };
}

function readWords({ revision, document: limits }, matches) {
  const called = new Map(limits.channels.map(({ name, label }) => [name, label || name]));
  const columns = matches.map(({ channel, header }) => `${called.get(channel)} from “${header}”`);
  return `Computed on this phone with limits revision ${revision}; the server will check again. Read: ${columns.join(", ")}.`;
}

// How columns were matched before, as the server told it when it last answered.
async function remembered(type) {
  const told = await store.get("facts", "columns").catch(() => null);
  return told?.of[type] ?? { columns: {}, units: {} };
}

function unitsKnown({ columns, units }, proposal) {
  const same = Object.entries(units).filter(([name, unit]) => unit && proposal.columns[name] && proposal.columns[name] === columns[name]);
  return Object.fromEntries(same);
}

function refused(place, { code, message }) {
  const kept = code === "left_to_server" ? "It is kept as it is." : "It is kept as it is, and the server may refuse it.";
  say(place, [`Not judged on this phone. ${message} ${kept}`]);
  return NOTHING;
}

function say(place, lines, title = "") {
  const page = place.ownerDocument;
  place.firstChild.replaceChildren(...(title ? [make(page, "h3", title, {})] : []), ...lines.map((line) => make(page, "p", line, {})));
}

function pairs(what, by) {
  return Object.entries(by).map(([name, value]) => [`${what}_${name}`, value]);
}
