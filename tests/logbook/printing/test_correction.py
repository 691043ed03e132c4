"""R-COR-5: the print shows the original struck through, and the correction beside it."""

from typing import Any

import pytest
from reportlab.platypus import Table

from logbook.printing.correction import changes_section, correction_section, standing_words
from logbook.printing.entry import EntrySheet, entry_pdf
from logbook.printing.running import Stamp
from tests.logbook.printing.bodies import PRINTED_BY, STAMPED, run_entry
from tests.logbook.printing.reading import pages_of

CORRECTION = {
    "of": 3,
    "of_hash": "ab" * 32,
    "how": "superseded",
    "why": "A digit was lost in copying.",
    "changes": [{"what": "Run time, as counted", "was": "0.40 h", "is": "4.00 h"}],
}
SIGNED = {"at": "2026-05-05T09:30:00+00:00", "name": "Test Person"}


def printed(*sheets: EntrySheet) -> str:
    """Return the words of some versions of an entry as they print."""
    stamp = Stamp(STAMPED, PRINTED_BY)
    return " ".join(pages_of(entry_pdf(sheets, paper="a4", stamp=stamp, title="Entry")))


def body(**changes: Any) -> dict[str, Any]:
    """Return the body of the entry in the place of another."""
    return run_entry(correction=CORRECTION | changes)


def test_r_cor_5_old_and_new_print_beside_each_other() -> None:
    """Paper R4: corrections print both versions. R-COR-5."""
    newer = body()
    text = printed(EntrySheet(3, run_entry(), superseded_by=9, ended_by=newer), EntrySheet(9, newer, corrects=3))
    old, new = text.split("End of entry 3.")
    assert "SUPERSEDED by entry 9." in old
    assert "Struck through What changes It was It is Run time, as counted 0.40 h 4.00 h" in old
    assert "What is corrected Corrects entry 3 Hash of that entry abab" in new
    assert "Why A digit was lost in copying." in new


def test_r_cor_5_what_it_was_is_struck_through() -> None:
    """R-COR-5: by a line, where the word would not do."""
    table = next(row for row in tables_in(changes_section({"correction": CORRECTION})))
    (was,), (now,) = table._cellvalues[1][1:]
    assert [bool(fragment.us_lines) for fragment in (*was.frags, *now.frags)] == [True, False]


def tables_in(story: Any) -> list[Table]:
    """Return the tables of a story, those held together with their heading too."""
    found = []
    for flowable in story:
        held = getattr(flowable, "_content", None) or []
        found += [flowable] if isinstance(flowable, Table) else tables_in(held)
    return found


@pytest.mark.parametrize(("how", "word"), [("superseded", "SUPERSEDED by entry 9."), ("void", "VOID by entry 9.")])
def test_r_cor_3_the_old_signature_no_longer_stands(how: str, word: str) -> None:
    """R-COR-3."""
    ended_by = {"correction": CORRECTION | {"how": how}, "signed": SIGNED}
    said, why = standing_words(9, ended_by)
    assert said == f"{word} It stays readable as it was signed. Its signature no longer stands."
    assert why == "2026-05-05 09:30 UTC, Test Person: A digit was lost in copying."


def test_an_entry_that_stands_says_nothing_of_it() -> None:
    assert standing_words(None, {}) == []
    assert (changes_section({}), correction_section({})) == ([], [])


def test_what_was_put_right_before_it_was_signed_and_what_is_void_say_so() -> None:
    early = printed(EntrySheet(1, body(of=None, of_hash=None, changes=[])))
    assert "Corrects what was recorded, before anybody signed it" in early
    assert "Why it is void Corrects entry 3" in printed(EntrySheet(9, body(how="void"), corrects=3))
