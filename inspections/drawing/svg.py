"""A picture as inline SVG: attributes and classes only, so that it passes a strict content-security policy."""

from collections.abc import Callable
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from inspections.drawing.shapes import (
    COLOURS,
    Colour,
    Fill,
    Hatch,
    Line,
    Marker,
    Picture,
    Polygon,
    Polyline,
    Rect,
    Shape,
    Stroke,
    Text,
)

Attributes = dict[str, str | float]

# The page's own colours: its text, and its ground.
PAGE = {"ink": "currentColor", "paper": "Canvas"}


def _number(value: float) -> str:
    text = f"{value:.1f}"
    return text[:-2] if text.endswith(".0") else text


def _colour(colour: Colour) -> str:
    return PAGE.get(colour) or COLOURS[colour]


def _element(name: str, attributes: Attributes, content: str = "") -> str:
    """Return an element with its attributes in the order given."""
    texts = {key: value if isinstance(value, str) else _number(value) for key, value in attributes.items()}
    written = "".join(f" {key}={quoteattr(value)}" for key, value in texts.items())
    return f"<{name}{written}>{content}</{name}>" if content else f"<{name}{written}/>"


def _stroke(stroke: Stroke) -> Attributes:
    dashes = {"stroke-dasharray": " ".join(_number(length) for length in stroke.dash)} if stroke.dash else {}
    return {"stroke": _colour(stroke.colour), "stroke-width": stroke.width, **dashes}


def _fill(fill: Fill | None) -> Attributes:
    if fill is None:
        return {}
    opacity = {} if fill.opacity == 1 else {"fill-opacity": f"{fill.opacity:g}"}
    return {"fill": _colour(fill.colour), **opacity}


def _points(points: tuple[tuple[float, float], ...]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _line(shape: Line, prefix: str) -> str:
    (x1, y1), (x2, y2) = shape.start, shape.end
    return _element("line", {**_class(shape), "x1": x1, "y1": y1, "x2": x2, "y2": y2, **_stroke(shape.stroke)})


def _polyline(shape: Polyline, prefix: str) -> str:
    points = shape.points if len(shape.points) > 1 else shape.points * 2
    looks = {"stroke-linejoin": "round", "stroke-linecap": "round", **_stroke(shape.stroke)}
    return _element("polyline", {**_class(shape), "points": _points(points), **looks})


def _surface(hatch: Hatch | None, fill: Fill | None, prefix: str) -> Attributes:
    return _fill(fill) if hatch is None else {"fill": f"url(#{prefix}-{hatch.name})"}


def _polygon(shape: Polygon, prefix: str) -> str:
    looks = _surface(shape.hatch, shape.fill, prefix)
    return _element("polygon", {**_class(shape), "points": _points(shape.points), **looks})


def _rect(shape: Rect, prefix: str) -> str:
    box: Attributes = {"x": shape.x, "y": shape.y, "width": shape.width, "height": shape.height}
    return _element("rect", {**_class(shape), **box, **_surface(shape.hatch, shape.fill, prefix)})


def _text(shape: Text, prefix: str) -> str:
    place: Attributes = {"x": shape.x, "y": shape.y, "text-anchor": shape.anchor}
    looks: Attributes = {"font-size": shape.size, "font-weight": "bold" if shape.bold else "normal"}
    return _element("text", {**_class(shape), **place, **looks, "fill": "currentColor"}, escape(shape.content))


def _marker(shape: Marker, prefix: str) -> str:
    place: Attributes = {"cx": shape.x, "cy": shape.y, "r": shape.radius}
    looks = {**_fill(Fill("paper")), **_stroke(Stroke("ink", 0.6 * shape.radius))}
    return _element("circle", {**_class(shape), **place, **looks})


def _class(shape: Shape) -> Attributes:
    return {"class": f"picture-{shape.role}"}


WRITERS: dict[type, Callable[[Any, str], str]] = {
    Line: _line,
    Polyline: _polyline,
    Polygon: _polygon,
    Rect: _rect,
    Text: _text,
    Marker: _marker,
}


def _pattern(hatch: Hatch, prefix: str) -> str:
    """Return a hatch as a square tile, turned; a second angle at right angles to the first runs across it."""
    side, middle = hatch.spacing, hatch.spacing / 2
    looks = {**_stroke(Stroke("ink", hatch.weight)), "stroke-opacity": "0.6"}
    ends = [(0.0, middle, side, middle), (middle, 0.0, middle, side)][: len(hatch.angles)]
    lines = [_element("line", {"x1": a, "y1": b, "x2": c, "y2": d, **looks}) for a, b, c, d in ends]
    tint = [_element("rect", {"width": side, "height": side, **_fill(hatch.tint)})] if hatch.tint else []
    turn = {"patternUnits": "userSpaceOnUse", "patternTransform": f"rotate({-hatch.angles[0]:g})"}
    box: Attributes = {"id": f"{prefix}-{hatch.name}", "width": side, "height": side}
    return _element("pattern", {**box, **turn}, "".join([*tint, *lines]))


def _hatches(picture: Picture) -> dict[str, Hatch]:
    shapes = [shape for shape in picture.shapes if isinstance(shape, Polygon | Rect)]
    return {shape.hatch.name: shape.hatch for shape in shapes if shape.hatch is not None}


def svg_text(picture: Picture, prefix: str = "picture") -> str:
    """Return a picture as one inline SVG element, as wide as its place on the page.

    Parameters
    ----------
    picture : Picture
        The picture.
    prefix : str
        Begins every id; pictures on one page need different ones.

    Returns
    -------
    str
        The element. Text, axes and trace take the page's text colour. Plain paper behind texts takes the page's
        ground; a site whose ground differs from the browser's sets ``fill`` of the class ``picture-paper``.
    """
    patterns = "".join(_pattern(hatch, prefix) for hatch in _hatches(picture).values())
    body = [
        _element("title", {"id": f"{prefix}-title"}, escape(picture.title)),
        _element("desc", {"id": f"{prefix}-desc"}, escape(picture.description)),
        f"<defs>{patterns}</defs>" if patterns else "",
        *(WRITERS[type(shape)](shape, prefix) for shape in picture.shapes),
    ]
    root: Attributes = {
        "xmlns": "http://www.w3.org/2000/svg",
        "class": "picture",
        "role": "img",
        "aria-labelledby": f"{prefix}-title {prefix}-desc",
        "viewBox": f"0 0 {_number(picture.width)} {_number(picture.height)}",
        "width": "100%",
        "font-family": "system-ui, sans-serif",
        "fill": "none",
    }
    return _element("svg", root, "\n".join(part for part in body if part))
