"use strict";

/** What does not match, in a sentence. */
class Mismatch extends Error {}

// The archive. What ZIP leaves open is fixed, so that a package of the same files is always the same bytes.
const DAY = 33;
const MOST16 = 0xffff;
const MOST32 = 0xffffffff;
const LOCAL_BYTES = 30;
const NAME = /^[A-Za-z0-9][A-Za-z0-9._-]*(\/[A-Za-z0-9][A-Za-z0-9._-]*)?$/;

/** Return numbers as bytes, lowest first; each is given with how many bytes it takes. */
function packed(...fields) {
  const bytes = [];
  for (const [value, count] of fields) {
    let left = BigInt(value);
    for (let k = 0; k < count; k += 1) {
      bytes.push(Number(left & 255n));
      left >>= 8n;
    }
  }
  return bytes;
}

/** Return what stands before a file. */
function localHeader(name, crc, size) {
  const fixed = packed([0x04034b50, 4], [20, 2], [0, 2], [0, 2], [0, 2], [DAY, 2], [crc, 4], [size, 4], [size, 4]);
  return [...fixed, ...packed([name.length, 2], [0, 2]), ...new TextEncoder().encode(name)];
}

/** Return what the directory says of one file. */
function listed({ name, crc, size, at }) {
  const far = at >= MOST32 ? packed([1, 2], [8, 2], [at, 8]) : [];
  const needs = far.length ? 45 : 20;
  return [
    ...packed([0x02014b50, 4], [20, 2], [needs, 2], [0, 2], [0, 2], [0, 2], [DAY, 2], [crc, 4], [size, 4], [size, 4]),
    ...packed([name.length, 2], [far.length, 2], [0, 2], [0, 2], [0, 2], [0, 4], [Math.min(at, MOST32), 4]),
    ...new TextEncoder().encode(name),
    ...far,
  ];
}

/** Return what stands behind the last file. */
function directory(members, at) {
  const bytes = members.flatMap(listed);
  const [count, size] = [members.length, bytes.length];
  if (count >= MOST16 || at >= MOST32) {
    bytes.push(...packed([0x06064b50, 4], [44, 8], [45, 2], [45, 2], [0, 4], [0, 4], [count, 8], [count, 8]));
    bytes.push(...packed([size, 8], [at, 8], [0x07064b50, 4], [0, 4], [at + size, 8], [1, 4]));
  }
  const [few, near] = [Math.min(count, MOST16), Math.min(at, MOST32)];
  bytes.push(...packed([0x06054b50, 4], [0, 2], [0, 2], [few, 2], [few, 2], [size, 4], [near, 4], [0, 2]));
  return bytes;
}

/** Return whether two runs of bytes are the same. */
function same(one, other) {
  return one.length === other.length && one.every((byte, k) => byte === other[k]);
}

/** Return bytes of a file. */
async function bytesOf(blob, start, end) {
  return new Uint8Array(await blob.slice(start, end).arrayBuffer());
}

/** The files of a package; a Mismatch for any byte that could be another in a package of the same files. */
class Archive {
  static async open(blob) {
    const archive = new Archive();
    archive.blob = blob;
    archive.members = new Map();
    let at = 0;
    for (let member = await archive.member(at); member; member = await archive.member(at)) {
      if (archive.members.has(member.name)) throw new Mismatch(`${member.name} is in the archive twice.`);
      archive.members.set(member.name, member);
      at = member.start + member.size;
    }
    if (!same(await bytesOf(blob, at, blob.size), directory([...archive.members.values()], at))) {
      throw new Mismatch("The archive is not as it was packed: its directory is not that of its files.");
    }
    return archive;
  }

  async member(at) {
    const head = await bytesOf(this.blob, at, at + LOCAL_BYTES);
    if (head.length < LOCAL_BYTES) return null;
    const view = new DataView(head.buffer);
    if (view.getUint32(0, true) !== 0x04034b50) return null;
    const [crc, size, length] = [view.getUint32(14, true), view.getUint32(18, true), view.getUint16(26, true)];
    const start = at + LOCAL_BYTES + length;
    const name = new TextDecoder("ascii").decode(await bytesOf(this.blob, at + LOCAL_BYTES, start));
    const whole = await bytesOf(this.blob, at, start);
    if (!NAME.test(name) || !same(whole, localHeader(name, crc, size))) {
      throw new Mismatch(`The archive is not as it was packed: a header, ${at} bytes in.`);
    }
    return { name, crc, size, at, start };
  }

  part(name) {
    const member = this.members.get(name);
    if (!member) throw new Mismatch(`${name} is missing.`);
    return this.blob.slice(member.start, member.start + member.size);
  }

  async read(name) {
    return new Uint8Array(await this.part(name).arrayBuffer());
  }

  async text(name) {
    return new TextDecoder("utf-8", { fatal: true }).decode(await this.read(name));
  }

  async json(name) {
    try {
      return JSON.parse(await this.text(name));
    } catch (error) {
      throw error instanceof Mismatch ? error : new Mismatch(`${name} is not JSON.`);
    }
  }

  /** Return the SHA-256 of a file in hexadecimal; a Mismatch if the archive's own check sum does not hold. */
  async digest(name) {
    const data = await this.read(name);
    if (data.length !== this.members.get(name).size || crc32(data) !== this.members.get(name).crc) {
      throw new Mismatch(`${name} is damaged, or the archive is not as it was packed: a check sum does not hold.`);
    }
    return hexOf(await sha256(data));
  }
}
