"""Areas in words: what enters them, on the line too."""

from typing import Any

import pytest

from logbook.printing.limits import allowed_text, limits_section
from logbook.printing.paper import PAPERS
from logbook.printing.running import Chapter
from logbook.printing.sets import document
from tests.logbook.printing.bodies import run_entry
from tests.logbook.printing.reading import text_of
from tests.logbook.printing.running_lines import running

STEPS = [{"above": 700, "seconds": 60}, {"above": 720, "seconds": 0}]


@pytest.mark.parametrize(
    ("changes", "vertices", "text"),
    [
        ({}, STEPS, "more than 60 s above 700 °C; any time above 720 °C"),
        ({"on_boundary": "beyond"}, STEPS, "60 s or more at or above 700 °C; any time at or above 720 °C"),
        ({"boundary": "linear"}, STEPS, "more than 60 s above 700 °C; in a straight line to any time above 720 °C"),
        ({"unit": "psi"}, [{"below": 40, "seconds": 5.5}], "more than 5.5 s below 40 psi"),
    ],
)
def test_an_area_says_what_enters_it(changes: dict[str, Any], vertices: list[dict[str, float]], text: str) -> None:
    assert allowed_text({"unit": "degC"} | changes, vertices) == text


def shown(**changes: Any) -> str:
    body = run_entry()
    body["charts"][0] |= changes
    return text_of(document([Chapter(running(), limits_section(body))], paper=PAPERS["a4"], title="t"))


def test_a_chart_without_a_unit_has_that_of_the_verdict() -> None:
    body = run_entry()
    del body["charts"][0]["unit"]
    story = limits_section(body)
    assert "Limit 700 °C;" in text_of(document([Chapter(running(), story)], paper=PAPERS["a4"], title="t"))


def test_a_chart_says_how_it_is_read() -> None:
    text = shown(on_boundary="beyond", accumulate="run", regimes=None, areas=[], method="peak")
    assert "Limit 700 °C; time at or above it counts (itt)" in text
    assert "Applies to the whole record Judged by peak: the whole time beyond the limit is taken to be at the" in text
    assert "a reading on the limit is beyond it Counted all excursions of the run together" in text
    assert "This chart has no areas." in text


def test_a_revision_without_a_date_is_in_force_from_the_beginning() -> None:
    body = run_entry()
    body["revision"] |= {"in_force_from": None, "checked_by": None}
    text = text_of(document([Chapter(running(), limits_section(body))], paper=PAPERS["a4"], title="t"))
    assert "In force from the beginning Entered by Test Director Checked by not recorded" in text
