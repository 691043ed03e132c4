"""How a reader of the paper checks an entry: its code to type, and the same as a QR to scan."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from PIL import Image
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.barcode.qrencoder import QRUtil
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from logbook.ledger.codes import code_of
from logbook.printing.blocks import Story, pairs, paragraph, side_by_side, titled
from logbook.printing.paper import MM

SIDE: Final = 36 * MM
QUIET: Final = 4  # modules left white around a QR (ISO/IEC 18004)
LEVEL: Final = "H"  # survives the loss of about 30 % of its modules
# Any of the eight masks can be read; to weigh them all takes longer than to lay out the entry.
MASK: Final = 3
# The library multiplies the same polynomial out again for every block of every code.
QRUtil.getErrorCorrectPolynomial = staticmethod(cache(QRUtil.getErrorCorrectPolynomial))
ANSWERS: Final = "Scan it, or type the code there: the page answers current, superseded, void, or no match."


@dataclass(frozen=True)
class Proof:
    """By what an entry is known: its hash, its place in the tree of hashes, and the operator's own address."""

    leaf_hash: str
    number: int
    address: str

    @property
    def page(self) -> str:
        """Return where a code is typed."""
        return f"{self.address.rstrip('/')}/check/"

    @property
    def link(self) -> str:
        """Return where the entry is checked; its proof is that of the smallest tree that has it."""
        return f"{self.page}{self.leaf_hash}/?size={self.number}"


def modules_of(text: str) -> list[list[bool]]:
    """Return a QR as rows of dark and light.

    Parameters
    ----------
    text : str
        What it says.

    Returns
    -------
    list of list of bool
        True for dark, without the white around it.

    References
    ----------
    ISO/IEC 18004, error correction level H.
    """
    code = QrCodeWidget(text, barLevel=LEVEL).qr
    code.version = code.version or code.calculate_version()
    code.makeImpl(False, MASK)
    return [[bool(dark) for dark in row] for row in code.modules]


def image_of(modules: Sequence[Sequence[bool]]) -> Image.Image:
    """Return a QR as an image of one pixel a module, with the white around it.

    Parameters
    ----------
    modules : sequence of sequence of bool
        True for dark.

    Returns
    -------
    Image
        Black and white.
    """
    count = len(modules)
    image = Image.new("L", (count + 2 * QUIET, count + 2 * QUIET), 255)
    inner = bytes(0 if dark else 255 for row in modules for dark in row)
    image.paste(Image.frombytes("L", (count, count), inner), (QUIET, QUIET))
    return image


class QrFlowable(Flowable):  # type: ignore[misc]
    """A QR of fixed size."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text
        self.width = self.height = SIDE

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.drawImage(ImageReader(image_of(modules_of(self.text))), 0, 0, self.width, self.height)


def proof_section(proof: Proof | None) -> Story:
    """Return how an entry is checked, under its heading.

    Parameters
    ----------
    proof : Proof or None
        By what it is known; None for what is not signed yet.

    Returns
    -------
    list of Flowable
        Heading, QR, and the same in words; nothing without a proof.
    """
    if proof is None:
        return []
    rows = [
        ("Code", code_of(proof.leaf_hash)),
        ("To check at", proof.page),
        ("SHA-256 of the entry", proof.leaf_hash),
        ("Place in the ledger", f"entry {proof.number}; its proof is of the tree of {proof.number}"),
    ]
    words: Story = [pairs(rows, share=0.7), paragraph(ANSWERS)]
    return titled("To check this entry", [side_by_side([QrFlowable(proof.link)], words, share=0.27)])
