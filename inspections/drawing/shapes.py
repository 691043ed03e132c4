"""The shapes a picture is made of, in pixels from its top left corner; no screen and no paper yet."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Colour = Literal["ink", "paper", "blue", "vermillion", "sky", "orange", "purple"]
Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]

# The subset of the Okabe-Ito colours that keeps its contrast: the first two for lines, the others for fills only.
COLOURS: dict[str, str] = {
    "blue": "#0072B2",
    "vermillion": "#D55E00",
    "sky": "#56B4E9",
    "orange": "#E69F00",
    "purple": "#CC79A7",
}


@dataclass(frozen=True)
class Stroke:
    """How a line is drawn: its colour, width and dashes. [px]"""

    colour: Colour = "ink"
    width: float = 1.0
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Fill:
    """How a surface is tinted: a colour, and how much of it."""

    colour: Colour
    opacity: float = 1.0


@dataclass(frozen=True)
class Hatch:
    """A pattern of parallel lines that still tells surfaces apart without colour. [degrees, px]"""

    name: str
    angles: tuple[float, ...]
    spacing: float
    tint: Fill | None = None
    weight: float = 0.8


@dataclass(frozen=True)
class Line:
    """A straight line between two points."""

    start: Point
    end: Point
    stroke: Stroke = Stroke()
    role: str = "axis"


@dataclass(frozen=True)
class Polyline:
    """A line through several points; through one point only, a dot."""

    points: tuple[Point, ...]
    stroke: Stroke = Stroke()
    role: str = "trace"


@dataclass(frozen=True)
class Polygon:
    """A closed surface, tinted or hatched."""

    points: tuple[Point, ...]
    fill: Fill | None = None
    hatch: Hatch | None = None
    role: str = "area"


@dataclass(frozen=True)
class Rect:
    """An upright rectangle, tinted or hatched."""

    x: float
    y: float
    width: float
    height: float
    fill: Fill | None = None
    hatch: Hatch | None = None
    role: str = "area"


@dataclass(frozen=True)
class Text:
    """One line of text; ``y`` is its baseline."""

    x: float
    y: float
    content: str
    size: float
    anchor: Anchor = "start"
    bold: bool = False
    role: str = "label"


@dataclass(frozen=True)
class Marker:
    """A disc with a ring around it, at a value that matters."""

    x: float
    y: float
    radius: float
    role: str = "peak"


Shape = Line | Polyline | Polygon | Rect | Text | Marker


@dataclass(frozen=True)
class Picture:
    """Shapes in drawing order, with the title and description that say the same in words. [px]"""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    title: str
    description: str

    @property
    def texts(self) -> tuple[str, ...]:
        """Return every text of the picture, in drawing order."""
        return tuple(shape.content for shape in self.shapes if isinstance(shape, Text))

    @property
    def drawn_points(self) -> int:
        """Return how many points of lines and surfaces are drawn."""
        return points_of(self.shapes)


def points_of(shapes: Sequence[Shape]) -> int:
    """Return how many points the lines and surfaces of some shapes have.

    Parameters
    ----------
    shapes : sequence of Shape
        Shapes of any kind; those without a list of points count none.

    Returns
    -------
    int
        The number of points.
    """
    return sum(len(shape.points) for shape in shapes if isinstance(shape, Polyline | Polygon))
