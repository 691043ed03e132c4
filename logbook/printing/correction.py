"""What an entry corrects, and what became of one that was corrected: old and new beside each other, the old struck."""

from collections.abc import Mapping, Sequence
from typing import Any, Final
from xml.sax.saxutils import escape

from reportlab.platypus import Paragraph

from logbook.printing.blocks import Story, grid, pairs, titled
from logbook.printing.styles import CELL
from logbook.printing.wording import given, moment_text

Body = Mapping[str, Any]

VOID: Final = "void"
HEADINGS: Final = ("What changes", "It was", "It is")
WIDTHS: Final = (0.26, 0.37, 0.37)


def standing_words(number: int | None, ended_by: Body) -> list[str]:
    """Return what became of an entry by the one that stands in its place, in sentences.

    Parameters
    ----------
    number : int or None
        The number of the one in its place; None where there is none.
    ended_by : mapping
        That entry's body; it may be empty.

    Returns
    -------
    list of str
        Nothing for an entry that stands.
    """
    if number is None:
        return []
    correction, signed = ended_by.get("correction") or {}, ended_by.get("signed") or {}
    word = "VOID" if correction.get("how") == VOID else "SUPERSEDED"
    found = [f"{word} by entry {number}. It stays readable as it was signed. Its signature no longer stands."]
    if correction:
        found.append(f"{moment_text(signed.get('at'))}, {given(signed.get('name'))}: {given(correction.get('why'))}")
    return found


def changes_section(ended_by: Body) -> Story:
    """Return what of a corrected entry is struck through, with what is stated in its place.

    Parameters
    ----------
    ended_by : mapping
        Body of the entry in its place; it may be empty.

    Returns
    -------
    list of Flowable
        Heading and table; nothing where nothing changed.
    """
    changes: Sequence[Body] = (ended_by.get("correction") or {}).get("changes") or []
    return titled("Struck through", [_table(changes)]) if changes else []


def correction_section(body: Body) -> Story:
    """Return what an entry corrects, and why.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Heading, reason and table; nothing where it corrects nothing.
    """
    correction = body.get("correction")
    if not correction:
        return []
    of = correction.get("of")
    rows = [
        ("Corrects", f"entry {of}" if of else "what was recorded, before anybody signed it"),
        *([("Hash of that entry", correction.get("of_hash"))] if of else []),
        ("Why", correction.get("why")),
    ]
    title = "Why it is void" if correction.get("how") == VOID else "What is corrected"
    changes = correction.get("changes")
    return titled(title, [pairs(rows), *([_table(changes)] if changes else [])])


def _table(changes: Sequence[Body]) -> Any:
    rows = [[given(line.get("what")), _struck(line.get("was")), given(line.get("is"))] for line in changes]
    return grid(HEADINGS, rows, WIDTHS)


def _struck(text: Any) -> Paragraph:
    return Paragraph(f"<strike>{escape(given(text))}</strike>", CELL)
