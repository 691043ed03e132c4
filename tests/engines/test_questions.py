from datetime import UTC, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest

from engines.documents import engine_type_read
from engines.evidence import ReadingFacts, ReasonFacts, RunFacts
from engines.meter import MeterBefore
from engines.questions import Answer, Question, answers_taken, questions_of
from engines.readings_as import read_as
from tests.documents import type_document

CHARTS = engine_type_read(type_document()).charts
ITT, OIL = "ITT, running", "Oil pressure, running"


def asked(readings: list[ReadingFacts] | None = None, **facts: Any) -> dict[str, str]:
    """Return the questions about a run by key."""
    more = {name: facts.pop(name) for name in ("before", "run_time_s", "turned") if name in facts}
    started = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)
    run = RunFacts(UUID(int=1), "flight", started, readings=tuple(readings or ()), **facts)
    return {question.key: question.words for question in questions_of(run, CHARTS, **more)}


def test_a_likely_run_is_not_asked_about() -> None:
    readings = [ReadingFacts(ITT, 770.0, 12.0, timed_seconds=12.4), ReadingFacts(OIL, 0.0, None)]
    used = {"typed_run_time_s": 3600, "typed_time_in_service_s": 3600, "typed_starts": 1, "typed_cycles": 1}
    assert asked(readings, **used) == {}
    assert asked([ReadingFacts("Of no chart", 9e9, 1.0)]) == {}
    assert asked([ReadingFacts(ITT, 1340.0, 1.0, "degF")], turned={0: read_as(1340.0, "degF", "degC")}) == {}
    assert asked(typed_meter_h=99.0) == {}


@pytest.mark.parametrize(
    ("facts", "key", "words"),
    [
        ({"typed_run_time_s": 18_001}, "run_time", "5.00 h is long for one run."),
        (
            {"typed_run_time_s": 3600, "typed_time_in_service_s": 3960},
            "time_in_service",
            "1.10 h in service is more than the run time of 1.00 h.",
        ),
        ({"typed_starts": 6}, "starts", "6 starts are many for one run."),
        ({"typed_starts": 1, "typed_cycles": 2}, "cycles", "More cycles than starts: 2 and 1."),
        ({"typed_starts": 0, "typed_cycles": 1}, "cycles", "More cycles than starts: 1 and 0."),
    ],
)
def test_what_it_used_is_asked_about(facts: dict[str, Any], key: str, words: str) -> None:
    (found,) = asked(**facts).items()
    assert found[0] == key
    assert found[1].startswith(words)


@pytest.mark.parametrize(
    ("reading", "key", "words"),
    [
        (ReadingFacts(ITT, 7700.0, 1.0), "readings[0].peak", "7700 °C is far from the limit of 700 °C."),
        (ReadingFacts(ITT, 7700.0, 1.0, "degF"), "readings[0].peak", "7700 °F is far from the limit of 700 °C."),
        (ReadingFacts(ITT, 77.0, 0.0), "readings[0].peak", "77 °C is far from the limit of 700 °C."),
        (ReadingFacts(OIL, -4.0, 0.0), "readings[0].peak", "-4 psi is far from the limit of 40 psi."),
        (ReadingFacts(OIL, 380.0, 0.0), "readings[0].peak", "380 psi is far from the limit of 40 psi."),
        (
            ReadingFacts(ITT, 770.0, 9.0, timed_seconds=12.4),
            "readings[0].seconds",
            "The timer measured 12.4 s, and 9 s is typed.",
        ),
        (ReadingFacts(ITT, 770.0, 601.0), "readings[0].seconds", "601 s is longer than the whole run of 0.17 h."),
    ],
)
def test_a_reading_is_asked_about(reading: ReadingFacts, key: str, words: str) -> None:
    (found,) = asked([reading], typed_run_time_s=600).items()
    assert found[0] == key
    assert found[1].startswith(words)


def test_a_limit_of_nothing_has_no_far() -> None:
    chart = type(CHARTS[0])("Bleed", "itt", "degC", 0.0, ())
    run = RunFacts(UUID(int=1), "flight", datetime(2026, 5, 4, tzinfo=UTC), readings=(ReadingFacts("Bleed", 900.0, 1),))
    assert questions_of(run, [chart]) == ()


@pytest.mark.parametrize(
    ("typed", "shown", "question"),
    [
        (5040, None, "The meter and the run time disagree"),
        (None, 5040, "The meter and the run time disagree"),
        (None, None, "4321.6 h is 10.4 h more than 4311.2 h; one run takes from 0 to 5 h."),
    ],
)
def test_the_meter_is_held_against_timer_or_trace(typed: int | None, shown: int | None, question: str) -> None:
    before = MeterBefore(Decimal("4311.2"))
    found = asked(typed_meter_h=4321.6, typed_run_time_s=typed, before=before, run_time_s=shown)
    assert found["meter"].startswith(question)
    assert asked(typed_meter_h=4312.6, typed_run_time_s=typed, before=before, run_time_s=shown) == {}


ASKED = Question("starts", "Starts", "6", "6 starts are many for one run.")


@pytest.mark.parametrize(
    ("answer", "reason"),
    [
        (Answer("starts", ASKED.words, " Six attempts "), "Six attempts"),
        (Answer("starts", ASKED.words, " "), None),
        (Answer("starts", "7 starts are many for one run.", "Seven attempts"), None),
        (Answer("cycles", ASKED.words, "Six attempts"), None),
    ],
)
def test_a_question_is_answered_by_its_own_words_alone(answer: Answer, reason: str | None) -> None:
    taken, left = answers_taken([ASKED], [answer])
    assert left == (() if reason else (ASKED,))
    assert taken == ((ReasonFacts("Starts", "6", ASKED.words, reason),) if reason else ())
