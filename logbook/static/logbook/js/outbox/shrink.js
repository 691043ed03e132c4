// A picture made small enough for a phone without signal: drawn anew upright, so that nothing but the picture is left of it.

const LONG_EDGE = 2000;
const PREVIEW_EDGE = 240;
const PREVIEW_QUALITY = 0.6;
const MOST_BYTES = 1_500_000;
const KIND = "image/jpeg";
const PAPER = "#ffffff";
// Tried in this order until one is small enough; the last is taken in any case.
const TRIES = [
  { edge: LONG_EDGE, quality: 0.8 },
  { edge: LONG_EDGE, quality: 0.65 },
  { edge: 1500, quality: 0.65 },
  { edge: 1000, quality: 0.6 },
];

/**
 * @param {Document} page
 * @param {File} file a picture that this browser can read; anything else is refused by a fault
 * @returns {Promise<{bytes: ArrayBuffer, type: string, preview: string}>} the picture, and a small one as an address
 */
export async function shrunk(page, file) {
  const image = await createImageBitmap(file, { imageOrientation: "from-image" });
  try {
    const blob = await firstThatFits(page, image);
    const preview = drawn(page, image, PREVIEW_EDGE).toDataURL(KIND, PREVIEW_QUALITY);
    return { bytes: await blob.arrayBuffer(), type: KIND, preview };
  } finally {
    image.close();
  }
}

async function firstThatFits(page, image) {
  let blob = null;
  for (const { edge, quality } of TRIES) {
    blob = await asBlob(drawn(page, image, edge), quality);
    if (blob.size <= MOST_BYTES) break;
  }
  return blob;
}

function drawn(page, image, edge) {
  const share = Math.min(1, edge / Math.max(image.width, image.height));
  const canvas = page.createElement("canvas");
  canvas.width = Math.max(1, Math.round(image.width * share));
  canvas.height = Math.max(1, Math.round(image.height * share));
  const pen = canvas.getContext("2d");
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas;
}

function asBlob(canvas, quality) {
  return new Promise((done, fail) => canvas.toBlob((blob) => (blob ? done(blob) : fail(new Error("not drawn"))), KIND, quality));
}
