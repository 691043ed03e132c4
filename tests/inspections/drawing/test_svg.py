import xml.etree.ElementTree as ET

import pytest

from inspections.drawing.shapes import (
    Fill,
    Hatch,
    Line,
    Marker,
    Picture,
    Polygon,
    Polyline,
    Rect,
    Stroke,
    Text,
)
from inspections.drawing.svg import svg_text
from tests.inspections.drawing.cases import ITT, RUNNING, excursion, flight_picture

SVG = "{http://www.w3.org/2000/svg}"
PLAIN, CROSS = Hatch("plain", (90.0,), 3.0), Hatch("cross", (45.0, -45.0), 6.0, Fill("sky", 0.25))
EVERY = Picture(
    100,
    50.5,
    (
        Line((0, 0), (10, 5), Stroke("vermillion", 2, (9.0, 4.0)), role="limit"),
        Polyline(((1.04, 2), (3, 4))),
        Polyline(((5, 6),)),
        Polygon(((0, 0), (1, 0), (1, 1)), hatch=CROSS),
        Polygon(((0, 0), (1, 0), (1, 1)), fill=Fill("blue", 0.5), role="beyond"),
        Rect(0, 0, 5, 5, hatch=PLAIN),
        Rect(0, 0, 5, 5, fill=Fill("paper")),
        Rect(0, 0, 5, 5),
        Text(1, 2, "a < b & c", 11, "end", bold=True),
        Marker(3, 4, 2.5),
    ),
    'A "title" & more',
    "What it <shows>",
)


def test_every_shape_becomes_its_element() -> None:
    root = ET.fromstring(svg_text(EVERY, "one"))
    drawn = [element.tag.removeprefix(SVG) for element in root][3:]
    assert drawn == ["line", "polyline", "polyline", "polygon", "polygon", "rect", "rect", "rect", "text", "circle"]
    line, trace, dot, hatched, tinted, *_, text, mark = list(root)[3:]
    assert (line.get("stroke"), line.get("stroke-dasharray"), line.get("class")) == ("#D55E00", "9 4", "picture-limit")
    assert (trace.get("points"), dot.get("points")) == ("1,2 3,4", "5,6 5,6")
    assert (hatched.get("fill"), tinted.get("fill-opacity")) == ("url(#one-cross)", "0.5")
    assert (text.text, text.get("text-anchor"), text.get("font-weight")) == ("a < b & c", "end", "bold")
    assert (mark.get("r"), mark.get("fill")) == ("2.5", "Canvas")


def test_the_picture_has_its_words_for_those_who_cannot_see_it() -> None:
    root = ET.fromstring(svg_text(EVERY, "one"))
    named = {element.get("id"): element.text for element in root}
    assert (root.get("role"), root.get("aria-labelledby")) == ("img", "one-title one-desc")
    assert (named["one-title"], named["one-desc"]) == ('A "title" & more', "What it <shows>")
    assert (root.get("viewBox"), root.get("width"), root.get("height")) == ("0 0 100 50.5", "100%", None)


def test_hatches_are_defined_once_under_the_prefix() -> None:
    root = ET.fromstring(svg_text(EVERY, "two"))
    patterns = {
        pattern.get("id"): [part.tag.removeprefix(SVG) for part in pattern] for pattern in root.iter(f"{SVG}pattern")
    }
    assert patterns == {"two-cross": ["rect", "line", "line"], "two-plain": ["line"]}
    assert root.find(f"{SVG}defs/{SVG}pattern[@patternTransform='rotate(-45)']") is not None


def test_a_picture_without_hatches_defines_none() -> None:
    assert "<defs>" not in svg_text(Picture(1, 1, (), "t", "d"))


@pytest.mark.parametrize("width", [360, 1080])
def test_nothing_in_it_needs_the_policy_to_be_relaxed(width: float) -> None:
    root = ET.fromstring(svg_text(flight_picture([excursion()], width=width)))
    names = {element.tag.removeprefix(SVG) for element in root.iter()}
    attributes = {name for element in root.iter() for name in element.attrib}
    assert not names & {"style", "script", "foreignObject", "image", "a", "use"}
    assert "style" not in attributes
    assert not {name for name in attributes if name.startswith("on")}


def test_two_pictures_on_a_page_share_no_id() -> None:
    picture = flight_picture([excursion()])
    ids = [
        {element.get("id") for element in ET.fromstring(svg_text(picture, prefix)).iter() if element.get("id")}
        for prefix in ("a", "b")
    ]
    assert ids[0] and not ids[0] & ids[1]
    assert (ITT.label in picture.title, RUNNING.name in picture.title) == (True, True)


def test_the_same_picture_writes_the_same_text() -> None:
    assert svg_text(flight_picture([excursion()])) == svg_text(flight_picture([excursion()]))
