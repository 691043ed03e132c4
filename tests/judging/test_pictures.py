"""The picture that the phone draws of an excursion stands where the server's own would, and looks like it."""

import json
import re
from typing import Any

import pytest
from playwright.sync_api import Page

from engines.charts import LimitChart
from engines.documents import engine_type_read
from engines.unit_tables import unit_tables
from inspections.drawing.curve_picture import curve_picture
from inspections.drawing.shapes import COLOURS, Line, Picture, Polygon, Polyline, Text
from inspections.drawing.sheet import HATCHES
from inspections.verdict import Excursion
from tests.documents import type_document
from tests.inspections.drawing.cases import excursion
from tests.judging.page import SCRIPTS, scripts_served, told
from tests.layers import ROOT

DOCUMENTS = {
    "of the tests": type_document(),
    "of the demo": json.loads((ROOT / "fixtures" / "engine_type.json").read_text(encoding="utf8")),
}
SIZE = (328.0, 300.0)
DRAW = """async ({ document, units, asked }) => {
  const { engineTypeRead } = await import("/judge/charts.js");
  const { sheetOf } = await import("/picture/excursion.js");
  const { edgeOf, placed, surfacesOf } = await import("/picture/surfaces.js");
  const { charts } = engineTypeRead(document, units);
  return asked.map(({ name, peak, seconds, box }) => {
    const chart = charts.find((one) => one.name === name);
    const { x, y, ticks, times } = sheetOf(chart, { peak, seconds_above: seconds }, box);
    return {
      surfaces: surfacesOf(chart, x, y).flat().map((corners) => placed(corners, x, y)),
      edges: chart.areas.map((_, place) => placed(edgeOf(chart, place, x, y), x, y)),
      limit: y.at(chart.limit),
      ticks: [...ticks, ...times].map(([, words]) => words),
    };
  });
}"""


def drawn_by_server(chart: LimitChart, found: Excursion, channel: Any) -> Picture:
    """Return the server's picture of an excursion that fell straight from its time at the limit to its peak."""
    assert found.seconds_above is not None and found.peak is not None
    return curve_picture([(chart.limit, found.seconds_above), (found.peak, 0.0)], chart, found, channel, size=SIZE)


def box_of(picture: Picture) -> dict[str, float]:
    """Return where the box of a picture stands."""
    limit = next(shape for shape in picture.shapes if isinstance(shape, Line) and shape.role == "limit")
    upright = next(shape for shape in picture.shapes if isinstance(shape, Line) and shape.role == "axis")
    return {"left": limit.start[0], "right": limit.end[0], "top": upright.start[1], "bottom": upright.end[1]}


def facts_of(picture: Picture) -> dict[str, Any]:
    """Return what is compared of a picture of the server."""
    shapes = picture.shapes
    return {
        "surfaces": [shape.points for shape in shapes if isinstance(shape, Polygon) and shape.role == "area"],
        "edges": [shape.points for shape in shapes if isinstance(shape, Polyline) and shape.role == "edge"],
        "limit": next(shape.start[1] for shape in shapes if isinstance(shape, Line) and shape.role == "limit"),
        "ticks": [shape.content for shape in shapes if isinstance(shape, Text) and shape.role == "tick"],
    }


def near(facts: Any) -> Any:
    """Return facts for a comparison to the hundredth of a pixel, as the server rounds them."""
    if isinstance(facts, dict):
        return {name: near(fact) for name, fact in facts.items()}
    if isinstance(facts, (list, tuple)):
        return [near(fact) for fact in facts]
    return facts if isinstance(facts, str) else pytest.approx(facts, abs=0.011)


def case_of(chart: LimitChart, share: float, over: float) -> Excursion:
    """Return an excursion of a share of the longest allowed time, so far on the way to the last corner."""
    corners = [vertex for area in chart.areas for vertex in area.allowed]
    farthest = max(abs(vertex.value - chart.limit) for vertex in corners) or 10.0
    seconds = share * (max(vertex.seconds for vertex in corners) or 10.0)
    peak = chart.limit + chart.sign * over * farthest
    told = {"chart": chart.name, "side": chart.side, "unit": chart.unit, "margin": None}
    return excursion(peak=peak, seconds_above=seconds, **told)


def asked_of(found: Excursion, picture: Picture) -> dict[str, Any]:
    """Return what the phone is asked to draw, in the box of the server's picture."""
    return {"name": found.chart, "peak": found.peak, "seconds": found.seconds_above, "box": box_of(picture)}


@pytest.mark.parametrize("document", DOCUMENTS.values(), ids=DOCUMENTS)
@pytest.mark.parametrize(("share", "over"), [(0.02, 0.3), (0.5, 0.9), (2.0, 1.5)])
def test_surfaces_edges_and_marks_stand_where_the_servers_do(
    page: Page, document: dict[str, Any], share: float, over: float
) -> None:
    engine_type = engine_type_read(document)
    charts = [chart for chart in engine_type.charts if chart.areas]
    cases = [case_of(chart, share, over) for chart in charts]
    pictures = [
        drawn_by_server(chart, found, engine_type.channel(chart.channel))
        for chart, found in zip(charts, cases, strict=True)
    ]
    asked = [asked_of(found, picture) for found, picture in zip(cases, pictures, strict=True)]
    with scripts_served() as address:
        page.goto(address)
        drawn = told(page, DRAW, {"document": document, "units": unit_tables(engine_type), "asked": asked})
    assert len(drawn) >= 3
    assert drawn == [near(facts_of(picture)) for picture in pictures]


def test_its_looks_are_the_servers() -> None:
    """Colours, hatches and their order are written twice, and held to each other here."""
    script = (SCRIPTS / "picture" / "svg.js").read_text(encoding="utf8")
    assert dict(re.findall(r'(\w+): "(#\w{6})"', script)) == COLOURS
    row = r'name: "(\w+)", turn: (-?\d+), spacing: ([\d.]+), crossed: (\w+), colour: COLOURS\.(\w+), opacity: ([\d.]+)'
    stated = [
        (name, float(turn), float(spacing), crossed == "true", colour, float(opacity))
        for name, turn, spacing, crossed, colour, opacity in re.findall(row, script)
    ]
    assert stated == [
        (hatch.name, -hatch.angles[0], hatch.spacing, len(hatch.angles) == 2, hatch.tint.colour, hatch.tint.opacity)
        for hatch in HATCHES
        if hatch.tint is not None
    ]
    assert {hatch.weight for hatch in HATCHES} == {0.8}
