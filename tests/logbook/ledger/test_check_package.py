"""The verifier of packages: whole ones pass, and the first thing that does not match is named.

The signature's arithmetic is held against RFC 8032, section 7.1, tests 1 to 3; notes against the example of C2SP
signed-note; trees against what ``tree`` proves, which is held against published proofs.
"""

import ast
import runpy
import subprocess
import sys
import zipfile
from collections.abc import Callable
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.ledger import check_package, tree
from logbook.ledger.check_package import Archive, Key, Mismatch, check
from logbook.ledger.notes import checkpoint_text, note_sign, vkey_encode
from tests.logbook.ledger import packages
from tests.logbook.ledger.packages import (
    EARLIER,
    EARLIER_VKEY,
    NAME,
    TRACE_HASH,
    VKEY,
    Ledger,
    archived,
    changed_json,
    files_of,
    kept_with_the_earlier_key,
    package,
    package_with_earlier_keys,
    packed,
    repacked,
)
from tests.logbook.ledger.test_notes import C2SP

SCRIPT = Path(check_package.__file__)
WHOLE = package()
WHOLE_FILES = packages.files_of(Ledger(11), [2, 3, 7, 11])


def said_of(data: bytes, **options: object) -> str:
    """Return what does not match in a package."""
    with pytest.raises(Mismatch) as caught:
        check(BytesIO(data), **options)
    return str(caught.value)


def test_a_whole_package_matches() -> None:
    manifest, checkpoint, count = check(BytesIO(WHOLE), VKEY)
    assert (manifest["title"], checkpoint.origin, checkpoint.size, count) == ("engine DEMO-1", NAME, 11, 4)


def test_a_package_that_came_with_it_matches_too() -> None:
    assert check(BytesIO(package(lambda files: files.update({"received/1.zip": WHOLE}))))[2] == 4


@pytest.mark.parametrize("size", [7, 8, 9, 21, 32, 33])
def test_packages_of_ledgers_of_every_size_match(size: int) -> None:
    ledger = Ledger(size)
    data = packages.packed(packages.files_of(ledger, range(1, size + 1)))
    for old in (1, 2, 3, *range(5, size + 1)):
        assert check(BytesIO(data), older=ledger.checkpoint(old))[2] == size


def test_a_package_is_a_zip_of_any_standard_library() -> None:
    with zipfile.ZipFile(BytesIO(WHOLE)) as archive:
        assert archive.testzip() is None
        assert archive.read(f"traces/{TRACE_HASH}") == packages.TRACE
        assert len(archive.namelist()) == 12


