"""Reading engine type documents: the defaults, and every fault under its path."""

from collections.abc import Callable
from typing import Any

import pytest

from engines.charts import Segmentation, Vertex
from engines.documents import engine_type_read
from engines.errors import DocumentError
from tests.documents import type_document

Change = Callable[[dict[str, Any]], Any]


def faults(change: Change) -> dict[str, str]:
    """Return the faults of a document that was sound before the change."""
    document = type_document()
    change(document)
    with pytest.raises(DocumentError) as caught:
        engine_type_read(document)
    assert caught.value.code == "document_invalid"
    return caught.value.fields


def running(document: dict[str, Any]) -> dict[str, Any]:
    """Return the chart with two areas and a repeat."""
    chart: dict[str, Any] = document["charts"][1]
    return chart


def test_a_sound_document_is_read() -> None:
    data = engine_type_read(type_document())
    assert data.name == "Testbird TB-1"
    assert [channel.name for channel in data.channels] == ["itt", "n1", "torque", "oil_press"]
    assert data.segmentation == Segmentation("n1", "itt", 5.0, 58.0, 45.0, 50.0)
    chart = data.charts[1]
    assert chart.regimes == ("running", "stopping")
    assert chart.areas[0].allowed == (Vertex(700.0, 60.0), Vertex(720.0, 0.0))
    assert chart.areas[1].action.required_inspection_item
    assert (chart.repeats[0].area, chart.repeats[0].count, chart.repeats[0].since) == ("A", 3, "overhaul")
    assert data.charts[2].sign == -1.0


def test_what_is_left_out_has_the_contract_s_defaults() -> None:
    data = engine_type_read(
        {
            "name": "Plain",
            "channels": [{"name": "itt", "unit": "°C"}],
            "charts": [{"name": "ITT", "channel": "itt", "limit": 700, "areas": []}],
        }
    )
    chart = data.charts[0]
    assert data.segmentation is None
    assert data.max_gap_s == 2.0
    assert (data.channels[0].label, data.channels[0].unit, data.channels[0].tolerance) == ("itt", "degC", 0.0)
    assert (chart.side, chart.method, chart.boundary, chart.on_boundary) == ("above", "peak", "step", "within")
    assert (chart.rejoin_s, chart.accumulate, chart.regimes, chart.repeats) == (0.0, "excursion", None, ())
    assert chart.unit == "degC"


def test_a_channel_may_have_a_bound_of_its_own() -> None:
    document = type_document()
    document["channels"][0]["max_gap_s"] = 0.5
    data = engine_type_read(document)
    assert (data.gap_of("itt"), data.gap_of("n1")) == (0.5, 2.0)


@pytest.mark.parametrize("since", ["new", {"action": "Borescope inspection"}, {"hours": 100}])
def test_repeats_by_total_time_and_by_where_they_count_from(since: Any) -> None:
    document = type_document()
    action = {"summary": "Look", "before_next_flight": True}
    running(document)["repeats"] = [{"above": 710, "seconds": 300, "since": since, "action": action}]
    rule = engine_type_read(document).charts[1].repeats[0]
    assert (rule.area, rule.count, rule.above, rule.seconds) == (None, None, 710.0, 300.0)
    assert rule.since == (since if isinstance(since, str) else next(iter(since.items())))
    assert rule.unless_cause is None


def test_a_vertical_edge_is_allowed_where_lines_join_the_vertices() -> None:
    document = type_document()
    document["charts"][0]["areas"][0]["allowed"].insert(1, {"above": 850, "seconds": 4})
    assert len(engine_type_read(document).charts[0].areas[0].allowed) == 3


@pytest.mark.parametrize("document", [None, [], "type", 3, True, 1.5])
def test_a_document_that_is_no_object_is_refused(document: Any) -> None:
    with pytest.raises(DocumentError, match="must be an object"):
        engine_type_read(document)


