"""Printing a long set, against reportlab alone setting the same texts, in time and in memory."""

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Table

from logbook.printing.contents import Cover, Line, set_chapters
from logbook.printing.entry import EntrySheet
from logbook.printing.paper import PAPERS
from logbook.printing.proof import Proof
from logbook.printing.running import Chapter, Stamp
from logbook.printing.sets import document_write
from tests.benchmarks.memory import status
from tests.benchmarks.timing import Ratio, medians
from tests.layers import ROOT
from tests.logbook.printing.bodies import STAMPED, inspection_entry, run_entry

ENTRIES, FEW = 1000, 100
ROUNDS = 1
STAMP = Stamp(STAMPED, "Reader")


def sheets(count: int) -> Iterator[EntrySheet]:
    """Yield entries, every third of them an inspection; each carries its code and QR."""
    for number in range(1, count + 1):
        body = run_entry() if number % 3 else inspection_entry()
        yield EntrySheet(number, body, proof=Proof(f"{number:064x}", number, "https://log.example.org"))


def chapters(count: int) -> Iterator[Chapter]:
    """Yield the chapters of a set of so many entries."""
    lines = [Line.of(sheet.number, sheet.body) for sheet in sheets(count)]
    cover = Cover("Set", "Operator", "Place", is_demo=True, subject="One engine", rows=[("Engine", "1")], empty="")
    return set_chapters(cover, lines, sheets(count), STAMP)


def printed(count: int, folder: Path) -> int:
    """Print a set as people get it, but for the signature; return how many pages it has."""
    return document_write(chapters(count), paper=PAPERS["a4"], title="Set", to=folder / "set.pdf")


@dataclass(frozen=True)
class Text:
    """What a paragraph says, as markup, in which style."""

    markup: str
    style: ParagraphStyle


@dataclass(frozen=True)
class Cells:
    """What a table holds."""

    rows: list[list[list["Text | Cells"]]]
    widths: list[float]
    headings: int


def texts_of(flowable: object) -> Iterator[Text | Cells]:
    """Yield what a flowable says, without anything of ours."""
    if isinstance(flowable, Paragraph):
        words = "<br/>".join(escape(fragment.text) for fragment in flowable.frags)
        yield Text(words, flowable.style)
    elif isinstance(flowable, Table):
        rows = [[cell_texts(cell) for cell in row] for row in flowable._cellvalues]
        yield Cells(rows, flowable._argW, flowable.repeatRows)
    else:
        for inner in getattr(flowable, "_content", ()):
            yield from texts_of(inner)


def cell_texts(cell: object) -> list[Text | Cells]:
    """Return what a table's cell says."""
    inside = cell if isinstance(cell, (list, tuple)) else [cell]
    return [text for inner in inside for text in texts_of(inner)]


def bare(text: Text | Cells) -> Flowable:
    """Return a text as reportlab's own paragraph, cells as its own table."""
    if isinstance(text, Text):
        return Paragraph(text.markup, text.style)
    rows = [[[bare(inner) for inner in cell] for cell in row] for row in text.rows]
    return Table(rows, text.widths, repeatRows=text.headings, style=[("GRID", (0, 0), (-1, -1), 0.5, black)])


def bare_printed(texts: list[Text | Cells], folder: Path) -> None:
    """Set the same texts in the same tables with reportlab alone: no running lines, no numbering, no archive format."""
    SimpleDocTemplate(str(folder / "bare.pdf"), pageCompression=1).build([bare(text) for text in texts])


def growth(count: int) -> float:
    """Return the peak memory of a fresh process that prints a set of so many entries. [MB]"""
    command = [sys.executable, "-m", "tests.benchmarks.printing", str(count)]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return float(ran.stdout)


def ratios(folder: Path) -> list[Ratio]:
    """Return the cost of a long set over that of bare reportlab, and its peak memory over that of a short set."""
    texts = [text for chapter in chapters(ENTRIES) for item in chapter.story for text in texts_of(item)]
    ours, theirs = medians(lambda: printed(ENTRIES, folder), lambda: bare_printed(texts, folder), rounds=ROUNDS)
    return [
        Ratio(f"printing {ENTRIES:,} entries : reportlab alone, same texts and tables", ours, theirs, "at most 1.5"),
        Ratio(f"peak memory of {ENTRIES:,} entries : of {FEW}", growth(ENTRIES), growth(FEW), "about 1", "MB"),
    ]


def main(count: int) -> None:
    """Print a set, and print the peak memory of doing so. [MB]"""
    with tempfile.TemporaryDirectory(prefix="embermark-benchmarks-") as folder:
        printed(count, Path(folder))
    print(status("VmHWM"))


if __name__ == "__main__":
    main(int(sys.argv[1]))
