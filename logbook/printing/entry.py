"""One entry of the logbook as a PDF."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from logbook.printing.blocks import Story, boxed, paragraph
from logbook.printing.correction import changes_section, correction_section, standing_words
from logbook.printing.ending import Ending
from logbook.printing.findings import opened_section, verdict_section
from logbook.printing.limits import limits_section, revision_words
from logbook.printing.maintenance import maintenance_section
from logbook.printing.numbering import Mark
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.part_entry import part_section
from logbook.printing.particulars import evidence_section, particulars, run_section, times_section
from logbook.printing.photos import photos_section
from logbook.printing.picture import ChartPictures
from logbook.printing.proof import Proof, proof_section
from logbook.printing.retention import keep_of
from logbook.printing.running import Chapter, Running, Stamp
from logbook.printing.sets import document
from logbook.printing.signing import signature_section
from logbook.printing.styles import TITLE
from logbook.printing.wording import given
from logbook.printing.work import inspection_section, work_section
from logbook.printing.working import working_section


@dataclass(frozen=True)
class EntrySheet:
    """An entry as it is printed: its number, its body, its pictures by name of chart, and what is known of it now.

    ``photos`` are pictures of its photos by their SHA-256, ``corrects`` and ``superseded_by`` are numbers of entries,
    ``ended_by`` the body of the one in its place.
    """

    number: int
    body: Mapping[str, Any]
    pictures: Mapping[str, ChartPictures] = field(default_factory=dict)
    photos: Mapping[str, bytes] = field(default_factory=dict)
    proof: Proof | None = None
    corrects: int | None = None
    superseded_by: int | None = None
    ended_by: Mapping[str, Any] = field(default_factory=dict)

    @property
    def mark(self) -> str:
        """Return the name by which a list of contents finds the entry."""
        return f"entry-{self.number}"

    @property
    def title(self) -> str:
        """Return the entry's heading."""
        return f"Entry {self.number}: {given(self.body.get('title'))}"

    @property
    def versions(self) -> list[str]:
        """Return what it has to do with other versions, in sentences."""
        found = []
        if self.corrects is not None:
            found.append(f"This entry corrects entry {self.corrects} and stands in its place; both stay in the record.")
        return found + standing_words(self.superseded_by, self.ended_by)


def owner_words(operator: Any, place: Any) -> str:
    """Return whose record it is.

    Parameters
    ----------
    operator, place : str or None
        Name and place of the operator.

    Returns
    -------
    str
        Both, or the name alone.
    """
    return f"{given(operator)}, {place}" if place else given(operator)


def engine_words(engine: Mapping[str, Any]) -> str:
    """Return an engine in one line.

    Parameters
    ----------
    engine : mapping
        ``serial`` and ``type``.

    Returns
    -------
    str
        For example ``"Engine serial TB-0001, type Testbird TB-1"``.
    """
    return f"Engine serial {given(engine.get('serial'))}, type {given(engine.get('type'))}"


def entry_chapter(sheet: EntrySheet, stamp: Stamp, *, is_last: bool = True) -> Chapter:
    """Return an entry as a chapter of a printed set.

    Parameters
    ----------
    sheet : EntrySheet
        The entry.
    stamp : Stamp
        When and by whom it is printed.
    is_last : bool
        Whether nothing follows it in the set.

    Returns
    -------
    Chapter
        Its running lines and its story.
    """
    body, number = sheet.body, sheet.number
    running = Running(
        left=(owner_words(body.get("operator"), body.get("place")), engine_words(body.get("engine") or {})),
        right=(f"Entry {number}{', superseded' if sheet.superseded_by else ''}", revision_words(body)),
        is_demo=bool(body.get("is_demo")),
        stamp=stamp,
    )
    story: Story = [
        Mark(sheet.mark, sheet.title),
        paragraph(sheet.title, TITLE),
        *([boxed(sheet.versions)] if sheet.versions else []),
        *changes_section(sheet.ended_by),
        *particulars(body, number),
        *correction_section(body),
        paragraph(f"Keep at least: {keep_of(body)}"),
        *(part_section(body) if body.get("part") else _own_sections(sheet)),
        *photos_section(body, sheet.photos),
        *signature_section(body, number),
        *proof_section(sheet.proof),
        Ending(f"End of entry {number}.", is_last=is_last),
    ]
    return Chapter(running, story)


def _own_sections(sheet: EntrySheet) -> Story:
    """Return what an entry says that is not about a part, by its kind."""
    own = maintenance_section(sheet.body)
    return [*times_section(sheet.body), *own] if own else _run_sections(sheet)


def _run_sections(sheet: EntrySheet) -> Story:
    """Return what an entry about a run or an inspection says of it."""
    body = sheet.body
    return [
        *times_section(body),
        *inspection_section(body),
        *verdict_section(body, sheet.pictures),
        *working_section(body),
        *opened_section(body),
        *run_section(body),
        *limits_section(body),
        *evidence_section(body),
        *work_section(body),
    ]


def entry_pdf(sheets: Sequence[EntrySheet], *, paper: PaperName, stamp: Stamp, title: str) -> bytes:
    """Return one entry as a PDF, with the other versions of it beside it where there are any.

    Parameters
    ----------
    sheets : sequence of EntrySheet
        The versions of the entry, the oldest first; one where it was never corrected.
    paper : str
        ``"a4"`` or ``"letter"``.
    stamp : Stamp
        When and by whom it is printed.
    title : str
        Title in the document's properties.

    Returns
    -------
    bytes
        The PDF: the same entry with the same stamp makes the same bytes.
    """
    chapters = (entry_chapter(sheet, stamp, is_last=sheet is sheets[-1]) for sheet in sheets)
    return document(chapters, paper=paper_of(paper), title=title)
