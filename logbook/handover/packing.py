"""Writing a package: files one after another, then a manifest, the operator's seal over it, and the directory."""

import hashlib
import zlib
from collections.abc import Iterable, Mapping
from typing import Any, BinaryIO, Final

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from logbook.ledger.canonical import canonical
from logbook.ledger.check_package import FORMAT, SEALS, UNLISTED, Archive, Member
from logbook.ledger.notes import note_sign, vkey_encode

LARGEST_FILE: Final = 0xFFFFFFFF  # bytes; ZIP needs another form beyond it


class Packing:
    """A package being written to a file that can be sought in; nothing of it is held in memory but its directory.

    Parameters
    ----------
    out : binary file
        An empty file.
    """

    def __init__(self, out: BinaryIO) -> None:
        self._out = out
        self._members: list[Member] = []
        self._listed: list[dict[str, Any]] = []

    def add(self, name: str, pieces: Iterable[bytes]) -> None:
        """Write a file, given in pieces; ValueError for one of 4 GiB or more."""
        at = self._out.tell()
        self._out.write(Archive.header(name, 0, 0))
        crc, size, digest = 0, 0, hashlib.sha256()
        for piece in pieces:
            self._out.write(piece)
            crc, size = zlib.crc32(piece, crc), size + len(piece)
            digest.update(piece)
        if size >= LARGEST_FILE:
            raise ValueError(f"{name} holds {size} bytes; a file of a package holds fewer than {LARGEST_FILE}")
        end = self._out.tell()
        self._out.seek(at)
        self._out.write(Archive.header(name, crc, size))
        self._out.seek(end)
        self._members.append(Member(name, crc, size, at))
        if name not in UNLISTED:
            self._listed.append({"name": name, "size": size, "sha256": digest.hexdigest()})

    def add_json(self, name: str, document: Mapping[str, Any]) -> None:
        """Write a document as canonical JSON."""
        self.add(name, [canonical(document).encode()])

    def close(self, facts: Mapping[str, Any], *, name: str, key: Ed25519PrivateKey) -> None:
        """Write the manifest with some facts and all files, the seal over it by a key of a name, and the directory."""
        vkey = vkey_encode(name, key.public_key().public_bytes_raw())
        manifest = {**facts, "format": FORMAT, "origin": name, "key": vkey, "files": self._listed}
        data = canonical(manifest).encode()
        self.add("manifest.json", [data])
        text = f"{name}\n{SEALS}\n{hashlib.sha256(data).hexdigest()}\n"
        self.add("seal.txt", [note_sign(text, name=name, key=key).encode()])
        self._out.write(Archive.directory(self._members, self._out.tell()))
