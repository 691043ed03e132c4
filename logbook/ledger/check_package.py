"""Check a package of an engine's or a part's record, on any computer, with no trust in whoever made it.

    python3 check.py PACKAGE.zip [--key KEY]... [--checkpoint FILE]

It needs Python 3.8 or later, nothing else, no network. It ends with 0 if everything matches, else with 1, and names
the first thing that does not. What a package holds is written in Embermark's PACKAGE.md. In short: the archive is as it
was packed, byte for byte; seal.txt is the operator's signature over manifest.json, which names every file with its
SHA-256, and checkpoint.txt over the root of its ledger, a tree of hashes over all entries (RFC 9162), in which each
entry stands at its number. Every file that an entry names is there. Packages within a package match likewise.

--key: the operator's key as you got it from the operator itself, not out of the package; each, where it had several.
--checkpoint: a checkpoint of the same ledger that you kept; the ledger must still begin with what it had then. Where
its key is an earlier one of the ledger, that is one that you give, or one that the sealed manifest names.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import re
import struct
import sys
import zlib
from base64 import b64decode, b64encode
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO, Iterator, NamedTuple  # noqa: UP035 - as Python 3.8 has them

FORMAT = 1
CHUNK = 1 << 20
LONGEST_TEXT = 1 << 30  # bytes of a file that is read whole
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*(/[A-Za-z0-9][A-Za-z0-9._-]*)?")
UNLISTED = {"manifest.json", "seal.txt"}
NEEDED = {*UNLISTED, "checkpoint.txt", "proofs.json", "record.json", "receipt.json"}
SEALS = "package manifest"
KEPT = ("traces/", "photos/", "documents/")  # files named by their SHA-256, which entries name


class Mismatch(Exception):  # noqa: N818 - it is a finding, and its words are shown
    """What does not match, in a sentence."""


class Member(NamedTuple):
    """A file of the archive, and the place of its header."""

    name: str
    crc: int
    size: int
    at: int


class Checkpoint(NamedTuple):
    """What a ledger was: whose, of how many entries, with which root."""

    origin: str
    size: int
    root: bytes


class Archive:
    """The files of a package; Mismatch for any byte that could be another in a package of the same files.

    What ZIP leaves open is fixed, so that the same files are always the same bytes: nothing is compressed, every file
    is of 1980-01-01, and the larger form of the directory (ZIP64) is used only where the smaller does not do.
    """

    LOCAL = struct.Struct("<4s5H3L2H")
    CENTRAL = struct.Struct("<4s6H3L5H2L")
    DAY, MOST16, MOST32 = 33, 0xFFFF, 0xFFFFFFFF

    def __init__(self, file: BinaryIO) -> None:
        self.file = file
        self.members: dict[str, Member] = {}
        at = 0
        while (member := self._member(at)) is not None:
            if member.name in self.members:
                raise Mismatch(f"{member.name} is in the archive twice.")
            self.members[member.name] = member
            at += self.LOCAL.size + len(member.name) + member.size
        expected = self.directory(list(self.members.values()), at)
        file.seek(at)
        if file.read(len(expected) + 1) != expected:
            raise Mismatch("The archive is not as it was packed: its directory is not that of its files.")

    @classmethod
    def header(cls, name: str, crc: int, size: int) -> bytes:
        """Return what stands before a file."""
        return cls.LOCAL.pack(b"PK\3\4", 20, 0, 0, 0, cls.DAY, crc, size, size, len(name), 0) + name.encode("ascii")

    @classmethod
    def directory(cls, members: list[Member], at: int) -> bytes:
        """Return what stands behind the last file, at a place."""
        parts = []
        for name, crc, size, place in members:
            far = struct.pack("<2HQ", 1, 8, place) if place >= cls.MOST32 else b""
            fixed = (b"PK\1\2", 20, 45 if far else 20, 0, 0, 0, cls.DAY, crc, size, size, len(name), len(far))
            parts.append(cls.CENTRAL.pack(*fixed, 0, 0, 0, 0, min(place, cls.MOST32)) + name.encode("ascii") + far)
        listed, count, large = b"".join(parts), len(members), b""
        if count >= cls.MOST16 or at >= cls.MOST32:
            large = struct.pack("<4sQ2H2L4Q", b"PK\6\6", 44, 45, 45, 0, 0, count, count, len(listed), at)
            large += struct.pack("<4sLQL", b"PK\6\7", 0, at + len(listed), 1)
        few, near = min(count, cls.MOST16), min(at, cls.MOST32)
        return listed + large + struct.pack("<4s4H2LH", b"PK\5\6", 0, 0, few, few, len(listed), near, 0)

    def _member(self, at: int) -> Member | None:
        """Return the file whose header is at a place; None where the directory begins."""
        self.file.seek(at)
        head = self.file.read(self.LOCAL.size)
        if len(head) < self.LOCAL.size or head[:4] != b"PK\3\4":
            return None
        crc, size, _, length = self.LOCAL.unpack(head)[6:10]
        data = self.file.read(length)
        name = data.decode("ascii", "replace")
        if not NAME.fullmatch(name) or self.header(name, crc, size) != head + data:
            raise Mismatch(f"The archive is not as it was packed: the header of {name!r}, {at} bytes in.")
        return Member(name, crc, size, at)

    def chunks(self, name: str) -> Iterator[bytes]:
        """Yield what a file holds, a piece at a time."""
        member = self.members[name]
        place, end = (member.at + self.LOCAL.size + len(name) + size for size in (0, member.size))
        while place < end:
            self.file.seek(place)
            piece = self.file.read(min(end - place, CHUNK))
            place += len(piece)
            yield piece

    def read(self, name: str) -> bytes:
        """Return what a file holds."""
        if name not in self.members or self.members[name].size > LONGEST_TEXT:
            raise Mismatch(f"{name} is {'too long' if name in self.members else 'missing'}.")
        return b"".join(self.chunks(name))

    def json(self, name: str) -> Any:
        """Return what a file of JSON says."""
        try:
            return json.loads(self.read(name))
        except (ValueError, RecursionError) as error:
            raise Mismatch(f"{name} is not JSON: {error}.") from error

    def digest(self, name: str) -> str:
        """Return the SHA-256 of a file, in hexadecimal; Mismatch if the archive's own check sum does not hold."""
        crc, digest = 0, hashlib.sha256()
        for piece in self.chunks(name):
            crc = zlib.crc32(piece, crc)
            digest.update(piece)
        if crc != self.members[name].crc:
            raise Mismatch(f"{name} is damaged, or the archive is not as it was packed: a check sum does not hold.")
        return digest.hexdigest()


