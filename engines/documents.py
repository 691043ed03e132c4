"""An engine type document, read and checked: every fault with its path and what would be right."""

from itertools import pairwise
from typing import Any

from engines.charts import (
    Action,
    Area,
    Channel,
    EngineTypeData,
    LimitChart,
    Repeat,
    Segmentation,
    Vertex,
)
from engines.document_counters import airborne_read, counters_read, partial_cycles_read, positions_read
from engines.document_fields import Fields
from engines.document_power import advisory_read, indications_read
from engines.document_settings import power_read, trend_read
from engines.edges import edge_of, lies_inside
from engines.errors import DocumentError
from engines.first_start_documents import first_start_read, motoring_read
from engines.start_checks import checks_read
from engines.start_documents import starts_read
from engines.starter_duty import duty_read
from engines.task_documents import tasks_read
from engines.units import unit_fits, unit_known

COUNTED = ("counters", "partial_cycles", "airborne", "positions", "tasks")
WATCHED = (
    "starts",
    "checks",
    "starter",
    "motoring",
    "first_start",
)
POWER = ("calibration", "advisory", "power", "trend")
REGIMES = ("starting", "running", "stopping")
CHOICES: dict[str, tuple[str, ...]] = {
    "side": ("above", "below"),
    "method": ("peak", "time_above"),
    "boundary": ("step", "linear"),
    "on_boundary": ("within", "beyond"),
    "accumulate": ("excursion", "run"),
}


def engine_type_read(document: Any) -> EngineTypeData:
    """Return the engine type that a document describes.

    Parameters
    ----------
    document : object
        Plain data as read from JSON.

    Returns
    -------
    EngineTypeData
        The type, with the defaults filled in.

    Raises
    ------
    DocumentError
        If anything is malformed; ``fields`` maps the path of each fault to what is wrong.
    """
    root = Fields.of(document)
    root.allow("name", "channels", "segmentation", "max_gap_s", "charts", *COUNTED, *WATCHED, *POWER)
    name = root.text("name", most=120)
    max_gap_s = root.number("max_gap_s", default=2.0, least=0.0)
    channels = tuple(_channel(item) for item in root.items("channels", least=1))
    root.unique("channels", "name")
    units = {channel.name: channel.unit for channel in channels}
    segmentation = _segmentation(root.child("segmentation"), units) if root.has("segmentation") else None
    charts = tuple(_chart(item, units) for item in root.items("charts"))
    root.unique("charts", "name")
    indications = indications_read(root, units)
    positions = positions_read(root)
    read = EngineTypeData(
        name=name,
        channels=channels,
        charts=charts,
        segmentation=segmentation,
        max_gap_s=max_gap_s,
        counters=counters_read(root),
        partial_cycles=partial_cycles_read(root, units),
        airborne=airborne_read(root, units),
        positions=positions,
        tasks=tasks_read(root),
        starts=starts_read(root, units),
        checks=checks_read(root),
        starter=duty_read(root),
        motoring_counts=motoring_read(root),
        first_start=first_start_read(root, frozenset(place.name for place in positions)),
        indications=indications,
        advisory=advisory_read(root, charts),
        power=power_read(root, units, indications),
        trend=trend_read(root),
    )
    if root.faults:
        raise DocumentError(root.summary(), fields=dict(root.faults))
    return read


def _channel(item: Fields) -> Channel:
    item.allow("name", "label", "unit", "tolerance", "max_gap_s")
    name = item.text("name", most=60)
    return Channel(
        name=name,
        label=item.text("label", default=name, most=120),
        unit=_unit(item),
        tolerance=item.number("tolerance", default=0.0, least=0.0),
        max_gap_s=item.number("max_gap_s", least=0.0) if item.has("max_gap_s") else None,
    )


def _unit(item: Fields) -> str:
    unit = item.text("unit", most=40)
    if unit and unit_known(unit) is None:
        item.fault("unit", f"“{unit}” is not a unit that is known here; write for example degC, percent, rpm or psi")
        return ""
    return unit_known(unit) or unit


def _segmentation(item: Fields, units: dict[str, str]) -> Segmentation:
    item.allow("speed", "temperature", "turning", "idle", "stopping_below", "light_off_rise")
    read = Segmentation(
        speed=_known(item, "speed", units),
        temperature=_known(item, "temperature", units),
        turning=item.number("turning"),
        idle=item.number("idle"),
        stopping_below=item.number("stopping_below"),
        light_off_rise=item.number("light_off_rise"),
    )
    if not item.faults and not read.turning < read.idle:
        item.fault("idle", "must be above turning")
    if not item.faults and not read.turning <= read.stopping_below <= read.idle:
        item.fault("stopping_below", "must lie between turning and idle")
    if not item.faults and read.light_off_rise <= 0:
        item.fault("light_off_rise", "must be above 0")
    return read


def _known(item: Fields, key: str, units: dict[str, str]) -> str:
    name = item.text(key)
    if name and name not in units:
        item.fault(key, f"“{name}” is not a channel of this type; there are {', '.join(units) or 'none'}")
    return name


