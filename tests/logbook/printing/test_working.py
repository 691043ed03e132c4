"""The arithmetic of an entry on paper."""

from logbook.printing.paper import PAPERS
from logbook.printing.running import Chapter
from logbook.printing.sets import document
from logbook.printing.working import FOLLOWS, working_section
from tests.logbook.printing.reading import text_of
from tests.logbook.printing.running_lines import running

CASE = {"title": "Excursion 1 of 9: ITT, running", "rows": [["Areas", "Area A: 19.8 s over.\nArea B: 19.2 s over."]]}


def printed(body: dict[str, object]) -> str:
    """Return the section as it is printed."""
    return text_of(document([Chapter(running(), working_section(body))], paper=PAPERS["a4"], title="t"))


def test_each_excursion_has_its_table() -> None:
    text = printed({"worked": [CASE], "worked_left": 0})
    assert f"How it was worked out {FOLLOWS}" in text
    assert "Excursion 1 of 9: ITT, running Areas Area A: 19.8 s over. Area B: 19.2 s over." in text
    assert "more excursion" not in text


def test_what_is_not_worked_out_is_counted() -> None:
    assert "8 more excursions are worked out on the screen of the run." in printed({"worked": [CASE], "worked_left": 8})


def test_an_entry_without_an_excursion_has_no_such_section() -> None:
    assert working_section({}) == []
