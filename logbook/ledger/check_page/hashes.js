// Check sums and hashes: the browser's own where it gives them to a file, else these.

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let k = 0; k < 8; k += 1) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  return crc;
});

function crc32(data) {
  let crc = 0xffffffff;
  for (const byte of data) crc = CRC_TABLE[(crc ^ byte) & 255] ^ (crc >>> 8);
  return (crc ^ 0xffffffff) >>> 0;
}

function hexOf(bytes) {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function bytesOfHex(text) {
  if (typeof text !== "string" || !/^([0-9a-f]{2})*$/.test(text)) throw new TypeError("not hexadecimal");
  return Uint8Array.from(text.match(/../g) || [], (pair) => parseInt(pair, 16));
}

function joined(...parts) {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

async function digestOf(name, own, data) {
  const subtle = globalThis.crypto && globalThis.crypto.subtle;
  return subtle ? new Uint8Array(await subtle.digest(name, data)) : own(data);
}

const sha256 = (data) => digestOf("SHA-256", (bytes) => sha2(bytes, 32n), data);
const sha512 = (data) => digestOf("SHA-512", (bytes) => sha2(bytes, 64n), data);

/** Yield the first primes. */
function* primes(count) {
  const found = [];
  for (let n = 2n; found.length < count; n += 1n) {
    if (found.every((prime) => n % prime)) {
      found.push(n);
      yield n;
    }
  }
}

/** Return the first bits behind the point of a root of a prime, as FIPS 180-4 takes its constants. */
function rootBits(prime, root, bits) {
  const goal = prime << (bits * root);
  let [low, high] = [0n, prime << bits];
  while (low < high) {
    const middle = (low + high + 1n) / 2n;
    if (middle ** root <= goal) low = middle;
    else high = middle - 1n;
  }
  return BigInt.asUintN(Number(bits), low);
}

/** The rotations of FIPS 180-4, sections 4.1.2 and 4.1.3, by the width of a word; the last of a small one shifts. */
const TURNS = {
  32: { big0: [2n, 13n, 22n], big1: [6n, 11n, 25n], small0: [7n, 18n, 3n], small1: [17n, 19n, 10n], rounds: 64 },
  64: { big0: [28n, 34n, 39n], big1: [14n, 18n, 41n], small0: [1n, 8n, 7n], small1: [19n, 61n, 6n], rounds: 80 },
};

function mixer(bits, turns) {
  const cut = (value) => BigInt.asUintN(bits, value);
  const turned = (x, n) => (x >> n) | cut(x << (BigInt(bits) - n));
  return {
    cut,
    big: (x, [a, b, c]) => turned(x, a) ^ turned(x, b) ^ turned(x, c),
    small: (x, [a, b, c]) => turned(x, a) ^ turned(x, b) ^ (x >> c),
    ...turns,
  };
}

function words(data, width) {
  const found = [];
  for (let at = 0; at < data.length; at += width) found.push(BigInt(`0x${hexOf(data.subarray(at, at + width))}`));
  return found;
}

/** Return the message with its padding: a bit, zeros, and its length (section 5.1). */
function padded(data, block) {
  const zeros = (2 * block - 1 - block / 8 - (data.length % block)) % block;
  return joined(data, Uint8Array.of(128), new Uint8Array(zeros), bytesOfHex((data.length * 8).toString(16).padStart(block / 4, "0")));
}

function sha2(data, size) {
  const bits = Number(size);
  const wide = size === 64n ? 64 : 32;
  const mix = mixer(wide, TURNS[wide]);
  const keys = [...primes(mix.rounds)].map((prime) => rootBits(prime, 3n, BigInt(wide)));
  let state = [...primes(8)].map((prime) => rootBits(prime, 2n, BigInt(wide)));
  const block = wide * 2;
  const whole = padded(data, block);
  for (let at = 0; at < whole.length; at += block) {
    state = compressed(state, words(whole.subarray(at, at + block), wide / 8), keys, mix);
  }
  return bytesOfHex(state.map((word) => word.toString(16).padStart(wide / 4, "0")).join("")).subarray(0, bits);
}

function compressed(state, w, keys, mix) {
  for (let t = 16; t < mix.rounds; t += 1) {
    w.push(mix.cut(mix.small(w[t - 2], mix.small1) + w[t - 7] + mix.small(w[t - 15], mix.small0) + w[t - 16]));
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let t = 0; t < mix.rounds; t += 1) {
    const one = h + mix.big(e, mix.big1) + ((e & f) ^ (mix.cut(~e) & g)) + keys[t] + w[t];
    const two = mix.big(a, mix.big0) + ((a & b) ^ (a & c) ^ (b & c));
    [h, g, f, e, d, c, b, a] = [g, f, e, mix.cut(d + one), c, b, a, mix.cut(one + two)];
  }
  return [a, b, c, d, e, f, g, h].map((word, k) => mix.cut(word + state[k]));
}
