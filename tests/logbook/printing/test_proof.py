"""The code and the QR of a printed entry: what they say, and that they are the QR of another implementation too."""

import io
import subprocess
from pathlib import Path

import pytest
import qrcode
import zxingcpp
from pikepdf import Pdf, PdfImage, pdfa
from PIL import Image, ImageFilter
from qrcode.constants import ERROR_CORRECT_H

from logbook.ledger.codes import code_of
from logbook.printing.entry import EntrySheet, entry_pdf
from logbook.printing.proof import MASK, QUIET, SIDE, Proof, image_of, modules_of, proof_section
from logbook.printing.running import Stamp
from tests.harness.poppler import poppler_ensure
from tests.logbook.printing.bodies import PRINTED_BY, STAMPED, inspection_entry, run_entry
from tests.logbook.printing.reading import pages_of, text_of

# SHA-256 of "abc", FIPS 180-4.
DIGEST = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
PROOF = Proof(DIGEST, 12, "https://log.example.org/")
STAMP = Stamp(STAMPED, PRINTED_BY)


def printed(*sheets: EntrySheet) -> bytes:
    return entry_pdf(sheets, paper="a4", stamp=STAMP, title="t")


def test_the_link_holds_the_whole_hash_and_the_tree() -> None:
    assert PROOF.link == f"https://log.example.org/check/{DIGEST}/?size=12"
    assert Proof(DIGEST, 12, "https://log.example.org").link == PROOF.link


@pytest.mark.parametrize("text", [PROOF.link, "https://a.example/check/", "1234567890"])
def test_a_qr_is_the_same_as_another_implementation_draws(text: str) -> None:
    modules = modules_of(text)
    other = qrcode.QRCode(
        version=(len(modules) - 17) // 4, error_correction=ERROR_CORRECT_H, mask_pattern=MASK, border=0
    )
    other.add_data(text, optimize=0)
    other.make(fit=False)
    assert modules == other.get_matrix()


def test_a_qr_has_white_around_it() -> None:
    modules = modules_of(PROOF.link)
    image = image_of(modules)
    count = len(modules) + 2 * QUIET
    assert image.size == (count, count)
    assert image.crop((0, 0, count, QUIET)).getextrema() == (255, 255)
    assert image.getpixel((QUIET, QUIET)) == 0
    assert SIDE / count >= 0.4 * 72 / 25.4  # a module is 0.4 mm or more, so that a phone tells it apart


def test_an_entry_carries_its_code_and_its_qr() -> None:
    content = printed(EntrySheet(12, inspection_entry(), proof=PROOF))
    text = text_of(content)
    assert f"Code {code_of(DIGEST)}" in text
    assert "To check at https://log.example.org/check/" in text
    assert DIGEST in text.replace(" ", "")
    with Pdf.open(io.BytesIO(content)) as pdf:
        images = [image for page in pdf.pages for image in page.get_images().values()]
        assert len(images) == 1
        drawn = PdfImage(images[0]).as_pil_image().convert("L")
        assert drawn.tobytes() == image_of(modules_of(PROOF.link)).tobytes()
        assert pdfa.check(pdf, "2b").verdict == "pass"


@pytest.mark.parametrize(("dpi", "degrees", "blur"), [(100, 0, 0.0), (150, 7, 1.0), (200, -31, 1.5)])
def test_a_scanner_reads_it_off_the_paper(dpi: int, degrees: int, blur: float, tmp_path: Path) -> None:
    (tmp_path / "entry.pdf").write_bytes(printed(EntrySheet(12, inspection_entry(), proof=PROOF)))
    drawn = [str(Path(poppler_ensure()).with_name("pdftoppm")), "-r", str(dpi), "-gray", "entry.pdf", "page"]
    subprocess.run(drawn, cwd=tmp_path, check=True, timeout=120)
    read = []
    for file in sorted(tmp_path.glob("page*.pgm")):
        with Image.open(file) as page:
            held = page.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=255)
            read += zxingcpp.read_barcodes(held.filter(ImageFilter.GaussianBlur(blur)))
    assert [(found.format.name, found.text) for found in read] == [("QRCode", PROOF.link)]


def test_what_is_not_signed_has_no_proof() -> None:
    assert proof_section(None) == []


def test_both_versions_print_and_say_which_holds() -> None:
    older = EntrySheet(3, run_entry(), superseded_by=9)
    newer = EntrySheet(9, run_entry(title="Ground run recorded, put right"), corrects=3)
    pages = pages_of(printed(older, newer))
    first = [page for page in pages if "Entry 3, superseded" in page]
    assert "SUPERSEDED by entry 9. It stays readable as it was signed. Its signature no longer stands." in first[0]
    assert len(first) == pages.index(next(page for page in pages if "Testholm Entry 9 " in page))
    assert "This entry corrects entry 3 and stands in its place" in pages[len(first)]
    assert "No entries below this line" in pages[-1]
    assert "No entries below this line" not in pages[len(first) - 1]
