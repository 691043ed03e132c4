// Signatures: Ed25519 by RFC 8032, in notes as C2SP signed-note has them.

const P = 2n ** 255n - 19n;
const ORDER = 2n ** 252n + 27742317777372353535851937790883648493n;

function modulo(value) {
  return ((value % P) + P) % P;
}

function power(base, exponent) {
  let [result, factor] = [1n, modulo(base)];
  for (let left = exponent; left; left >>= 1n) {
    if (left & 1n) result = (result * factor) % P;
    factor = (factor * factor) % P;
  }
  return result;
}

const D = modulo(-121665n * power(121666n, P - 2n));

function plus(one, other) {
  const a = (one[1] - one[0]) * (other[1] - other[0]);
  const b = (one[1] + one[0]) * (other[1] + other[0]);
  const c = 2n * one[3] * other[3] * D;
  const d = 2n * one[2] * other[2];
  const [e, f, g, h] = [b - a, d - c, d + c, b + a].map(modulo);
  return [e * f, g * h, f * g, e * h].map(modulo);
}

function times(number, point) {
  let [total, factor] = [[0n, 1n, 1n, 0n], point];
  for (let left = number; left; left >>= 1n) {
    if (left & 1n) total = plus(total, factor);
    factor = plus(factor, factor);
  }
  return total;
}

function littleEndian(bytes) {
  return bytes.length ? BigInt(`0x${hexOf(Uint8Array.from(bytes).reverse())}`) : 0n;
}

/** Return the point that a number stands for (section 5.1.3), null where it stands for none. */
function pointOf(number) {
  const [sign, y] = [number >> 255n, number & ((1n << 255n) - 1n)];
  const square = modulo((y * y - 1n) * power(D * y * y + 1n, P - 2n));
  let x = power(square, (P + 3n) / 8n);
  if ((x * x) % P !== square) x = modulo(x * power(2n, (P - 1n) / 4n));
  if (y >= P || (x * x) % P !== square || (x === 0n && sign)) return null;
  if ((x & 1n) !== sign) x = P - x;
  return [x, y, 1n, modulo(x * y)];
}

const BASE = pointOf(modulo(4n * power(5n, P - 2n)));

/** Say whether a signature is by a key and of a message (section 5.1.7). */
async function isSigned(key, message, signature) {
  if (signature.length !== 64) return false;
  const [point, start] = [pointOf(littleEndian(key)), pointOf(littleEndian(signature.subarray(0, 32)))];
  const scalar = littleEndian(signature.subarray(32));
  if (!point || !start || scalar >= ORDER) return false;
  const challenge = littleEndian(await sha512(joined(signature.subarray(0, 32), key, message))) % ORDER;
  const [left, right] = [times(scalar, BASE), plus(start, times(challenge, point))];
  return [0, 1].every((k) => modulo(left[k] * right[2]) === modulo(right[k] * left[2]));
}

/** Return what a text in base 64 stands for; nothing if it is not written in the one way there is. */
function base64(text) {
  try {
    const raw = atob(text);
    return btoa(raw) === text ? Uint8Array.from(raw, (letter) => letter.charCodeAt(0)) : new Uint8Array();
  } catch {
    return new Uint8Array();
  }
}

/** Return the key of a word such as NAME+IDENTIFIER+KEY. */
async function keyOf(word) {
  const [name, identifier, ...rest] = String(word).split("+");
  const data = base64(rest.join("+"));
  const hash = await sha256(joined(new TextEncoder().encode(`${name}\n`), data));
  if (data.length !== 33 || data[0] !== 1 || hexOf(hash.subarray(0, 4)) !== identifier) {
    throw new Mismatch(`“${word}” is not the key of a ledger.`);
  }
  return { word, name, identifier, public: data.subarray(1) };
}

/** Return whether a note carries a signature by a key. */
async function hasSigned(key, note) {
  const gap = note.lastIndexOf("\n\n");
  const text = new TextEncoder().encode(note.slice(0, gap + 1));
  const start = `— ${key.name} `;
  for (const line of gap < 0 ? [] : note.slice(gap + 2).split("\n")) {
    const data = line.startsWith(start) ? base64(line.slice(start.length)) : new Uint8Array();
    const isOwn = hexOf(data.subarray(0, 4)) === key.identifier;
    if (isOwn && (await isSigned(key.public, text, data.subarray(4)))) return true;
  }
  return false;
}

/** Return the text of a note that a key signed. */
async function opened(key, note, file) {
  if (!(await hasSigned(key, note))) throw new Mismatch(`${file} is not signed by the key ${key.word}.`);
  return note.slice(0, note.lastIndexOf("\n\n") + 1);
}

/** Return what a signed checkpoint says. */
async function checkpointOf(key, note, file) {
  const [origin, size, root = ""] = (await opened(key, note, file)).split("\n");
  const hash = base64(root);
  if (origin !== key.name || !/^(0|[1-9][0-9]{0,14})$/.test(size) || hash.length !== 32) {
    throw new Mismatch(`${file} is no checkpoint of the ledger ${key.name}.`);
  }
  return { origin, size: Number(size), root: hexOf(hash) };
}
