"""Typed readings beside a trace, and what the phone's engine refuses."""

from typing import Any

import pytest
from playwright.sync_api import Page

from engines.documents import engine_type_read
from engines.unit_tables import unit_tables
from tests.judging.page import scripts_served, told
from tests.twin.hand import HUMP, HUMP_TIMES, chart, engine_type

# Two humps of the trace are two events; a third reading is of one that the trace does not show.
TIMES = [*HUMP_TIMES, *(float(t) + 10 for t in HUMP_TIMES)]
VALUES = [*HUMP, *HUMP]
JUDGE = """async ({ document, units, times, values, readings }) => {
  const { judgeReadings, judgeTrace } = await import("/judge/index.js");
  try {
    const clock = Float64Array.from(times, (time) => time ?? NaN);
    const trace = { times: clock, channels: { itt: Float64Array.from(values) } };
    const traced = judgeTrace(document, trace, units);
    return { traced, verdict: judgeReadings(document, readings, units, traced) };
  } catch ({ name, code, message }) {
    return { name, code, message };
  }
}"""


def judged(page: Page, **changes: Any) -> dict[str, Any]:
    """Return what the phone says of the two humps and three readings, something about them changed."""
    document = engine_type(chart([(10, 2)])) | {"max_gap_s": 20}
    usual = {
        "document": document,
        "units": unit_tables(engine_type_read(document)),
        "times": [float(t) for t in TIMES],
        "values": [float(value) for value in VALUES],
        "readings": [{"chart": "ITT", "peak": peak, "seconds": 3} for peak in (12, 9, 13, 14)] + [{"chart": "gone"}],
    }
    with scripts_served() as address:
        page.goto(address)
        answer: dict[str, Any] = told(page, JUDGE, usual | changes)
        return answer


def test_readings_are_of_the_events_that_the_trace_shows(page: Page) -> None:
    answer = judged(page)
    assert [one["possible"] for one in answer["traced"]["excursions"]] == [1, 2]
    excursions = answer["verdict"]["excursions"]
    assert excursions[:2] == answer["traced"]["excursions"]
    # 9 is not beyond the limit of 10, and a chart that the type does not have is passed over.
    assert [(one["peak"], one["possible"], one["evidence"]) for one in excursions[2:]] == [
        (12, 1, "reading"), (13, 2, "reading"), (14, 3, "reading"),
    ]  # fmt: skip
    assert answer["verdict"] | {"excursions": []} == answer["traced"] | {"excursions": []}


REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "time that runs backwards": ({"times": [0, 2, 1], "values": [1, 1, 1]}, "trace_unusable", "at sample 3: 1 s after"),
    "a time that is missing": ({"times": [0, None], "values": [1, 1]}, "trace_unusable", "Sample 2 has no time."),
    "no rows": ({"times": [], "values": []}, "trace_unusable", "The trace has no rows."),
    "a unit of something else": (
        {"readings": [{"chart": "ITT", "unit": "psi", "peak": 1, "seconds": 1}]},
        "unit_unusable",
        "psi can't be turned into degC: they measure different things.",
    ),
    "a unit that only the server knows": (
        {"readings": [{"chart": "ITT", "unit": "millikelvin", "peak": 1, "seconds": 1}]},
        "left_to_server",
        "no way to turn millikelvin into degC",
    ),
}


@pytest.mark.parametrize(("changes", "code", "words"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_judged_is_refused(page: Page, changes: dict[str, Any], code: str, words: str) -> None:
    answer = judged(page, **changes)
    assert (answer["name"], answer["code"]) == ("JudgingError", code)
    assert words in answer["message"]
