import json
from typing import Any

import pytest

from engines.documents import engine_type_read
from logbook.timer_keys import timer_keys
from tests.documents import type_document
from tests.layers import ROOT


def named(document: dict[str, Any]) -> list[tuple[str, str]]:
    """Return the channel and the name of each key of a type's document."""
    return [(key.channel, key.name) for key in timer_keys(engine_type_read(document))]


def demo() -> dict[str, Any]:
    """Return the demo's type, which has a limit of every kind."""
    return json.loads((ROOT / "fixtures" / "engine_type.json").read_text(encoding="utf8"))


def test_temperature_torque_and_speed_come_first() -> None:
    assert named(demo()) == [
        ("itt", "Over temperature"),
        ("torque", "Over torque"),
        ("n1", "Over speed"),
        ("np", "Propeller speed"),
        ("oil_temp", "Oil temperature"),
    ]


def test_a_low_limit_has_no_key() -> None:
    assert named(type_document()) == [("itt", "Over temperature")]


def test_without_segmentation_a_channel_is_known_by_its_label() -> None:
    document = demo()
    del document["segmentation"], document["starts"]
    for chart in document["charts"]:
        chart["regimes"] = None
    assert named(document)[:3] == [("itt", "Over temperature"), ("torque", "Over torque"), ("n1", "Over speed")]


@pytest.mark.parametrize(
    ("place", "charts"),
    [
        (
            0,
            [
                {"name": "ITT, starting", "regimes": ["starting"]},
                {"name": "ITT, running", "regimes": ["running", "stopping"]},
            ],
        ),
        (1, [{"name": "Torque", "regimes": ["running"]}]),
    ],
)
def test_a_key_knows_the_charts_that_judge_it(place: int, charts: list[dict[str, Any]]) -> None:
    assert json.loads(timer_keys(engine_type_read(demo()))[place].charts) == charts
