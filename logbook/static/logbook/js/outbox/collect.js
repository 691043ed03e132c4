// What a sheet says, collected into items that can be kept.
import { sha256 } from "./digest.js";

const LEFT_OUT = new Set(["csrfmiddlewaretoken", "id"]);

/**
 * Return the item that a sheet becomes, and one for each file that was chosen on it.
 * @param {HTMLFormElement} sheet
 * @param {HTMLElement|null} submitter
 * @param {{person: number|null, name: string}} who
 * @param {import("./traced.js").Seen} seen what is known of the file on it
 */
export async function itemsOf(sheet, submitter, who, seen) {
  const data = new FormData(sheet, submitter);
  const entries = [...data.entries()];
  const words = entries.filter(([name, value]) => typeof value === "string" && !LEFT_OUT.has(name));
  const id = sheet.dataset.item ?? (data.get("id") || crypto.randomUUID());
  const { outbox: kind, about, title } = sheet.dataset;
  const charts = [...sheet.querySelectorAll("[data-chart], [data-check]")].map(({ dataset }) => dataset.chart ?? dataset.check);
  const base = { author: who.person, authorName: who.name, path: sheet.ownerDocument.location.pathname };
  const files = entries.map(([, value]) => value).filter((value) => value instanceof File && value.size);
  const { after } = sheet.dataset;
  const traced = { ...base, path: `/runs/${about}/trace/`, id, about, title, ...(after ? { after: [after] } : {}) };
  if (kind === "trace") return Promise.all(files.map((file) => traceItem(file, traced, seen)));
  const said = { ...base, id, kind, about, title, fields: words, charts };
  return [said, ...(await Promise.all(files.map((file) => traceItem(file, ofRun(base, said), seen))))];
}

function ofRun(base, run) {
  const path = `/runs/${run.id}/trace/`;
  return { ...base, path, id: crypto.randomUUID(), about: run.id, title: `Trace of ${run.title}`, after: [run.id] };
}

// A file is read when it is chosen to be kept: what stands behind a picker may be gone an hour later.
async function traceItem(file, facts, { fields, verdict }) {
  const bytes = await file.arrayBuffer();
  const kept = { name: file.name, type: file.type || "application/octet-stream", sha256: await sha256(bytes), bytes };
  return { ...facts, kind: "trace", fields, verdict, file: kept };
}
