"""The part of a type document that says how starts are told."""

from typing import Any

import pytest

from engines.documents import engine_type_read
from engines.errors import DocumentError
from engines.start_rules import Burst, DriftRule, Envelope, Signal, StartRules
from tests.engines.starts_kit import RULES, document_with


def faults(rules: dict[str, Any], **more: Any) -> dict[str, str]:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(document_with(rules, **more))
    return dict(refused.value.fields)


def test_every_rule_is_read() -> None:
    rules = engine_type_read(document_with(RULES)).starts
    assert rules is not None
    assert rules.starter == Signal("volts", drop=3)
    assert rules.fuel_on == Signal("fuel", above=20)
    assert rules.fuel_limiting == Burst(Signal("fuel", drop=15), 2)
    assert rules.envelope == Envelope(temperature=((0, 300), (3, 700)), speed=((0, 8), (30, 55)))
    assert rules.drift == DriftRule(8, 0.2, 2.7, 0.5, 4)
    assert (rules.run_down.high, rules.run_down.low, rules.run_down.least_s) == (45, 5, 10)
    assert (rules.oil_pressure.least, rules.oil_pressure.within_s, rules.supply.within_s) == (20, 10, None)
    assert (rules.hot_above, rules.residual_most, rules.source) == (760, 150, "invented")


def test_what_is_not_said_has_its_default_or_is_none() -> None:
    assert engine_type_read(document_with({})).starts == StartRules()
    assert engine_type_read(document_with(None)).starts is None
    assert engine_type_read(document_with({"drift": {}})).starts == StartRules()
    assert engine_type_read(document_with({"envelope": {}})).starts == StartRules()


@pytest.mark.parametrize(
    ("rules", "path", "words"),
    [
        ({"fuel": {}}, "starts.fuel", "is not known here"),
        ({"fuel_on": {"channel": "fuel"}}, "starts.fuel_on.above", "either above or drop"),
        ({"fuel_on": {"channel": "fuel", "above": 1, "drop": 1}}, "starts.fuel_on.above", "not both"),
        (
            {"fuel_on": {"channel": "flow", "above": 1}},
            "starts.fuel_on.channel",
            "“flow” is not a channel of this type",
        ),
        ({"starter": {"channel": "volts", "drop": 0}}, "starts.starter.drop", "must be above 0"),
        ({"slope_s": 0}, "starts.slope_s", "must be above 0"),
        ({"idle_within_s": -1}, "starts.idle_within_s", "must not be below 0"),
        ({"hot_above": "hot"}, "starts.hot_above", "must be a number"),
        ({"hung": {"rate": 1}}, "starts.hung.seconds", "is missing"),
        ({"settled": {"after_s": 1, "seconds": 0, "speed_below": 66}}, "starts.settled.seconds", "must be above 0"),
        ({"supply": {"channel": "volts"}}, "starts.supply.least", "is missing"),
        ({"run_down": {"from": 5, "to": 5}}, "starts.run_down.to", "must be below from"),
        ({"cool_down": {"channel": "torque", "below": 1}}, "starts.cool_down.seconds", "is missing"),
        ({"envelope": {"speed": [{"at_s": 0, "value": 1}]}}, "starts.envelope.speed", "at least 2 corners"),
        (
            {"envelope": {"speed": [{"at_s": 1, "value": 1}, {"at_s": 1, "value": 2}]}},
            "starts.envelope.speed[1].at_s",
            "later than the one before",
        ),
        ({"drift": {"baseline": 4}}, "starts.drift.baseline", "must not be below 5"),
        ({"drift": {"baseline": 101}}, "starts.drift.baseline", "must not be above 100"),
        ({"drift": {"weight": 1.5}}, "starts.drift.weight", "must not be above 1"),
    ],
)
def test_every_fault_is_named_by_its_path(rules: dict[str, Any], path: str, words: str) -> None:
    found = faults(rules)
    assert list(found) == [path]
    assert words in found[path]


def test_starts_need_the_segmentation() -> None:
    assert faults({}, segmentation=None) == {
        "starts.starter": "starts are told by the type's segmentation, which is missing"
    }
