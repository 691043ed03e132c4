// The bytes of a recorded file as text, whatever they were wrapped and encoded in.
import { JudgingError } from "../errors.js";

const HEAD = 1 << 16;
const MOST_BYTES = 1 << 26;
const EMPTY = "The file is empty; a recording has a row of headers and rows of numbers below it.";
const NOT_TEXT = "This is neither a text file nor a Parquet file; export the recording as CSV.";
const MARKS = [
  { mark: [0xef, 0xbb, 0xbf], encoding: "utf-8" },
  { mark: [0xff, 0xfe], encoding: "utf-16le" },
  { mark: [0xfe, 0xff], encoding: "utf-16be" },
];

/**
 * What the phone cannot do and the server can.
 * @param {string} what
 * @returns {JudgingError}
 */
export function leftToServer(what) {
  return new JudgingError("left_to_server", `${what} The server reads the file when it has been sent.`);
}

/** @param {string} why @returns {JudgingError} what the server would refuse as well */
export function unusable(why) {
  return new JudgingError("trace_unusable", why);
}

/**
 * @param {Blob | ArrayBuffer} file
 * @param {string} name what the file is called
 * @returns {Promise<string>}
 */
export async function textOf(file, name) {
  const bytes = await unwrapped(new Uint8Array(file instanceof Blob ? await file.arrayBuffer() : file));
  if (name.toLowerCase().endsWith(".parquet") || beginsWith(bytes, [0x50, 0x41, 0x52, 0x31])) {
    throw leftToServer("This phone can't read Parquet files.");
  }
  if (bytes.length > MOST_BYTES) throw leftToServer("The file is larger than this phone reads.");
  const head = bytes.subarray(0, HEAD);
  if (head.every((byte) => byte === 32 || (byte >= 9 && byte <= 13))) throw unusable(EMPTY);
  return new TextDecoder(encodingOf(head)).decode(bytes);
}

function beginsWith(bytes, mark) {
  return mark.every((byte, k) => bytes[k] === byte);
}

async function unwrapped(bytes) {
  if (!beginsWith(bytes, [0x1f, 0x8b])) return bytes;
  try {
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    return new Uint8Array(await new Response(stream).arrayBuffer());
  } catch {
    throw unusable("The file can't be read: it is damaged.");
  }
}

function encodingOf(head) {
  const marked = MARKS.find(({ mark }) => beginsWith(head, mark));
  if (marked) return marked.encoding;
  const zeros = [0, 0];
  let controls = 0;
  head.forEach((byte, k) => {
    if (byte === 0) zeros[k % 2]++;
    if (byte < 32 && !(byte >= 9 && byte <= 13) && byte !== 26 && byte !== 27) controls++;
  });
  if (Math.max(...zeros) > Math.floor(head.length / 4) && Math.min(...zeros) === 0) {
    return zeros[1] ? "utf-16le" : "utf-16be";
  }
  if (controls > Math.floor(head.length / 1000)) throw unusable(NOT_TEXT);
  return isUtf8(head) ? "utf-8" : "iso-8859-1";
}

function isUtf8(head) {
  try {
    new TextDecoder("utf-8", { fatal: true }).decode(head, { stream: true });
    return true;
  } catch {
    return false;
  }
}

/** @param {string} text @returns {string[]} its lines without their ends, none for what follows the last end */
export function linesOf(text) {
  const lines = text.split(/\r\n|\n|\r/);
  if (lines[lines.length - 1] === "") lines.pop();
  return lines;
}
