"""The limit charts that were applied, from which revision, and who entered and checked it."""

from collections.abc import Mapping, Sequence
from typing import Any

from inspections.drawing.words import quantity, seconds_text
from logbook.printing.blocks import Story, grid, pairs, paragraph, part, titled
from logbook.printing.wording import NOT_RECORDED, day_text, given, listed, none_or_blank, yes_no

Body = Mapping[str, Any]

FROM_THE_BEGINNING = "from the beginning"
METHODS = {
    "peak": "peak: the whole time beyond the limit is taken to be at the peak",
    "time_above": "time beyond each value, as recorded",
}
ON_BOUNDARY = {"within": "a reading on the limit is within it", "beyond": "a reading on the limit is beyond it"}
ACCUMULATE = {"excursion": "each excursion by itself", "run": "all excursions of the run together"}


def limits_section(body: Body) -> Story:
    """Return the limits applied, under their heading.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        The revision, then each chart with its areas.
    """
    revision: Body = body.get("revision") or {}
    charts: Sequence[Body] | None = body.get("charts")
    story: Story = [pairs(_revision_rows(revision))]
    if not charts:
        story.append(paragraph(f"Charts passed: {none_or_blank(charts)}."))
        return titled("Limits applied", story)
    for chart in (_with_unit(chart, body) for chart in charts):
        story += part(f"Chart: {chart['name']}", [pairs(_chart_rows(chart)), *_areas(chart)])
    return titled("Limits applied", story)


def _with_unit(chart: Body, body: Body) -> Body:
    """Return a chart that names its unit; a document may leave it to the channel, whose unit the verdict has then."""
    excursions: Sequence[Body] = (body.get("verdict") or {}).get("excursions") or []
    units = [excursion["unit"] for excursion in excursions if excursion["chart"] == chart["name"]]
    return {"unit": units[0] if units else "", **chart}


def _in_force(revision: Body) -> str:
    """Return from when a revision is in force; one without a date is so from the beginning."""
    return day_text(revision.get("in_force_from") or (FROM_THE_BEGINNING if revision else None))


def _revision_rows(revision: Body) -> list[tuple[str, Any]]:
    return [
        ("Revision", revision.get("number")),
        ("Source", revision.get("source")),
        ("In force", _in_force(revision)),
        ("Entered by", revision.get("entered_by")),
        ("Checked by", revision.get("checked_by")),
    ]


def _chart_rows(chart: Body) -> list[tuple[str, Any]]:
    beyond = chart.get("on_boundary") == "beyond"
    side = f"{'at or ' if beyond else ''}{chart.get('side', 'above')}"
    regimes = chart.get("regimes")
    channel = chart.get("label") or chart["channel"]
    return [
        ("Limit", f"{quantity(chart['limit'], chart['unit'])}; time {side} it counts ({channel})"),
        ("Applies", "to the whole record" if regimes is None else listed(regimes)),
        ("Judged by", METHODS[chart.get("method", "peak")]),
        ("On the limit", ON_BOUNDARY[chart.get("on_boundary", "within")]),
        ("Counted", ACCUMULATE[chart.get("accumulate", "excursion")]),
        ("Source", chart.get("source")),
    ]


def _areas(chart: Body) -> Story:
    areas: Sequence[Body] = chart.get("areas") or []
    if not areas:
        return [paragraph("This chart has no areas.")]
    rows = [_area_row(area, chart) for area in areas]
    headings = ("Area", "Entered when", "Calls for", "Before next flight", "Reference")
    return [grid(headings, rows, (0.1, 0.33, 0.25, 0.14, 0.18))]


def _area_row(area: Body, chart: Body) -> list[Any]:
    action: Body = area["action"]
    called = action["summary"] + (" (required inspection item)" if action.get("required_inspection_item") else "")
    return [
        area["name"],
        allowed_text(chart, area["allowed"]),
        called,
        yes_no(action.get("before_next_flight")),
        action.get("reference"),
    ]


def allowed_text(chart: Body, vertices: Sequence[Body]) -> str:
    """Return how an area is entered, in words.

    Parameters
    ----------
    chart : mapping
        The chart's document.
    vertices : sequence of mapping
        ``above`` or ``below`` and ``seconds`` of each corner of the area's edge. [chart's unit, s]

    Returns
    -------
    str
        For example ``"more than 60 s above 700 °C; any time above 720 °C"``.
    """
    beyond = chart.get("on_boundary") == "beyond"
    parts = [_vertex_text(vertex, chart["unit"], beyond=beyond) for vertex in vertices]
    joint = "; in a straight line to " if chart.get("boundary") == "linear" else "; "
    return joint.join(parts)


def _vertex_text(vertex: Body, unit: str, *, beyond: bool) -> str:
    side = "above" if "above" in vertex else "below"
    where = f"{'at or ' if beyond else ''}{side} {quantity(vertex[side], unit)}"
    if vertex["seconds"] <= 0:
        return f"any time {where}"
    time = seconds_text(vertex["seconds"])
    return f"{time} or more {where}" if beyond else f"more than {time} {where}"


def revision_words(body: Body) -> str:
    """Return the revision of the limits in one line.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    str
        For example ``"limits revision 3"``.
    """
    number = given((body.get("revision") or {}).get("number"))
    return f"limits revision {number}" if number != NOT_RECORDED else f"limits revision: {NOT_RECORDED}"
