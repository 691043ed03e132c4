"""The verifier of packages as one page, opened from a file in a real browser that has no network.

Hashes where the browser gives none to a file: FIPS 180 examples. Signatures: RFC 8032, section 7.1, tests 1 to 3.
Packages: as the other verifier's tests have them.
"""

import zipfile
from base64 import b64encode
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from logbook.handover.checkers import check_page
from logbook.ledger.notes import vkey_encode
from tests.logbook.ledger.packages import (
    EARLIER,
    EARLIER_VKEY,
    NAME,
    VKEY,
    Ledger,
    kept_with_the_earlier_key,
    package,
    package_with_earlier_keys,
    repacked,
)
from tests.logbook.ledger.test_check_package import BENT, RFC8032, WHOLE, said_of

NO_SUBTLE = "Object.defineProperty(globalThis.crypto, 'subtle', { value: undefined });"
SHA_ABC = {
    "sha256": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    "sha512": "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd"
    "454d4423643ce80e2a9ac94fa54ca49f",
}
SHA_TWO_BLOCKS = "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
CHECK = """async ([data, key, older]) => {
  const bytes = (text) => Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  try {
    const { entries } = await check(new Blob([bytes(data)]), { key, older: new TextDecoder().decode(bytes(older)) });
    return `${entries} entries match`;
  } catch (error) {
    return error.message;
  }
}"""


def opened(page: Page, folder: Path) -> Page:
    """Open the page as a file, without a network."""
    file = folder / "check.html"
    file.write_bytes(check_page())
    page.context.set_offline(True)
    page.goto(file.as_uri())
    return page


@pytest.fixture
def checker(page: Page, tmp_path: Path) -> Page:
    """Return the page."""
    return opened(page, tmp_path)


def said(page: Page, data: bytes, key: str = "", older: bytes = b"") -> str:
    """Return what the page's scripts say of a package."""
    words: str = page.evaluate(CHECK, [b64encode(data).decode(), key, b64encode(older).decode()])
    return words


def test_whole_packages_match(checker: Page) -> None:
    assert said(checker, WHOLE) == said(checker, WHOLE, VKEY, Ledger(11).checkpoint(5)) == "4 entries match"
    assert said(checker, package(lambda files: files.update({"received/1.zip": WHOLE}))) == "4 entries match"
    for size in (8, 9, 21, 32, 33):
        older = {old: said(checker, package(size=size), VKEY, Ledger(size).checkpoint(old)) for old in (1, 2, 3, 6)}
        assert set(older.values()) == {"4 entries match"}


def one_of_each() -> dict[str, bytes]:
    """Return the files of a package with one of each kind that there is."""
    kept = {f"{folder}/{sha256(folder.encode()).hexdigest()}": folder.encode() for folder in ("photos", "documents")}
    papers = {"prints/log.pdf": b"%PDF", "RECEIPT.txt": b"Receipt", "check.py": b"#", "check.html": b"<p>"}
    whole = package(lambda files: files.update(kept | papers | {"received/1.zip": WHOLE}))
    with zipfile.ZipFile(BytesIO(whole)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_both_name_the_file_of_which_one_byte_was_changed(checker: Page) -> None:
    files = one_of_each()
    whole = repacked(files)
    assert said(checker, whole) == "4 entries match"
    for name, content in files.items():
        at = whole.index(name.encode() + content) + len(name)
        in_place = whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :]
        # The archive's own check sums made anew, as who forges would.
        forged = repacked(files | {name: content[:-1] + bytes([content[-1] ^ 1])})
        for changed in (in_place, forged):
            assert name in said_of(changed)
            assert name in said(checker, changed)


def test_it_names_what_the_other_verifier_names(checker: Page) -> None:
    found = {words: said(checker, package(change)) for change, words in BENT}
    # What it says of a form that cannot be read is the browser's own sentence.
    expected = {words for words in found if "not of the form" not in words}
    assert [(words, found[words]) for words in expected if words not in found[words]] == []
    assert "4 entries match" not in found.values()