def test_every_changed_byte_is_found() -> None:
    data = bytearray(WHOLE)
    for place in range(0, len(data), max(1, len(data) // 300)):
        data[place] ^= 1 << place % 8
        said_of(bytes(data))
        data[place] ^= 1 << place % 8


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_what_is_cut_added_or_put_elsewhere_is_found(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(WHOLE) - 1))
    change = data.draw(st.sampled_from(["cut", "add", "swap"]))
    whole = {"cut": WHOLE[:at], "add": WHOLE[:at] + b"\0" + WHOLE[at:], "swap": WHOLE[at:] + WHOLE[:at]}
    if whole[change] != WHOLE:
        said_of(whole[change])


# What the operator itself sealed, or somebody who has its key: each package is whole but for one thing.
Change = Callable[[dict[str, bytes]], object]
BENT: list[tuple[Change, str]] = [
    (lambda f: f.pop("receipt.json"), "receipt.json is missing."),
    (lambda f: f.pop("entries/000003.json"), "entries/000003.json is missing."),
    (lambda f: f.update({"entries/000005.json": packages.document_of(5)}), "entries/000005.json has no proof."),
    (lambda f: f.update({"entries/000003.json": packages.document_of(4)}), "000003.json is not in the ledger"),
    (lambda f: changed_json(f, "proofs.json", lambda p: p["entries"][0].update(index=3)), "not in the ledger"),
    (lambda f: changed_json(f, "proofs.json", lambda p: p["entries"][0].update(index=99)), "not in the ledger"),
    (lambda f: changed_json(f, "proofs.json", lambda p: p["entries"][0]["path"].pop()), "not in the ledger"),
    (lambda f: changed_json(f, "proofs.json", lambda p: p["entries"][0]["path"].append("00" * 32)), "not in the"),
    (lambda f: changed_json(f, "proofs.json", lambda p: p["entries"][0]["path"].append("00")), "not in the ledger"),
    (lambda f: changed_json(f, "proofs.json", lambda p: p["entries"][0].update(path="x")), "not of the form"),
    (lambda f: changed_json(f, "proofs.json", lambda p: p.pop("entries")), "not of the form"),
    (lambda f: f.update({"proofs.json": b"[" * 9}), "proofs.json is not JSON"),
    (lambda f: f.pop(f"traces/{TRACE_HASH}"), f"names a file that is missing: {TRACE_HASH}"),
    (lambda f: f.update({f"traces/{TRACE_HASH}": b"other"}), f"traces/{TRACE_HASH} is not the file that its name"),
    (lambda f: f.update({"traces/x.csv": b""}), "traces/x.csv is not the file that its name says"),
    (lambda f: f.update({"photos/x": b""}), "photos/x is not the file that its name says"),
    (lambda f: f.update({"documents/x.pdf": b""}), "documents/x.pdf is not the file that its name says"),
    (lambda f: f.update({f"documents/{TRACE_HASH}": b"other"}), f"documents/{TRACE_HASH} is not the file that its"),
    (lambda f: f.update({"received/1.zip": WHOLE[:-1]}), "its directory is not that of its files"),
    (lambda f: f.update({"received/1.zip": package(BENT[0][0])}), "receipt.json is missing."),
    (lambda f: f.update({"checkpoint.txt": b"no note"}), "checkpoint.txt is not signed by the key"),
    (lambda f: f.update({"checkpoint.txt": Ledger(12).checkpoint()}), "is not in the ledger"),
    (lambda f: f.update({"checkpoint.txt": packages.note(f"{NAME}\n0x\nAA==\n")}), "is no checkpoint of the ledger"),
]


@pytest.mark.parametrize(("change", "words"), BENT)
def test_the_first_thing_that_does_not_match_is_named(change: Change, words: str) -> None:
    assert words in said_of(package(change))


def test_an_entry_says_its_own_number() -> None:
    ledger = Ledger(0)
    ledger.documents = [packages.document_of(9)]
    ledger.nodes, ledger.size = {(0, 0): tree.leaf_hash(ledger.documents[0])}, 1
    assert "says that it is entry 9; it is entry 1" in said_of(packages.packed(packages.files_of(ledger, [1])))


def test_a_file_that_the_manifest_does_not_name_is_found() -> None:
    with zipfile.ZipFile(BytesIO(WHOLE)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    assert repacked(files) == WHOLE
    assert "added.txt is in the package, and the manifest does not name it." in said_of(
        repacked({"added.txt": b"", **files})
    )
    assert "record.json is not as it was" in said_of(repacked({**files, "record.json": b"[]"}))
    assert "manifest.json is not as it was" in said_of(
        repacked({**files, "manifest.json": files["manifest.json"].replace(b"DEMO-1", b"DEMO-2")})
    )
    files.pop("samples/1.csv.gz")
    assert "samples/1.csv.gz is missing." in said_of(repacked(files))


def test_a_file_packed_twice_or_under_another_path_is_found() -> None:
    assert "a is in the archive twice." in said_of(archived([("a", b""), ("a", b"")]))
    for name in ("../a", "/a", "a/../b", "a/b/c", "a\\b", ".a", ""):
        assert "the header of" in said_of(repacked({name: b""}))


@pytest.mark.parametrize(
    ("older", "words"),
    [
        (lambda: Ledger(13).checkpoint(), "counts 13 entries; the package's only 11"),
        (lambda: Ledger(11).checkpoint(4), "no proof that leads from a checkpoint of 4 entries"),
        (lambda: packages.checkpoint_of(3, b"\1" * 32), "no longer begins with the 3 entries"),
        (lambda: packages.checkpoint_of(11, b"\1" * 32), "no longer begins with the 11 entries"),
        (lambda: packages.checkpoint_of(0, sha256(b"").digest()), "no proof that leads from a checkpoint of 0"),
        (lambda: b"nothing", "The checkpoint that you kept is not signed"),
    ],
)
def test_a_ledger_that_was_put_back_or_written_anew_is_found(older: Callable[[], bytes], words: str) -> None:
    assert words in said_of(WHOLE, older=older())


def test_nothing_can_be_proved_of_an_empty_ledger() -> None:
    bent = package(lambda f: changed_json(f, "proofs.json", lambda p: p["checkpoints"].append({"size": 0, "path": []})))
    old = packages.checkpoint_of(0, sha256(b"").digest())
    assert "no longer begins with the 0 entries" in said_of(bent, older=old)


def test_another_key_is_found() -> None:
    other = vkey_encode(NAME, bytes(31) + b"\1")
    assert "not with the key that you gave" in said_of(WHOLE, key=other)
    for word in ("", "name", VKEY[:-1], VKEY.replace("cc11", "cc12")):
        assert "is not the key of a ledger" in said_of(packages.packed(WHOLE_FILES, key=word))


def test_a_later_format_is_named() -> None:
    assert "format 2; this program knows format 1" in said_of(packages.packed(WHOLE_FILES, format=2))


def test_files_too_long_to_be_read_whole_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_package, "LONGEST_TEXT", 10)
    assert "manifest.json is too long." in said_of(WHOLE)


# RFC 8032, section 7.1, tests 1 to 3: public key, message, signature.
RFC8032 = [
    (
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe"
        "24655141438e7a100b",
    ),
    (
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302a"
        "eeb00d291612bb0c00",
    ),
    (
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed2"
        "8dc027beceea1ec40a",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("public", "message", "signature"), RFC8032)
def test_published_signatures_hold(public: str, message: str, signature: str) -> None:
    key, data, signed = Key(vkey_encode("a", bytes.fromhex(public))), bytes.fromhex(message), bytes.fromhex(signature)
    assert key.signed(data, signed)
    assert not key.signed(data + b"\0", signed)
    for place in range(0, 64, 7):
        bent = bytearray(signed)
        bent[place] ^= 1
        assert not key.signed(data, bytes(bent))
    larger = int.from_bytes(signed[32:], "little") + Key.ORDER
    assert not key.signed(data, signed[:32] + larger.to_bytes(32, "little"))
    assert not key.signed(data, signed[:-1])


def test_points_that_are_none_are_refused() -> None:
    key = Key(VKEY)
    assert key._point((2**255 - 19).to_bytes(32, "little")) is None
    assert key._point((1 | 1 << 255).to_bytes(32, "little")) is None
    assert key._point((2).to_bytes(32, "little")) is None


def test_a_published_note_opens() -> None:
    vkey, note = C2SP
    assert Key(vkey).opened(note.encode(), "note") == "This is an example message.\n"


@pytest.mark.parametrize(("count", "at"), [(2, 0), (0xFFFF, 0), (2, 0xFFFFFFFF), (2, 1 << 33)])
def test_large_directories_are_read_by_the_standard_library(count: int, at: int) -> None:
    members = [check_package.Member(f"a{k}", 0, 0, at + 33 * k) for k in range(count)]
    end = at + 33 * count
    data = Archive.directory(members, end)
    infos = zipfile.ZipFile(Sparse(data, end)).infolist()
    assert [(one.filename, one.header_offset) for one in infos[-2:]] == [(m.name, m.at) for m in members[-2:]]
    assert len(infos) == count


class Sparse(BytesIO):
    """A file whose beginning is all nothing, so that it need not be there."""

    def __init__(self, data: bytes, start: int) -> None:
        super().__init__(data)
        self.start = start

    def seek(self, offset: int, whence: int = 0) -> int:
        return super().seek(offset - self.start if whence == 0 else offset, whence) + self.start

    def tell(self) -> int:
        return super().tell() + self.start


def run_script(monkeypatch: pytest.MonkeyPatch, *arguments: object) -> int:
    """Return how the script ends when it is run as a program."""
    monkeypatch.setattr(sys, "argv", ["check.py", *map(str, arguments)])
    with pytest.raises(SystemExit) as ended:
        runpy.run_path(str(SCRIPT), run_name="__main__")
    return int(ended.value.code)


def test_it_runs_as_a_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    good, bad, kept = tmp_path / "good.zip", tmp_path / "bad.zip", tmp_path / "kept.txt"
    good.write_bytes(WHOLE)
    bad.write_bytes(WHOLE.replace(packages.TRACE, packages.TRACE[::-1]))
    kept.write_bytes(Ledger(11).checkpoint(5))
    assert run_script(monkeypatch, good) == 0
    said = capsys.readouterr().out
    assert "Everything matches: engine DEMO-1" in said
    assert "the package's own word" in said
    assert run_script(monkeypatch, good, "--key", VKEY, "--checkpoint", kept) == 0
    assert "own word" not in capsys.readouterr().out
    kept.write_bytes(kept_with_the_earlier_key(5))
    assert run_script(monkeypatch, good, "--key", VKEY, "--checkpoint", kept) == 1
    assert run_script(monkeypatch, good, "--key", VKEY, "--key", EARLIER_VKEY, "--checkpoint", kept) == 0
    assert "own word" not in capsys.readouterr().out
    assert run_script(monkeypatch, bad) == 1
    assert f"DOES NOT MATCH: traces/{TRACE_HASH} is damaged" in capsys.readouterr().out
    assert run_script(monkeypatch, tmp_path / "none.zip") == 1


def test_a_checkpoint_that_an_earlier_key_signed_holds_where_that_key_is_vouched_for_or_given() -> None:
    """The keys are those of RFC 8032, section 7.1, tests 1 and 2."""
    kept, vouched = kept_with_the_earlier_key(5), package_with_earlier_keys(EARLIER_VKEY)
    assert check(BytesIO(vouched), older=kept)[2] == 4
    assert check(BytesIO(vouched), VKEY, older=kept)[2] == 4
    assert check(BytesIO(WHOLE), f"{VKEY} {EARLIER_VKEY}", older=kept)[2] == 4
    assert check(BytesIO(vouched), VKEY, older=Ledger(11).checkpoint(5))[2] == 4
    assert "The checkpoint that you kept is not signed by the key" in said_of(WHOLE, older=kept)
    assert "not with the key that you gave" in said_of(vouched, key=EARLIER_VKEY)
    bent = checkpoint_text(NAME, 5, b"\1" * 32)
    rolled = note_sign(bent, name=NAME, key=EARLIER).encode()
    assert "no longer begins with the 5 entries" in said_of(vouched, older=rolled)
    assert "is not the key of a ledger" in said_of(package_with_earlier_keys(f"{NAME}+00000000+AA=="), older=kept)
    unread = packed(files_of(Ledger(11), [2]), earlier_keys=[7])
    assert "not of the form that it says" in said_of(unread, older=kept)


def test_a_key_of_another_ledger_signs_no_checkpoint_of_this_one() -> None:
    other = f"{NAME}2"
    word = vkey_encode(other, EARLIER.public_key().public_bytes_raw())
    kept = kept_with_the_earlier_key(5, other)
    assert "is not signed by the key" in said_of(package_with_earlier_keys(word), older=kept)


def test_it_imports_the_standard_library_only() -> None:
    shown = "import sys, runpy; runpy.run_path(sys.argv[1], run_name='check'); print('django' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", shown, str(SCRIPT)], capture_output=True, text=True, check=True, timeout=120
    )
    assert done.stdout.strip() == "False"
    assert "from logbook" not in SCRIPT.read_text(encoding="utf8")


def test_its_source_is_of_python_3_8() -> None:
    ast.parse(SCRIPT.read_text(encoding="utf8"), feature_version=(3, 8))
