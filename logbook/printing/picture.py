"""A picture on paper: the same shapes as on screen, drawn as part of a page, legible in black and white."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import Color, HexColor, black, white
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from inspections.drawing.shapes import (
    COLOURS,
    Colour,
    Fill,
    Hatch,
    Line,
    Marker,
    Picture,
    Point,
    Polygon,
    Polyline,
    Rect,
    Stroke,
    Text,
)
from logbook.printing.styles import BOLD, REGULAR


@dataclass(frozen=True)
class ChartPictures:
    """The pictures of one chart: the run, the duration curves of its excursions, and what they were drawn from."""

    run: Picture
    curves: tuple[Picture, ...] = ()
    caption: str = ""


HATCH_INK = 0.45  # how dark hatching is printed: lighter than any line that carries a value


def _colour(colour: Colour) -> Color:
    return {"ink": black, "paper": white}.get(colour) or HexColor(COLOURS[colour])


def _tint(fill: Fill) -> Color:
    """Return a tint already mixed with white paper, so that the page needs no transparency."""
    full = _colour(fill.colour)
    red, green, blue = (1 - fill.opacity * (1 - part) for part in (full.red, full.green, full.blue))
    return Color(red, green, blue)


def hatch_lines(box: tuple[float, float, float, float], angle: float, spacing: float) -> Iterator[tuple[Point, Point]]:
    """Yield parallel lines that cover a box, all of one grid, so that neighbouring boxes join without a seam.

    Parameters
    ----------
    box : tuple of float
        Left, bottom, right and top. [pt]
    angle : float
        Of the lines, from the horizontal. [degree]
    spacing : float
        From line to line. [pt]

    Yields
    ------
    tuple of (float, float)
        Start and end of each line. [pt]
    """
    left, bottom, right, top = box
    along = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    across = -along[1], along[0]
    corners = [(x, y) for x in (left, right) for y in (bottom, top)]
    offsets = [x * across[0] + y * across[1] for x, y in corners]
    reaches = [x * along[0] + y * along[1] for x, y in corners]
    for k in range(math.ceil(min(offsets) / spacing), math.floor(max(offsets) / spacing) + 1):
        foot = k * spacing * across[0], k * spacing * across[1]
        first, last = min(reaches), max(reaches)
        yield (
            (foot[0] + first * along[0], foot[1] + first * along[1]),
            (foot[0] + last * along[0], foot[1] + last * along[1]),
        )


class PictureFlowable(Flowable):  # type: ignore[misc]
    """A picture scaled to a width; letters of a picture about 480 wide then come out at 11 points across a page."""

    def __init__(self, picture: Picture, width: float, font: str = REGULAR, bold_font: str = BOLD):
        super().__init__()
        self.picture = picture
        self.factor = width / picture.width
        self.width, self.height = width, picture.height * self.factor
        self.fonts = {False: font, True: bold_font}

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Take the width that it was made for, and its share of height."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw every shape in its turn."""
        canvas = self.canv
        canvas.saveState()
        canvas.scale(self.factor, self.factor)
        canvas.setLineJoin(1)
        for shape in self.picture.shapes:
            self._writers()[type(shape)](canvas, shape)
        canvas.restoreState()

    def _writers(self) -> dict[type, Callable[[Canvas, Any], None]]:
        return {
            Line: self._line,
            Polyline: self._polyline,
            Polygon: self._polygon,
            Rect: self._rect,
            Text: self._text,
            Marker: self._marker,
        }

    def _up(self, point: Point) -> Point:
        """Return a point counted from the lower left corner, as a page counts."""
        return point[0], self.picture.height - point[1]

    def _pen(self, canvas: Canvas, stroke: Stroke) -> None:
        canvas.setStrokeColor(_colour(stroke.colour))
        canvas.setLineWidth(stroke.width)
        canvas.setDash(list(stroke.dash))

    def _path(self, canvas: Canvas, points: tuple[Point, ...]) -> PDFPathObject:
        path = canvas.beginPath()
        path.moveTo(*self._up(points[0]))
        for point in points[1:] or points:
            path.lineTo(*self._up(point))
        return path

    def _line(self, canvas: Canvas, shape: Line) -> None:
        self._pen(canvas, shape.stroke)
        canvas.line(*self._up(shape.start), *self._up(shape.end))

    def _polyline(self, canvas: Canvas, shape: Polyline) -> None:
        self._pen(canvas, shape.stroke)
        canvas.setLineCap(1)
        canvas.drawPath(self._path(canvas, shape.points))
        canvas.setLineCap(0)

    def _surface(self, canvas: Canvas, points: tuple[Point, ...], fill: Fill | None, hatch: Hatch | None) -> None:
        tint = hatch.tint if hatch else fill
        if tint:
            path = self._path(canvas, points)
            path.close()
            canvas.setFillColor(_tint(tint))
            canvas.drawPath(path, stroke=0, fill=1)
        if hatch:
            self._hatch(canvas, points, hatch)

    def _hatch(self, canvas: Canvas, points: tuple[Point, ...], hatch: Hatch) -> None:
        canvas.saveState()
        path = self._path(canvas, points)
        path.close()
        canvas.clipPath(path, stroke=0, fill=0)
        canvas.setStrokeGray(HATCH_INK)
        canvas.setLineWidth(hatch.weight)
        canvas.setDash([])
        corners = [self._up(point) for point in points]
        box = (*map(min, zip(*corners, strict=True)), *map(max, zip(*corners, strict=True)))
        for angle in hatch.angles:
            for start, end in hatch_lines(box, angle, hatch.spacing):
                canvas.line(*start, *end)
        canvas.restoreState()

    def _polygon(self, canvas: Canvas, shape: Polygon) -> None:
        self._surface(canvas, shape.points, shape.fill, shape.hatch)

    def _rect(self, canvas: Canvas, shape: Rect) -> None:
        left, top, right, bottom = shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
        corners = ((left, top), (right, top), (right, bottom), (left, bottom))
        self._surface(canvas, corners, shape.fill, shape.hatch)

    def _text(self, canvas: Canvas, shape: Text) -> None:
        canvas.setFillColor(black)
        canvas.setFont(self.fonts[shape.bold], shape.size)
        write = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
        write[shape.anchor](*self._up((shape.x, shape.y)), shape.content)

    def _marker(self, canvas: Canvas, shape: Marker) -> None:
        self._pen(canvas, Stroke("ink", 0.6 * shape.radius))
        canvas.setFillColor(white)
        canvas.circle(*self._up((shape.x, shape.y)), shape.radius, stroke=1, fill=1)
