"""Small packages to check: a ledger of a few entries, of which some are packed."""

import hashlib
import json
import zipfile
import zlib
from collections.abc import Callable, Sequence
from io import BytesIO
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from logbook.handover.packing import Packing
from logbook.ledger import tree
from logbook.ledger.canonical import canonical
from logbook.ledger.check_package import SEALS, Archive, Member
from logbook.ledger.notes import checkpoint_text, note_sign, vkey_encode

# The key of RFC 8032, section 7.1, test 1.
KEY = Ed25519PrivateKey.from_private_bytes(
    bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
)
# Another, of test 2: what the ledger was signed with before.
EARLIER = Ed25519PrivateKey.from_private_bytes(
    bytes.fromhex("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb")
)
NAME = "example.org/logbook"
VKEY = vkey_encode(NAME, KEY.public_key().public_bytes_raw())
EARLIER_VKEY = vkey_encode(NAME, EARLIER.public_key().public_bytes_raw())
TRACE = b"time_s,itt\n0,600\n1,690\n"
TRACE_HASH = hashlib.sha256(TRACE).hexdigest()
FACTS = {"title": "engine DEMO-1", "made_at": "2026-11-25T10:00:00Z", "operator": "Example Air"}


def document_of(number: int) -> bytes:
    """Return a short entry; every third names the recorded file."""
    evidence = [] if number % 3 else [{"kind": "trace", "sha256": TRACE_HASH}]
    return canonical({"body": {"evidence": evidence, "title": f"Entry {number}"}, "number": number}).encode()


class Ledger:
    """A ledger of short entries, whose nodes are all at hand."""

    def __init__(self, size: int) -> None:
        self.documents = [document_of(number) for number in range(1, size + 1)]
        self.nodes = {(0, k): tree.leaf_hash(data) for k, data in enumerate(self.documents)}
        growing = tree.GrowingTree()
        for k in range(size):
            for level, index, digest in growing.append(self.nodes[0, k]):
                self.nodes[level, index] = digest
        self.size = size

    def node(self, level: int, index: int) -> bytes:
        return self.nodes[level, index]

    def checkpoint(self, size: int | None = None) -> bytes:
        at = self.size if size is None else size
        return checkpoint_of(at, tree.root_at(at, self.node))

    def proofs(self, numbers: Sequence[int]) -> dict[str, Any]:
        paths = {k: tree.inclusion_path(k - 1, self.size, self.node) for k in numbers}
        older = {k: tree.consistency_path(k, self.size, self.node) for k in range(1, self.size) if k != 4}
        return {
            "entries": [
                {"file": f"entries/{k:06}.json", "index": k - 1, "path": [step.hex() for step in path]}
                for k, path in paths.items()
            ],
            "checkpoints": [{"size": k, "path": [step.hex() for step in path]} for k, path in older.items()],
        }


def files_of(ledger: Ledger, numbers: Sequence[int]) -> dict[str, bytes]:
    """Return the files of a package of some entries."""
    files = {f"entries/{k:06}.json": ledger.documents[k - 1] for k in numbers}
    return {
        **files,
        "proofs.json": canonical(ledger.proofs(numbers)).encode(),
        "checkpoint.txt": ledger.checkpoint(),
        "record.json": b"{}",
        "receipt.json": b"{}",
        f"traces/{TRACE_HASH}": TRACE,
        "samples/1.csv.gz": b"packed",
    }


def packed(files: dict[str, bytes], **changes: Any) -> bytes:
    """Return a package of files, sealed as they are; some facts of its manifest may be others than they should be."""
    out = BytesIO()
    packing = Packing(out)
    for name, data in files.items():
        packing.add(name, [data])
    packing.close(FACTS, name=NAME, key=KEY)
    if not changes:
        return out.getvalue()
    with zipfile.ZipFile(out) as archive:
        found = {name: archive.read(name) for name in archive.namelist()}
    changed_json(found, "manifest.json", lambda manifest: manifest.update(changes))
    found["seal.txt"] = note(f"{NAME}\n{SEALS}\n{hashlib.sha256(found['manifest.json']).hexdigest()}\n")
    return repacked(found)


def repacked(files: dict[str, bytes]) -> bytes:
    """Return files packed as a package is, with the seal they have."""
    return archived(list(files.items()))


def archived(files: Sequence[tuple[str, bytes]]) -> bytes:
    """Return an archive of files, also where a name is there twice."""
    out = BytesIO()
    members = []
    for name, data in files:
        members.append(Member(name, zlib.crc32(data), len(data), out.tell()))
        out.write(Archive.header(name, zlib.crc32(data), len(data)) + data)
    out.write(Archive.directory(members, out.tell()))
    return out.getvalue()


def note(text: str) -> bytes:
    """Return a note that the operator signed."""
    return note_sign(text, name=NAME, key=KEY).encode()


def checkpoint_of(size: int, root: bytes) -> bytes:
    """Return a checkpoint that the operator signed, whatever it says."""
    return note(checkpoint_text(NAME, size, root))


def kept_with_the_earlier_key(size: int, name: str = NAME) -> bytes:
    """Return a checkpoint of the ledger of 11 that its earlier key signed."""
    text = checkpoint_text(name, size, tree.root_at(size, Ledger(11).node))
    return note_sign(text, name=name, key=EARLIER).encode()


def package_with_earlier_keys(*words: str) -> bytes:
    """Return a package of the ledger of 11 whose manifest names keys that it had before."""
    return packed(files_of(Ledger(11), [2, 3, 7, 11]), earlier_keys=list(words))


def package(change: Callable[[dict[str, bytes]], Any] = lambda files: None, size: int = 11) -> bytes:
    """Return a package of entries 2, 3, 7 and the last, its files changed before it is sealed."""
    files = files_of(Ledger(size), [2, 3, 7, size])
    change(files)
    return packed(files)


def changed_json(files: dict[str, bytes], name: str, change: Callable[[Any], Any]) -> None:
    """Change a document of a package."""
    document = json.loads(files[name])
    change(document)
    files[name] = canonical(document).encode()
