"""Chapters laid out as parts of a set, files of some pages each, so that a long set needs little more memory."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from reportlab import rl_config
from reportlab.pdfbase.pdfmetrics import getFont
from reportlab.platypus import BaseDocTemplate, NextPageTemplate, PageBreak

from logbook.printing.numbering import Awaited, MarkedCanvas
from logbook.printing.paper import Paper
from logbook.printing.running import Chapter, page_template
from logbook.printing.styles import REGULAR, SIZE

# Bytes as text only make a file larger.
rl_config.useA85 = 0
PAGES_IN_PART: Final = 200  # after which the next chapter begins a part of its own


@dataclass(frozen=True)
class Part:
    """Some pages of a set, not numbered yet: where they lie, their marks, and what awaits the page of a mark.

    Pages count from 1 within the part; ``font`` is the name under which its pages know the regular font.
    """

    path: Path
    pages: int
    marks: Mapping[str, tuple[int, str]]
    awaited: tuple[Awaited, ...]
    font: str


class _Sheets(BaseDocTemplate):  # type: ignore[misc]
    """A part being laid out, chapter by chapter."""

    def __init__(self, path: Path, paper: Paper) -> None:
        super().__init__(
            str(path),
            pagesize=paper.size,
            initialFontName=REGULAR,
            initialFontSize=SIZE,
            invariant=1,
            pageCompression=1,
        )
        self.path, self.paper = path, paper

    def chapter_add(self, chapter: Chapter) -> None:
        """Lay out one chapter, begun on a page of its own."""
        name = str(len(self.pageTemplates))
        self.addPageTemplates([page_template(name, chapter.running, self.paper)])
        story = list(chapter.story)
        if name == "0":
            self._startBuild(None, MarkedCanvas)
            self.canv._doctemplate = self
        else:
            story = [NextPageTemplate(name), PageBreak(), *story]
        while story:
            self.clean_hanging()
            self.handle_flowable(story)

    def end(self) -> Part:
        """Write the file."""
        canvas = self.canv
        font = getFont(REGULAR).getSubsetInternalName(0, canvas._doc)
        self._endBuild()
        pages = canvas.getPageNumber() - 1
        return Part(self.path, pages, canvas.marks, tuple(canvas.awaited), font.removeprefix("/"))


def parts_laid(chapters: Iterable[Chapter], paper: Paper, folder: Path) -> Iterator[Part]:
    """Yield the parts of a set as they are laid out.

    Parameters
    ----------
    chapters : iterable of Chapter
        Asked for one at a time, so that a chapter may be made when its turn comes.
    paper : Paper
        The sheet.
    folder : Path
        Where the files of the parts are written.

    Yields
    ------
    Part
        A file of about 200 pages; the last one of fewer.
    """
    sheets: _Sheets | None = None
    count = 0
    for chapter in chapters:
        if sheets is None:
            count += 1
            sheets = _Sheets(folder / f"{count}.pdf", paper)
        sheets.chapter_add(chapter)
        if sheets.page >= PAGES_IN_PART:
            yield sheets.end()
            sheets = None
    if sheets is not None:
        yield sheets.end()
