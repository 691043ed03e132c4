// The package.

const FORMAT = 1;
const UNLISTED = ["manifest.json", "seal.txt"];
const KEPT = ["traces/", "photos/", "documents/"]; // files named by their SHA-256, which entries name
const NEEDED = [...UNLISTED, "checkpoint.txt", "proofs.json", "record.json", "receipt.json"].sort();

/** Return the words of a text. */
function wordsOf(text) {
  return text.split(/\s+/).filter(Boolean);
}

/** Return the key that signed a kept checkpoint: the owner's, or another of the same ledger that is known. */
async function keyOfKept(owner, words, note) {
  for (const word of words.filter((one) => one.startsWith(`${owner.name}+`))) {
    const key = await keyOf(word);
    if (await hasSigned(key, note)) return key;
  }
  return owner;
}

/** Return the manifest, once its seal holds, and the key of the seal. */
async function manifestOf(archive, pinned) {
  for (const name of NEEDED) archive.part(name);
  const manifest = await archive.json("manifest.json");
  const key = await keyOf(manifest.key);
  if (pinned.trim() && !wordsOf(pinned).includes(key.word)) {
    throw new Mismatch(`The package is sealed with the key ${key.word}, not with the key that you gave.`);
  }
  const sealed = `${key.name}\npackage manifest\n${await archive.digest("manifest.json")}\n`;
  await archive.digest("seal.txt");
  if ((await opened(key, await archive.text("seal.txt"), "seal.txt")) !== sealed) {
    throw new Mismatch("manifest.json is not as it was when the package was sealed.");
  }
  if (manifest.format !== FORMAT) {
    throw new Mismatch(`The package is of format ${manifest.format}; this page knows format ${FORMAT}.`);
  }
  return [manifest, key];
}

/** Hold every file against the manifest: none missing, none besides, each as it was. */
async function filesHold(archive, manifest, tell) {
  const named = new Set([...UNLISTED, ...manifest.files.map((file) => file.name)]);
  for (const name of archive.members.keys()) {
    if (!named.has(name)) throw new Mismatch(`${name} is in the package, and the manifest does not name it.`);
  }
  for (const [k, { name, size, sha256: digest }] of manifest.files.entries()) {
    tell(`File ${k + 1} of ${manifest.files.length}`);
    if (archive.part(name).size !== size || (await archive.digest(name)) !== digest) {
      throw new Mismatch(`${name} is not as it was when the package was sealed.`);
    }
    if (KEPT.some((folder) => name.startsWith(folder)) && name.split("/")[1] !== digest) {
      throw new Mismatch(`${name} is not the file that its name says.`);
    }
  }
}

/** Yield the SHA-256 of each file that an entry names, wherever it does. */
function* filesNamed(value) {
  if (!value || typeof value !== "object") return;
  if (typeof value.sha256 === "string") yield value.sha256;
  for (const one of Object.values(value)) yield* filesNamed(one);
}

async function entryHolds(archive, checkpoint, { file, index, path }) {
  const data = await archive.read(file);
  if (!(await isIn(checkpoint, data, index, path.map(bytesOfHex)))) {
    throw new Mismatch(`${file} is not in the ledger that the checkpoint signs.`);
  }
  const entry = await archive.json(file);
  if (entry.number !== index + 1) {
    throw new Mismatch(`${file} says that it is entry ${entry.number}; it is entry ${index + 1} of the ledger.`);
  }
  for (const digest of filesNamed(entry.body)) {
    if (!KEPT.some((folder) => archive.members.has(folder + digest))) {
      throw new Mismatch(`${file} names a file that is missing: ${digest}.`);
    }
  }
}

/** Hold every entry against the checkpoint, and the files it names against those there are. */
async function entriesHold(archive, checkpoint, proofs, tell) {
  const named = new Set(proofs.map((proof) => proof.file));
  for (const name of archive.members.keys()) {
    if (name.startsWith("entries/") && !named.has(name)) throw new Mismatch(`${name} has no proof.`);
  }
  for (const [k, proof] of proofs.entries()) {
    tell(`Entry ${k + 1} of ${proofs.length}`);
    await entryHolds(archive, checkpoint, proof);
  }
}

/** Hold the ledger against a checkpoint that was kept elsewhere. */
async function olderHolds(old, now, proofs) {
  if (old.size > now.size) {
    throw new Mismatch(`The checkpoint that you kept counts ${old.size} entries; the package's only ${now.size}.`);
  }
  const proof = proofs.find((one) => one.size === old.size);
  if (old.size !== now.size && !proof) {
    throw new Mismatch(`The package has no proof that leads from a checkpoint of ${old.size} entries to its own.`);
  }
  if (!(await beginsWith(old, now, (proof ? proof.path : []).map(bytesOfHex)))) {
    throw new Mismatch(`The ledger no longer begins with the ${old.size} entries of the checkpoint that you kept.`);
  }
}

/** Return what a package is, if everything in it matches; a Mismatch for the first thing that does not. */
async function check(blob, { key = "", older = "", tell = () => {} } = {}) {
  const archive = await Archive.open(blob);
  const [manifest, owner] = await manifestOf(archive, key);
  await filesHold(archive, manifest, tell);
  const checkpoint = await checkpointOf(owner, await archive.text("checkpoint.txt"), "checkpoint.txt");
  const proofs = await archive.json("proofs.json");
  await entriesHold(archive, checkpoint, proofs.entries, tell);
  for (const name of archive.members.keys()) {
    if (name.startsWith("received/")) await check(archive.part(name), { tell });
  }
  if (older) {
    const known = [...wordsOf(key), ...(manifest.earlier_keys ?? [])];
    const by = await keyOfKept(owner, known, older);
    const old = await checkpointOf(by, older, "The checkpoint that you kept");
    await olderHolds(old, checkpoint, proofs.checkpoints);
  }
  return { manifest, checkpoint, entries: proofs.entries.length };
}
