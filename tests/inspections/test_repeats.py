"""Repeat rules: which events count, and when a rule is reached."""

import pytest

from engines.charts import Action, Area, LimitChart, Repeat, Vertex
from inspections.repeats import Event, count_events, count_seconds, counts, repeat_words, why_not_counted

LOOK = Action("Look", True)


def chart(*rules: Repeat, on_boundary: str = "within") -> LimitChart:
    areas = tuple(Area(name, (Vertex(value, 10.0),), LOOK) for name, value in (("A", 700.0), ("B", 720.0)))
    return LimitChart("ITT", "itt", "degC", 700.0, areas, repeats=rules, on_boundary=on_boundary)  # type: ignore[arg-type]


THREE = Repeat(LOOK, "overhaul", area="A", count=3)


@pytest.mark.parametrize(
    ("area", "cause", "unless", "counted"),
    [
        ("A", "not_found", None, True), ("B", "not_found", None, True), (None, "not_found", None, False),
        ("A", "found", "found", False), ("A", "corrected", "found", False), ("A", "found", "corrected", True),
        ("A", "corrected", "corrected", False), ("A", "corrected", None, True), ("Z", "not_found", None, True),
    ],
)  # fmt: skip
def test_which_events_count(area: str | None, cause: str, unless: str | None, counted: bool) -> None:
    rule = Repeat(LOOK, "new", area="A", count=1, unless_cause=unless)
    assert counts(Event(area, cause), chart(rule), rule) is counted


def test_a_milder_event_does_not_count_for_a_worse_area() -> None:
    rule = Repeat(LOOK, "new", area="B", count=1)
    assert not counts(Event("A"), chart(rule), rule)


@pytest.mark.parametrize(
    ("event", "said"),
    [
        (Event(None), "it entered no area"),
        (Event("A"), "area A is milder than area B"),
        (Event("B", "found"), "its cause is found"),
        (Event("B", "not_found"), ""),
    ],
)
def test_what_does_not_count_says_why(event: Event, said: str) -> None:
    rule = Repeat(LOOK, "new", area="B", count=1, unless_cause="found")
    assert why_not_counted(event, chart(rule), rule) == said


@pytest.mark.parametrize(("events", "reached"), [(2, False), (3, True), (4, True)])
def test_a_count_is_reached_by_its_last_event(events: int, reached: bool) -> None:
    found = count_events(chart(THREE), 0, [Event("A")] * events)
    assert (found.is_reached, found.counted, found.allowed) == (reached, events, 3)
    assert found.document()["rule"] == "3 events in area A or beyond since overhaul"


@pytest.mark.parametrize(
    ("seconds", "on_boundary", "reached"),
    [(300.0, "within", False), (300.0000005, "within", False), (300.1, "within", True), (300.0, "beyond", True)],
)
def test_a_total_time_is_passed_by_more_than_its_seconds(seconds: float, on_boundary: str, reached: bool) -> None:
    rule = Repeat(LOOK, ("hours", 100.0), above=710.0, seconds=300.0)
    assert count_seconds(chart(rule, on_boundary=on_boundary), 0, seconds).is_reached is reached


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        (Repeat(LOOK, "new", above=710.0, seconds=300.0), "300 s above 710 degC in all since new"),
        (
            Repeat(LOOK, ("action", "borescope inspection"), area="A", count=2, unless_cause="found"),
            "2 events in area A or beyond since the last borescope inspection, causes found not counted",
        ),
        (
            Repeat(LOOK, ("hours", 100.0), area="A", count=2, unless_cause="corrected"),
            "2 events in area A or beyond in the last 100 hours, causes corrected not counted",
        ),
    ],
)
def test_a_rule_in_words(rule: Repeat, words: str) -> None:
    assert repeat_words(chart(rule), rule) == words
