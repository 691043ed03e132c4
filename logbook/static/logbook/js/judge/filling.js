// The path as it may have been, where it was not observed or the instrument was in error.
import { emptied, pointPut } from "./paths.js";

/**
 * The path as it may have been: raised, and each gap that touches the limit spent at its higher end.
 * @param {import("./paths.js").Path} path
 * @param {{limit: number, isClosed: boolean}} bound
 * @param {number} raisedBy the instrument's tolerance
 * @returns {import("./paths.js").Path} the very same where that changes nothing
 */
export function filled(path, { limit, isClosed }, raisedBy) {
  const touching = path.gaps.filter(({ level }) => level + raisedBy > limit || (isClosed && level + raisedBy === limit));
  if (!touching.length && raisedBy === 0) return path;
  const full = emptied(path.times.length + 2 * touching.length);
  let at = 0;
  let gap = 0;
  for (let k = 0; k <= path.times.length; k++) {
    let isJoined = k > 0 && k < path.times.length ? path.joined[k - 1] : 0;
    for (; gap < touching.length && touching[gap].after + 1 === k; gap++) {
      at = gapPut(full, at, touching[gap], raisedBy);
      isJoined = 1;
    }
    if (k < path.times.length) at = samplePut(full, at, path, k, raisedBy, isJoined);
  }
  return full;
}

function gapPut(full, at, { start_s, end_s, level }, raisedBy) {
  if (at > 0) full.joined[at - 1] = 1;
  full.joined[at] = 1;
  pointPut(full, at, start_s, level + raisedBy);
  pointPut(full, at + 1, end_s, level + raisedBy);
  return at + 2;
}

function samplePut(full, at, path, k, raisedBy, isJoined) {
  if (at > 0) full.joined[at - 1] = isJoined;
  pointPut(full, at, path.times[k], path.values[k] + raisedBy);
  full.rows[at] = path.rows[k];
  return at + 1;
}
