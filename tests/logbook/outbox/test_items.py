"""Items as plain data: old formats, what a repeat is, and boxes found by the names of their charts."""

import uuid
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from logbook.outbox.items import Item, box_back, boxes_moved, columns_chosen, digest_of, upgraded

NOW = datetime(2026, 5, 4, 12, tzinfo=UTC)
ITEM = Item(uuid.UUID(int=1), "run", 1, "7", [("kind", "flight")], NOW, NOW)


def test_a_repeat_is_known_by_what_was_stated_alone() -> None:
    later = replace(ITEM, sent_at=datetime(2027, 1, 1, tzinfo=UTC), verdict={"area": "A"})
    assert digest_of(later) == digest_of(ITEM)
    others = [replace(ITEM, about="8"), replace(ITEM, kind="answer"), replace(ITEM, charts=["ITT"])]
    others += [replace(ITEM, fields=[("kind", "x")]), replace(ITEM, sha256="0" * 64)]
    assert digest_of(ITEM) not in {digest_of(other) for other in others}


def test_old_formats_become_the_newest() -> None:
    newest = {"kept_offset_min": 0, "charts": [], "verdict": {}}
    assert upgraded({"format": 1, "boxes": {"a": "1"}}) == {"fields": [["a", "1"]], **newest}
    assert upgraded({"format": 2, "fields": [["a", "1"]]}) == {"fields": [["a", "1"]], **newest}
    assert upgraded({"format": 3, "kept_offset_min": 60})["kept_offset_min"] == 60
    with pytest.raises(ValueError, match="1 to 3 are"):
        upgraded({"format": 4})


def test_boxes_follow_their_charts() -> None:
    boxes = [("kind", "flight"), ("peak_0", "1"), ("seconds_1_unknown", "on"), ("reason_peak_0", "why"), ("peak_2", "")]
    moved = boxes_moved(boxes, ["A", "B", "C"], ["B", "A"])
    assert moved == [("kind", "flight"), ("peak_1", "1"), ("seconds_0_unknown", "on"), ("reason_peak_1", "why")]
    units = [("read_in_0", "psi"), ("read_in_2", "degF")]
    assert boxes_moved(units, ["A", "B", "C"], ["B", "A"]) == [("read_in_1", "psi")]
    with pytest.raises(ValueError, match="no “C” any more"):
        boxes_moved([("peak_2", "5")], ["A", "B", "C"], ["A"])
    with pytest.raises(ValueError, match="no “\\?” any more"):
        boxes_moved([("peak_9", "5")], ["A"], ["A"])


def test_columns_are_read_from_the_boxes_that_were_filled() -> None:
    boxes = [("column_time_s", "t"), ("column_oil_press", "P"), ("column_n1", ""), ("unit_oil_press", "kPa")]
    assert columns_chosen([*boxes, ("remarks", "column_"), ("column_", "x")]) == (
        {"time_s": "t", "oil_press": "P"},
        {"oil_press": "kPa"},
    )


@pytest.mark.parametrize(
    ("name", "back"),
    [
        ("meter", "meter"),
        ("peak_0", "peak_1"),
        ("asked_seconds_1", "asked_seconds_0"),
        ("peak_2", "peak_2"),
        ("peak_9", "peak_9"),
        ("answer0", "answer1"),
        ("reason1", "reason0"),
    ],
)
def test_refusals_go_back_to_the_boxes_of_the_phone(name: str, back: str) -> None:
    assert box_back(name, ["A", "B"], ["B", "A", "C"]) == back