REFUSED: list[tuple[str, str, Change]] = [
    ("colour", "is not known here", lambda d: d.update(colour="red")),
    ("name", "is missing", lambda d: d.pop("name")),
    ("name", "must not be empty", lambda d: d.update(name="  ")),
    ("name", "must be a text", lambda d: d.update(name=7)),
    ("channels", "must not be empty", lambda d: d.update(channels=[])),
    ("channels", "must be a list", lambda d: d.update(channels={})),
    ("channels[1].name", "used twice", lambda d: d["channels"][1].update(name="itt")),
    ("channels[0].unit", "not a unit", lambda d: d["channels"][0].update(unit="wombats")),
    ("channels[0].unit", "is missing", lambda d: d["channels"][0].pop("unit")),
    ("channels[0].tolerance", "must not be below 0", lambda d: d["channels"][0].update(tolerance=-1)),
    ("channels[0].max_gap_s", "must be a number", lambda d: d["channels"][0].update(max_gap_s="2")),
    ("max_gap_s", "must be a finite number", lambda d: d.update(max_gap_s=float("inf"))),
    ("max_gap_s", "must be a finite number", lambda d: d.update(max_gap_s=10**400)),
    ("name", "longer than 120", lambda d: d.update(name="x" * 121)),
    ("name", "U+0000", lambda d: d.update(name="RS\x00650")),
    ("name", "half of a surrogate pair", lambda d: d.update(name="RS \ud800")),
    ("charts[1].areas[0].action.summary", "longer than 240", lambda d: action(d).update(summary="x" * 241)),
    ("charts[1].areas[0].action.steps[0]", "no more than 240", lambda d: action(d).update(steps=["x" * 241])),
    ("segmentation", "must be an object", lambda d: d.update(segmentation="n1")),
    ("segmentation.speed", "not a channel", lambda d: d["segmentation"].update(speed="n9")),
    ("segmentation.idle", "above turning", lambda d: d["segmentation"].update(idle=5)),
    ("segmentation.stopping_below", "between turning and idle", lambda d: d["segmentation"].update(stopping_below=60)),
    ("segmentation.stopping_below", "between turning and idle", lambda d: d["segmentation"].update(stopping_below=4)),
    ("segmentation.light_off_rise", "above 0", lambda d: d["segmentation"].update(light_off_rise=0)),
    ("charts", "is missing", lambda d: d.pop("charts")),
    ("charts[1].name", "used twice", lambda d: running(d).update(name="ITT, starting")),
    ("charts[1].channel", "not a channel", lambda d: running(d).update(channel="itt2")),
    ("charts[1].unit", "does not measure", lambda d: running(d).update(unit="psi")),
    ("charts[1].unit", "not a unit", lambda d: running(d).update(unit="wombats")),
    ("charts[1].limit", "must be a number, not true or false", lambda d: running(d).update(limit=True)),
    ("charts[1].side", "must be above or below", lambda d: running(d).update(side="over")),
    ("charts[1].side", "must be a text", lambda d: running(d).update(side=1)),
    ("charts[1].rejoin_s", "must not be below 0", lambda d: running(d).update(rejoin_s=-0.1)),
    ("charts[1].regimes", "must be a list of some", lambda d: running(d).update(regimes=["cruise"])),
    ("charts[1].regimes", "must be a list of some", lambda d: running(d).update(regimes=[])),
    ("charts[1].regimes", "twice", lambda d: running(d).update(regimes=["running", "running"])),
    ("charts[1].regimes", "stands alone", lambda d: running(d).update(regimes=["starting", "running"])),
    ("charts[1].areas[1].name", "used twice", lambda d: running(d)["areas"][1].update(name="A")),
    ("charts[1].areas[0]", "must be an object", lambda d: running(d)["areas"].__setitem__(0, 4)),
    ("charts[1].areas[0].allowed", "must not be empty", lambda d: running(d)["areas"][0].update(allowed=[])),
    ("charts[1].areas[0].allowed[0].below", "is not known", lambda d: vertex(d, 0).update(below=3)),
    ("charts[1].areas[0].allowed[0].seconds", "must not be below 0", lambda d: vertex(d, 0).update(seconds=-1)),
    ("charts[1].areas[0].allowed[1].seconds", "must not rise", lambda d: vertex(d, 1).update(seconds=61)),
    ("charts[1].areas[0].allowed[1].above", "must increase", lambda d: vertex(d, 1).update(above=700)),
    ("charts[1].areas[0].allowed[0].above", "short of the limit", lambda d: vertex(d, 0).update(above=699)),
    ("charts[1].areas[1].allowed", "inside area A", lambda d: swap(d)),
    ("charts[1].areas[0].action", "is missing", lambda d: running(d)["areas"][0].pop("action")),
    ("charts[1].areas[0].action.summary", "must not be empty", lambda d: action(d).update(summary="")),
    ("charts[1].areas[0].action.before_next_flight", "true or false", lambda d: action(d).update(before_next_flight=1)),
    ("charts[1].areas[0].action.steps[1]", "a text with something", lambda d: action(d).update(steps=["a", ""])),
    ("charts[1].areas[0].action.steps", "a list of texts", lambda d: action(d).update(steps="a")),
    ("charts[1].repeats[0].area", "not an area", lambda d: repeat(d).update(area="Z")),
    ("charts[1].repeats[0].count", "must not be below 1", lambda d: repeat(d).update(count=0)),
    ("charts[1].repeats[0].count", "whole number", lambda d: repeat(d).update(count=1.5)),
    ("charts[1].repeats[0].since", "must be", lambda d: repeat(d).update(since="yesterday")),
    ("charts[1].repeats[0].unless_cause", "none, found or corrected", lambda d: repeat(d).update(unless_cause="lost")),
    ("charts[1].repeats[0].above", "short of the limit", lambda d: total_time(d, above=690)),
    ("charts[2].areas[0].allowed[1].below", "must decrease", lambda d: low(d).append({"below": 41, "seconds": 0})),
]  # fmt: skip