def test_every_changed_byte_is_found(checker: Page) -> None:
    data = bytearray(WHOLE)
    missed = []
    for place in range(3, len(data), len(data) // 150):
        data[place] ^= 1 << place % 8
        missed += [place] if said(checker, bytes(data)) == "4 entries match" else []
        data[place] ^= 1 << place % 8
    assert missed == []


def test_a_checkpoint_that_an_earlier_key_signed_holds_as_in_the_script(checker: Page) -> None:
    kept, vouched = kept_with_the_earlier_key(5), package_with_earlier_keys(EARLIER_VKEY)
    assert said(checker, vouched, VKEY, kept) == "4 entries match"
    assert said(checker, WHOLE, f"{VKEY} {EARLIER_VKEY}", kept) == "4 entries match"
    assert "The checkpoint that you kept is not signed by the key" in said(checker, WHOLE, VKEY, kept)
    assert "not with the key that you gave" in said(checker, vouched, EARLIER_VKEY)
    word = vkey_encode(f"{NAME}2", EARLIER.public_key().public_bytes_raw())
    other = kept_with_the_earlier_key(5, f"{NAME}2")
    assert "is not signed by the key" in said(checker, package_with_earlier_keys(word), "", other)


@pytest.mark.parametrize(
    ("data", "key", "older", "words"),
    [
        (WHOLE, VKEY.replace("example", "exempla"), b"", "not with the key that you gave"),
        (WHOLE, "", Ledger(13).checkpoint(), "counts 13 entries"),
        (WHOLE, "", Ledger(11).checkpoint(4), "no proof that leads from a checkpoint of 4 entries"),
        (WHOLE, "", b"nothing", "The checkpoint that you kept is not signed"),
        (repacked({"../a": b""}), "", b"", "The archive is not as it was packed: a header"),
        (WHOLE[:-1], "", b"", "its directory is not that of its files"),
        (WHOLE + b"\0", "", b"", "its directory is not that of its files"),
    ],
)
def test_what_is_held_against_it_from_outside(checker: Page, data: bytes, key: str, older: bytes, words: str) -> None:
    assert words in said(checker, data, key, older)


def test_published_hashes_and_signatures_without_the_browsers_own(page: Page, tmp_path: Path) -> None:
    page.add_init_script(NO_SUBTLE)
    opened(page, tmp_path)
    for name, digest in SHA_ABC.items():
        assert page.evaluate(f"{name}(new TextEncoder().encode('abc')).then(hexOf)") == digest
    two = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"
    assert page.evaluate(f"sha256(new TextEncoder().encode('{two}')).then(hexOf)") == SHA_TWO_BLOCKS
    for public, message, signature in RFC8032:
        call = "([a, b, c]) => isSigned(bytesOfHex(a), bytesOfHex(b), bytesOfHex(c))"
        assert page.evaluate(call, [public, message, signature]) is True
        assert page.evaluate(call, [public, message + "00", signature]) is False
    assert said(page, WHOLE) == "4 entries match"


def test_a_person_chooses_a_package(checker: Page) -> None:
    check = checker.get_by_role("button", name="Check", exact=True)
    check.click()
    expect(checker.locator("#said")).to_have_text("Choose a package first.")
    files = {"good.zip": WHOLE, "bad.zip": WHOLE.replace(b"690", b"699", 1)}
    for name, data in files.items():
        checker.set_input_files("#package", {"name": name, "mimeType": "application/zip", "buffer": data})
        check.click()
        words = "Everything matches: engine DEMO-1, packed" if name == "good.zip" else "DOES NOT MATCH"
        expect(checker.locator("#said")).to_contain_text(words)
    kept = {"name": "kept.txt", "mimeType": "text/plain", "buffer": Ledger(11).checkpoint(5)}
    checker.set_input_files("#package", {"name": "p.zip", "mimeType": "application/zip", "buffer": WHOLE})
    checker.set_input_files("#checkpoint", kept)
    checker.fill("#key", VKEY)
    check.click()
    expect(checker.locator("#said")).to_contain_text("That is the key that you gave.")
