// The tree of hashes over all entries of a ledger, RFC 9162.

function node(left, right) {
  return sha256(joined(Uint8Array.of(1), left, right));
}

const isOdd = (number) => number % 2 === 1;
const half = (number) => Math.floor(number / 2);

/** Return the roots that a proof leads to: of the entries up to an index, and of all; null if it leads nowhere. */
async function climbed(steps, from, until) {
  let [smaller, larger, index, last] = [steps[0], steps[0], from, until];
  for (const step of steps.slice(1)) {
    if (!last || step.length !== 32) return null;
    if (isOdd(index) || index === last) {
      smaller = await node(step, smaller);
      larger = await node(step, larger);
      while (index && !isOdd(index)) [index, last] = [half(index), half(last)];
    } else {
      larger = await node(larger, step);
    }
    [index, last] = [half(index), half(last)];
  }
  return last ? null : [hexOf(smaller), hexOf(larger)];
}

/** Say whether a proof shows that an entry is in the ledger at an index (section 2.1.3.2). */
async function isIn(checkpoint, data, index, path) {
  if (!Number.isInteger(index) || index < 0 || index >= checkpoint.size) return false;
  const leaf = await sha256(joined(Uint8Array.of(0), data));
  const found = await climbed([leaf, ...path], index, checkpoint.size - 1);
  return found !== null && found[1] === checkpoint.root;
}

/** Say whether a ledger still begins with what it had at an older checkpoint (section 2.1.4.2). */
async function beginsWith(old, now, path) {
  if (old.size === now.size) return old.size > 0 && old.root === now.root;
  if (old.size < 1 || old.size > now.size || !path.length) return false;
  let [index, last] = [old.size - 1, now.size - 1];
  while (isOdd(index)) [index, last] = [half(index), half(last)];
  const isPower = Number.isInteger(Math.log2(old.size));
  const found = await climbed(isPower ? [bytesOfHex(old.root), ...path] : path, index, last);
  return found !== null && found[0] === old.root && found[1] === now.root;
}
