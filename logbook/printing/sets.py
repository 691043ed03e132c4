"""Chapters as one PDF: laid out in parts, bound and numbered as one set."""

import tempfile
from collections.abc import Iterable
from pathlib import Path

from logbook.printing.binding import bind
from logbook.printing.laying import parts_laid
from logbook.printing.paper import Paper
from logbook.printing.running import Chapter


def document_write(chapters: Iterable[Chapter], *, paper: Paper, title: str, to: Path) -> int:
    """Write chapters as one PDF file, each begun on a page of its own, numbered as one set.

    Parameters
    ----------
    chapters : iterable of Chapter
        What is laid out, at least one; asked for one at a time.
    paper : Paper
        The sheet.
    title : str
        Title in the document's properties.
    to : Path
        The file that is written.

    Returns
    -------
    int
        How many pages it has: the same chapters make the same bytes.
    """
    with tempfile.TemporaryDirectory(prefix="embermark-print-") as folder:
        return bind(parts_laid(chapters, paper, Path(folder)), title=title, to=to)


def document(chapters: Iterable[Chapter], *, paper: Paper, title: str) -> bytes:
    """Return chapters as one PDF, each begun on a page of its own, numbered as one set.

    Parameters
    ----------
    chapters : iterable of Chapter
        What is laid out, at least one.
    paper : Paper
        The sheet.
    title : str
        Title in the document's properties.

    Returns
    -------
    bytes
        The PDF: the same chapters make the same bytes.
    """
    with tempfile.TemporaryDirectory(prefix="embermark-print-") as folder:
        file = Path(folder) / "set.pdf"
        document_write(chapters, paper=paper, title=title, to=file)
        return file.read_bytes()