def vertex(document: dict[str, Any], place: int) -> dict[str, Any]:
    found: dict[str, Any] = running(document)["areas"][0]["allowed"][place]
    return found


def action(document: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = running(document)["areas"][0]["action"]
    return found


def repeat(document: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = running(document)["repeats"][0]
    return found


def low(document: dict[str, Any]) -> list[Any]:
    found: list[Any] = document["charts"][2]["areas"][0]["allowed"]
    return found


def swap(document: dict[str, Any]) -> None:
    running(document)["areas"].reverse()
    for area, name in zip(running(document)["areas"], "AB", strict=True):
        area["name"] = name


def total_time(document: dict[str, Any], above: float) -> None:
    rule = repeat(document)
    del rule["area"], rule["count"]
    rule.update(above=above, seconds=10)


@pytest.mark.parametrize(("path", "text", "change"), REFUSED)
def test_a_fault_is_named_by_its_path(path: str, text: str, change: Change) -> None:
    found = faults(change)
    assert path in found
    assert text in found[path]


def test_three_vertices_on_one_value_are_refused() -> None:
    def change(document: dict[str, Any]) -> None:
        allowed = document["charts"][0]["areas"][0]["allowed"]
        allowed[1:1] = [{"above": 850, "seconds": 4}, {"above": 850, "seconds": 2}]

    assert "no more than two" in faults(change)["charts[0].areas[0].allowed[3].above"]


def test_all_faults_are_told_at_once_and_the_sentence_names_the_first() -> None:
    document = type_document(name="", max_gap_s=-1)
    with pytest.raises(DocumentError, match=r"name: must not be empty \(1 more\)\.") as caught:
        engine_type_read(document)
    assert set(caught.value.fields) == {"name", "max_gap_s"}
