"""Reading a PDF back: text by page, words with their sizes, fonts."""

import io
import re
from typing import Any

from pypdf import PdfReader

from logbook.printing.running import Stamp


def reader_of(content: bytes) -> PdfReader:
    """Return a reader of a PDF."""
    return PdfReader(io.BytesIO(content))


def pages_of(content: bytes) -> list[str]:
    """Return the text of each page, white space made single so that line breaks do not matter."""
    return [re.sub(r"\s+", " ", page.extract_text()) for page in reader_of(content).pages]


def text_of(content: bytes) -> str:
    """Return the text of all pages."""
    return " ".join(pages_of(content))


def without(text: str, stamp: Stamp) -> str:
    """Return a text without the print stamp; it must have been there."""
    for line in stamp.lines:
        assert line in text
        text = text.replace(line, "")
    return text


def sizes_of(content: bytes) -> set[float]:
    """Return every size of letters, in points."""
    found: set[float] = set()

    def visit(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        if text.strip():
            found.add(round(size * tm[3] * cm[3], 1))

    for page in reader_of(content).pages:
        page.extract_text(visitor_text=visit)
    return found


def placed(content: bytes, page: int) -> list[tuple[float, float, str]]:
    """Return left edge, baseline and text of each piece of text on a page. [pt]"""
    found: list[tuple[float, float, str]] = []

    def visit(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        if text.strip():
            found.append((tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5], text.strip()))

    reader_of(content).pages[page].extract_text(visitor_text=visit)
    return found


def font_files(content: bytes) -> dict[str, bool]:
    """Return the fonts of a PDF, and whether each is embedded."""
    fonts: dict[str, bool] = {}
    for page in reader_of(content).pages:
        for entry in page["/Resources"]["/Font"].values():  # type: ignore[index]
            font = entry.get_object()
            fonts[font["/BaseFont"]] = "/FontFile2" in font.get("/FontDescriptor", {})
    return fonts
