"""Parts bound into one PDF: numbered over the set, with contents that lead to their pages, for keeping (PDF/A-2b)."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from pikepdf import AccessMode, Array, Dictionary, Name, Object, OutlineItem, Page, Pdf, Stream, pdfa
from reportlab.pdfbase.pdfmetrics import stringWidth

from logbook.printing.laying import Part
from logbook.printing.numbering import FOOT, Awaited
from logbook.printing.paper import RIGHT
from logbook.printing.styles import REGULAR, SIZE

AUTHOR: Final = "Embermark"
FLAVOUR: Final = "2b"  # ISO 19005-2, level B: kept as it looks, with all it needs
# Instead of the moment of making, so that the same pages make the same bytes; the print stamp has the moment.
NO_MOMENT: Final = "2000-01-01T00:00:00+00:00"


@dataclass
class Book:
    """A set being bound: the PDF, and where what is in it begins."""

    pdf: Pdf
    fonts: list[str] = field(default_factory=list)
    marks: dict[str, tuple[int, str]] = field(default_factory=dict)
    awaited: dict[int, list[Awaited]] = field(default_factory=dict)

    def part_add(self, part: Part) -> None:
        """Append the pages of a part."""
        before = len(self.fonts)
        # Not kept open beside the set: what a page needs of the file is read when the set is written.
        source = Pdf.open(part.path, access_mode=AccessMode.stream)
        _lighten(source)
        self.pdf.pages.extend(source.pages)
        self.fonts += [part.font] * part.pages
        self.marks |= {mark: (before + page, title) for mark, (page, title) in part.marks.items()}
        for place in part.awaited:
            self.awaited.setdefault(before + place.page, []).append(place)


def bind(parts: Iterable[Part], *, title: str, to: Path) -> int:
    """Write the parts of a set as one file, numbered as one, that keeps as it is (PDF/A-2b).

    Parameters
    ----------
    parts : iterable of Part
        What is bound, at least one.
    title : str
        Title in the document's properties.
    to : Path
        The file that is written.

    Returns
    -------
    int
        How many pages it has: the same parts make the same bytes.
    """
    with Pdf.new() as pdf:
        book = Book(pdf)
        for part in parts:
            book.part_add(part)
        total = len(book.fonts)
        for number, page in enumerate(book.pdf.pages, start=1):
            _page_finish(book, page, number, total)
        with book.pdf.open_outline() as outline:
            outline.root.extend(OutlineItem(words, page - 1) for page, words in book.marks.values())
        _keep(book.pdf, title, to)
    return total


def _lighten(source: Pdf) -> None:
    """Let the pages of a part share what is the same in each, and take away what none of them needs."""
    shared: dict[bytes, Object] = {}
    for page in source.pages:
        for name in (Name.MediaBox, Name.Resources):
            written = page.obj[name].unparse()
            if written not in shared:
                shared[written] = source.make_indirect(page.obj[name])
            page.obj[name] = shared[written]
        # An empty transition, of which PDF/A will have none, and a rotation by nothing.
        for name in (Name.Trans, Name.Rotate):
            if name in page.obj:
                del page.obj[name]


def _page_finish(book: Book, page: Page, number: int, total: int) -> None:
    """Write on a page what is known only now: page x of y, and the pages of marks."""
    places = book.awaited.get(number, [])
    texts = [(RIGHT, FOOT, f"page {number} of {total}")]
    texts += [(place.x, place.y, str(book.marks[place.mark][0])) for place in places]
    page.contents_add(Stream(book.pdf, b"".join(_written(texts, book.fonts[number - 1]))))
    if places:
        page.obj.Annots = Array([_link(book, place) for place in places])


def _written(texts: list[tuple[float, float, str]], font: str) -> Iterator[bytes]:
    """Yield what writes plain texts right-aligned at their places."""
    yield f"q 0 0 0 rg BT /{font} {SIZE:g} Tf\n".encode()
    for right, y, text in texts:
        x = right - stringWidth(text, REGULAR, SIZE)
        yield f"1 0 0 1 {x:.3f} {y:.3f} Tm ({text}) Tj\n".encode("ascii")
    yield b"ET Q\n"


def _link(book: Book, place: Awaited) -> Dictionary:
    page = book.pdf.pages[book.marks[place.mark][0] - 1]
    box = (place.x - 4 * SIZE, place.y - 3, place.x, place.y + SIZE)
    to = Array([page.obj, Name.Fit])
    link = Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=Array(box), Border=Array([0, 0, 0]), Dest=to, F=4)
    return link


def _keep(pdf: Pdf, title: str, to: Path) -> None:
    """Write a PDF with what ISO 19005-2 asks for."""
    pdf.Root.Lang = "en"
    pdf.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
    properties = {"/Title": title, "/Author": AUTHOR, "/Subject": title, "/Creator": AUTHOR}
    for name, text in properties.items():
        pdf.docinfo[name] = text
    pdfa.prepare(pdf, FLAVOUR)
    with pdf.open_metadata(set_pikepdf_as_editor=False) as metadata:
        metadata["xmp:MetadataDate"] = NO_MOMENT
        metadata["pdf:Producer"] = AUTHOR
    pdf.save(to, **pdfa.resolve_save_kwargs(FLAVOUR, deterministic_id=True))
