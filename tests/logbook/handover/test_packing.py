"""Packages as they are written."""

import json
import zipfile
from collections.abc import Iterator
from io import BytesIO

import pytest

from logbook.handover.packing import LARGEST_FILE, Packing
from tests.logbook.ledger.packages import KEY, NAME, VKEY


def test_the_same_files_make_the_same_bytes_however_they_are_given() -> None:
    made = []
    for pieces in ([b"one two"], [b"one", b" ", b"two"], iter([b"", b"one two"])):
        out = BytesIO()
        packing = Packing(out)
        packing.add("a.txt", pieces)
        packing.add_json("b.json", {"z": 1, "a": [True]})
        packing.close({"title": "t"}, name=NAME, key=KEY)
        made.append(out.getvalue())
    assert made[0] == made[1] == made[2]


def test_the_manifest_names_every_other_file() -> None:
    out = BytesIO()
    packing = Packing(out)
    packing.add("a.txt", [b"abc"])
    packing.close({"title": "t"}, name=NAME, key=KEY)
    with zipfile.ZipFile(out) as archive:
        manifest = json.loads(archive.read("manifest.json"))
        assert archive.namelist() == ["a.txt", "manifest.json", "seal.txt"]
    # SHA-256 of "abc": FIPS 180, example.
    digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert manifest == {
        "title": "t",
        "format": 1,
        "origin": NAME,
        "key": VKEY,
        "files": [{"name": "a.txt", "size": 3, "sha256": digest}],
    }


class Long(bytes):
    """A piece that says that it is longer than any file may be."""

    def __len__(self) -> int:
        return LARGEST_FILE


def test_a_file_that_zip_has_no_form_for_is_refused() -> None:
    def pieces() -> Iterator[bytes]:
        yield Long()

    with pytest.raises(ValueError, match="large holds 4294967295 bytes"):
        Packing(BytesIO()).add("large", pieces())