def _chart(item: Fields, units: dict[str, str]) -> LimitChart:
    item.allow("name", "channel", "unit", "limit", "areas", "regimes", "source", "repeats", "rejoin_s", *CHOICES)
    channel = _known(item, "channel", units)
    unit = _unit(item) if item.has("unit") else units.get(channel, "")
    if unit and units.get(channel) and not unit_fits(unit, units[channel]):
        item.fault("unit", f"{unit} does not measure what the channel measures ({units[channel]})")
    choices: dict[str, Any] = {key: item.choice(key, values) for key, values in CHOICES.items()}
    chart = LimitChart(
        name=item.text("name", most=120),
        channel=channel,
        unit=unit,
        limit=item.number("limit"),
        regimes=_regimes(item) if item.has("regimes") else None,
        rejoin_s=item.number("rejoin_s", default=0.0, least=0.0),
        areas=tuple(_area(area, choices) for area in item.items("areas")),
        repeats=(),
        source=item.text("source", default=""),
        **choices,
    )
    item.unique("areas", "name")
    _nested(item, chart)
    repeats = item.items("repeats") if item.has("repeats") else []
    return LimitChart(**(vars(chart) | {"repeats": tuple(_repeat(repeat, chart) for repeat in repeats)}))


def _regimes(item: Fields) -> tuple[Any, ...] | None:
    names = item.value("regimes")
    if not isinstance(names, list) or not names or any(name not in REGIMES for name in names):
        item.fault("regimes", f"must be a list of some of {', '.join(REGIMES)}")
        return None
    if len(set(names)) < len(names):
        item.fault("regimes", "names a regime twice")
    if "starting" in names and len(set(names)) == 2:
        item.fault("regimes", "starting stands alone or with both of the others")
    return tuple(name for name in REGIMES if name in names)


def _area(item: Fields, choices: dict[str, Any]) -> Area:
    item.allow("name", "allowed", "action")
    vertices = tuple(_vertex(vertex, choices["side"]) for vertex in item.items("allowed", least=1))
    if not item.faults:
        _ordered(item, vertices, choices)
    return Area(name=item.text("name", most=60), allowed=vertices, action=_action(item.child("action")))


def _vertex(item: Fields, side: str) -> Vertex:
    item.allow(side, "seconds")
    return Vertex(value=item.number(side), seconds=item.number("seconds", least=0.0))


def _ordered(item: Fields, vertices: tuple[Vertex, ...], choices: dict[str, Any]) -> None:
    """Fault vertices that do not go outward, or that allow more time farther out."""
    side, word = choices["side"], "increase" if choices["side"] == "above" else "decrease"
    sign = 1.0 if side == "above" else -1.0
    for k, (before, after) in enumerate(pairwise(vertices), start=1):
        step = sign * (after.value - before.value)
        if step < 0 or (step == 0 and choices["boundary"] == "step"):
            item.fault(f"allowed[{k}].{side}", f"values must {word} from one vertex to the next")
        if after.seconds > before.seconds:
            item.fault(f"allowed[{k}].seconds", "must not rise: farther from the limit never allows more time")
    for k in range(2, len(vertices)):
        if vertices[k].value == vertices[k - 2].value:
            item.fault(f"allowed[{k}].{side}", "no more than two vertices may share a value")


def _action(item: Fields) -> Action:
    item.allow("summary", "before_next_flight", "steps", "required_inspection_item", "reference")
    return Action(
        summary=item.text("summary"),
        before_next_flight=item.flag("before_next_flight"),
        steps=item.texts("steps") if item.has("steps") else (),
        required_inspection_item=item.flag("required_inspection_item", default=False),
        reference=item.text("reference", default=""),
    )


def _nested(item: Fields, chart: LimitChart) -> None:
    """Fault a first vertex short of the limit, and an area that is not inside the one before it."""
    if item.faults:
        return
    for k, area in enumerate(chart.areas):
        if chart.sign * area.allowed[0].value < chart.sign * chart.limit:
            item.fault(f"areas[{k}].allowed[0].{chart.side}", f"lies short of the limit {chart.limit:g}")
        elif k and not lies_inside(edge_of(chart, area), edge_of(chart, chart.areas[k - 1])):
            before = chart.areas[k - 1].name
            item.fault(f"areas[{k}].allowed", f"must lie inside area {before}: begin no nearer and allow no less time")


def _repeat(item: Fields, chart: LimitChart) -> Repeat:
    own = _events(item, chart) if item.has("area") else _total_time(item, chart)
    return Repeat(action=_action(item.child("action")), since=_since(item), unless_cause=_unless_cause(item), **own)


def _events(item: Fields, chart: LimitChart) -> dict[str, Any]:
    item.allow("since", "unless_cause", "action", "area", "count")
    area = item.text("area")
    if area and area not in {a.name for a in chart.areas}:
        item.fault("area", f"“{area}” is not an area of this chart")
    return {"area": area, "count": item.whole("count", least=1)}


def _total_time(item: Fields, chart: LimitChart) -> dict[str, Any]:
    item.allow("since", "unless_cause", "action", chart.side, "seconds")
    value = item.number(chart.side)
    if chart.sign * value < chart.sign * chart.limit:
        item.fault(chart.side, f"lies short of the limit {chart.limit:g}")
    return {"above": value, "seconds": item.number("seconds", least=0.0)}


def _unless_cause(item: Fields) -> str | None:
    cause = item.value("unless_cause") if item.has("unless_cause") else "none"
    if cause not in ("none", "found", "corrected"):
        item.fault("unless_cause", "must be none, found or corrected")
    return None if cause == "none" else cause


def _since(item: Fields) -> str | tuple[str, str | float]:
    since = item.value("since")
    if since in ("new", "overhaul"):
        return str(since)
    if isinstance(since, dict) and list(since) == ["action"]:
        return ("action", item.child("since").text("action"))
    if isinstance(since, dict) and list(since) == ["hours"]:
        return ("hours", item.child("since").number("hours", least=0.0))
    item.fault("since", 'must be "new", "overhaul", {"action": …} or {"hours": …}')
    return "new"