class Key:
    """An operator's public key, Ed25519 (RFC 8032), written NAME+IDENTIFIER+KEY, and notes signed by it (C2SP)."""

    P = 2**255 - 19
    ORDER = 2**252 + 27742317777372353535851937790883648493
    D = -121665 * pow(121666, P - 2, P) % P

    def __init__(self, word: str) -> None:
        self.word = word
        self.name, _, rest = word.partition("+")
        identifier, _, text = rest.partition("+")
        data = _base64(text)
        self.identifier = hashlib.sha256(self.name.encode() + b"\n" + data).digest()[:4]
        self.public = data[1:]
        if len(data) != 33 or data[:1] != b"\1" or self.identifier.hex() != identifier:
            raise Mismatch(f"{word!r} is not the key of a ledger.")

    def signed(self, message: bytes, signature: bytes) -> bool:
        """Say whether a signature of 64 bytes is by this key and of a message (RFC 8032, section 5.1.7)."""
        key, start = self._point(self.public), self._point(signature[:32])
        scalar = int.from_bytes(signature[32:], "little")
        if len(signature) != 64 or key is None or start is None or scalar >= self.ORDER:
            return False
        challenge = hashlib.sha512(signature[:32] + self.public + message).digest()
        base = self._point((4 * pow(5, self.P - 2, self.P) % self.P).to_bytes(32, "little"))
        x, y, z, _ = self._times(scalar, base)
        u, v, w, _ = self._plus(start, self._times(int.from_bytes(challenge, "little") % self.ORDER, key))
        return (x * w - u * z) % self.P == 0 == (y * w - v * z) % self.P

    def _plus(self, one: tuple[int, ...], other: tuple[int, ...]) -> tuple[int, ...]:
        a = (one[1] - one[0]) * (other[1] - other[0])
        b = (one[1] + one[0]) * (other[1] + other[0])
        c, d = 2 * one[3] * other[3] * self.D, 2 * one[2] * other[2]
        e, f, g, h = (n % self.P for n in (b - a, d - c, d + c, b + a))
        return (e * f % self.P, g * h % self.P, f * g % self.P, e * h % self.P)

    def _times(self, number: int, point: tuple[int, ...] | None) -> tuple[int, ...]:
        total: tuple[int, ...] = (0, 1, 1, 0)
        while number and point:
            total = self._plus(total, point) if number & 1 else total
            point, number = self._plus(point, point), number >> 1
        return total

    def _point(self, data: bytes) -> tuple[int, ...] | None:
        """Return the point that 32 bytes stand for (section 5.1.3), None where they stand for none."""
        sign, y = divmod(int.from_bytes(data, "little"), 1 << 255)
        square = (y * y - 1) * pow(self.D * y * y + 1, self.P - 2, self.P) % self.P
        x = pow(square, (self.P + 3) // 8, self.P)
        x = x if x * x % self.P == square else x * pow(2, (self.P - 1) // 4, self.P) % self.P
        if y >= self.P or x * x % self.P != square or (x == 0 and sign):
            return None
        x = x if x & 1 == sign else self.P - x
        return (x, y, 1, x * y % self.P)

    def has_signed(self, note: bytes) -> bool:
        """Say whether a note carries a signature by this key."""
        text, _, lines = note.rpartition(b"\n\n")
        start = f"— {self.name} ".encode()
        found = (_base64(line[len(start) :]) for line in lines.split(b"\n") if line.startswith(start))
        return any(data[:4] == self.identifier and self.signed(text + b"\n", data[4:]) for data in found)

    def opened(self, note: bytes, file: str) -> str:
        """Return the text of a note that this key signed."""
        if not self.has_signed(note):
            raise Mismatch(f"{file} is not signed by the key {self.word}.")
        return note.rpartition(b"\n\n")[0].decode() + "\n"

    def checkpoint(self, note: bytes, file: str) -> Checkpoint:
        """Return what a signed checkpoint says."""
        origin, size, root = [*self.opened(note, file).split("\n"), "", ""][:3]
        if origin != self.name or not re.fullmatch("0|[1-9][0-9]{0,17}", size) or len(_base64(root)) != 32:
            raise Mismatch(f"{file} is no checkpoint of the ledger {self.name}.")
        return Checkpoint(origin, int(size), _base64(root))


def _base64(text: str | bytes) -> bytes:
    """Return what a text in base 64 stands for; nothing if it is not written in the one way there is."""
    data = text.encode("ascii", "replace") if isinstance(text, str) else text
    try:
        found = b64decode(data, validate=True)
    except ValueError:
        return b""
    return found if b64encode(found) == data else b""


def _climbed(steps: list[bytes], index: int, last: int) -> tuple[bytes, bytes]:
    """Return the roots that a proof leads to: of the entries up to an index, and of all; none if it leads nowhere."""
    smaller = larger = steps[0]
    for step in steps[1:]:
        if not last or len(step) != 32:
            return b"", b""
        if index & 1 or index == last:
            smaller, larger = (hashlib.sha256(b"\1" + step + one).digest() for one in (smaller, larger))
            while index and not index & 1:
                index, last = index >> 1, last >> 1
        else:
            larger = hashlib.sha256(b"\1" + larger + step).digest()
        index, last = index >> 1, last >> 1
    return (b"", b"") if last else (smaller, larger)


def _begins_with(old: Checkpoint, new: Checkpoint, path: list[bytes]) -> bool:
    """Say whether a ledger still begins with what it had at an older checkpoint (RFC 9162, section 2.1.4.2)."""
    if old.size == new.size or not 0 < old.size < new.size or not path:
        return old.size == new.size > 0 and old.root == new.root
    index, last = old.size - 1, new.size - 1
    while index & 1:
        index, last = index >> 1, last >> 1
    steps = path if old.size & (old.size - 1) else [old.root, *path]
    return _climbed(steps, index, last) == (old.root, new.root)


def _manifest(archive: Archive, pinned: str) -> tuple[dict[str, Any], Key]:
    """Return the manifest, once its seal holds, and the key of the seal."""
    for name in sorted(NEEDED - set(archive.members)):
        raise Mismatch(f"{name} is missing.")
    manifest = archive.json("manifest.json")
    key = Key(manifest["key"])
    if pinned.strip() and key.word not in pinned.split():
        raise Mismatch(f"The package is sealed with the key {key.word}, not with the key that you gave.")
    sealed = f"{key.name}\n{SEALS}\n{archive.digest('manifest.json')}\n"
    archive.digest("seal.txt")
    if key.opened(archive.read("seal.txt"), "seal.txt") != sealed:
        raise Mismatch("manifest.json is not as it was when the package was sealed.")
    if manifest["format"] != FORMAT:
        raise Mismatch(f"The package is of format {manifest['format']}; this program knows format {FORMAT}.")
    return manifest, key


def _files_hold(archive: Archive, manifest: dict[str, Any]) -> None:
    """Hold every file against the manifest: none missing, none besides, each as it was."""
    listed = {file["name"]: file for file in manifest["files"]}
    for name in sorted(set(archive.members) - UNLISTED - set(listed)):
        raise Mismatch(f"{name} is in the package, and the manifest does not name it.")
    for name, file in listed.items():
        if name not in archive.members:
            raise Mismatch(f"{name} is missing.")
        if (archive.members[name].size, archive.digest(name)) != (file["size"], file["sha256"]):
            raise Mismatch(f"{name} is not as it was when the package was sealed.")
        if name.startswith(KEPT) and name.partition("/")[2] != file["sha256"]:
            raise Mismatch(f"{name} is not the file that its name says.")


def _entries_hold(archive: Archive, checkpoint: Checkpoint, proofs: list[dict[str, Any]]) -> None:
    """Hold every entry against the checkpoint, and the files it names against those there are."""
    named = {proof["file"] for proof in proofs}
    there = {name.partition("/")[2] for name in archive.members if name.startswith(KEPT)}
    for name in sorted({name for name in archive.members if name.startswith("entries/")} - named):
        raise Mismatch(f"{name} has no proof.")
    for proof in proofs:
        name, index = proof["file"], proof["index"]
        leaf = hashlib.sha256(b"\0" + archive.read(name)).digest()
        path = [leaf, *map(bytes.fromhex, proof["path"])]
        # RFC 9162, section 2.1.3.2.
        if index not in range(checkpoint.size) or _climbed(path, index, checkpoint.size - 1)[1] != checkpoint.root:
            raise Mismatch(f"{name} is not in the ledger that the checkpoint signs.")
        entry = archive.json(name)
        if entry["number"] != index + 1:
            raise Mismatch(f"{name} says that it is entry {entry['number']}; it is entry {index + 1} of the ledger.")
        for digest in sorted({*_files_named(entry["body"])} - there):
            raise Mismatch(f"{name} names a file that is missing: {digest}.")


def _files_named(value: Any) -> Iterator[str]:
    """Yield the SHA-256 of each file that an entry names, wherever it does."""
    if isinstance(value, dict):
        if isinstance(value.get("sha256"), str):
            yield value["sha256"]
        value = list(value.values())
    for one in value if isinstance(value, list) else ():
        yield from _files_named(one)


def _older_holds(old: Checkpoint, new: Checkpoint, proofs: list[dict[str, Any]]) -> None:
    """Hold the ledger against a checkpoint that was kept elsewhere."""
    if old.size > new.size:
        raise Mismatch(f"The checkpoint that you kept counts {old.size} entries; the package's only {new.size}.")
    paths = {one["size"]: [bytes.fromhex(step) for step in one["path"]] for one in proofs}
    if old.size != new.size and old.size not in paths:
        raise Mismatch(f"The package has no proof that leads from a checkpoint of {old.size} entries to its own.")
    if not _begins_with(old, new, paths.get(old.size, [])):
        raise Mismatch(f"The ledger no longer begins with the {old.size} entries of the checkpoint that you kept.")


def check(file: BinaryIO, key: str = "", older: bytes = b"") -> tuple[dict[str, Any], Checkpoint, int]:
    """Return what a package is, if everything in it matches.

    Parameters
    ----------
    file : binary file
        The package, which can be read from any place.
    key : str
        The operator's keys with blanks between, where known; else the one in the package is taken.
    older : bytes
        A checkpoint that was kept elsewhere, if there is one.

    Returns
    -------
    dict, Checkpoint, int
        The manifest, the checkpoint and the number of entries.

    Raises
    ------
    Mismatch
        For the first thing that does not match.
    """
    archive = Archive(file)
    try:
        manifest, owner = _manifest(archive, key)
        _files_hold(archive, manifest)
        checkpoint = owner.checkpoint(archive.read("checkpoint.txt"), "checkpoint.txt")
        proofs = archive.json("proofs.json")
        _entries_hold(archive, checkpoint, proofs["entries"])
        for name in (name for name in archive.members if name.startswith("received/")):
            check(BytesIO(archive.read(name)))
        if older:
            known = [*key.split(), *manifest.get("earlier_keys", [])]
            others = (Key(word) for word in known if word.startswith(f"{owner.name}+"))
            by = next((one for one in others if one.has_signed(older)), owner)
            _older_holds(by.checkpoint(older, "The checkpoint that you kept"), checkpoint, proofs["checkpoints"])
    except (AttributeError, LookupError, RecursionError, TypeError, ValueError) as error:
        raise Mismatch(f"The package is not of the form that it says: {error!r}.") from error
    return manifest, checkpoint, len(proofs["entries"])


def _main(arguments: list[str] | None = None) -> int:
    """Check a package and say in words how it is."""
    parser = argparse.ArgumentParser(description="Check a package of an engine's or a part's record.")
    parser.add_argument("package")
    parser.add_argument("--key", action="append", default=[], help="the operator's key, got from the operator itself")
    parser.add_argument("--checkpoint", default="", help="a file with a checkpoint of the same ledger, kept elsewhere")
    said = parser.parse_args(arguments)
    try:
        older = Path(said.checkpoint).read_bytes() if said.checkpoint else b""
        with open(said.package, "rb") as file:
            manifest, checkpoint, count = check(file, " ".join(said.key), older)
    except (Mismatch, OSError) as error:
        print(f"DOES NOT MATCH: {error}")
        return 1
    print(f"Everything matches: {manifest['title']}, packed {manifest['made_at']} by {manifest['operator']}.")
    print(f"{count} entries stand in the ledger {checkpoint.origin}, as it was at {checkpoint.size} entries.")
    hint = "" if said.key else "\nThat is the package's own word: ask the operator for its key, and give it with --key."
    print(f"Sealed and signed with the key {manifest['key']}{hint}")
    return 0


if __name__ == "__main__":
    sys.exit(_main())
