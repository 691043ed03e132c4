// The SHA-256 of bytes, by which the server says what it received.

/** @param {ArrayBuffer} bytes @returns {Promise<string>} 64 hexadecimal digits */
export async function sha256(bytes) {
  const digest = await crypto.subtle.digest("SHA-256", bytes);
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
