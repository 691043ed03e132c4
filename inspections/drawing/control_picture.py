"""The picture of a control chart: figures one by one, what is drawn through them, and what they are held against."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from engines.control_charts import Drift
from inspections.drawing.labels import EM, LINE, glued, text_width
from inspections.drawing.scale import Scale, value_ticks
from inspections.drawing.shapes import Line, Marker, Picture, Polyline, Shape, Stroke, Text
from inspections.drawing.sheet import (
    LEVEL,
    LIMIT,
    TRACE,
    Frame,
    letter_size,
    level_axis,
    margin_label,
    margin_shapes,
    title_shapes,
    value_axis,
)
from inspections.drawing.words import count_text, figure, sentence_case

LOWER: Final = Stroke("blue", 1.7, (7.0, 3.0))


@dataclass(frozen=True)
class Course:
    """One line of a chart: its name, a value for each start, and how it is drawn. [chart's unit]"""

    name: str
    values: tuple[float, ...]
    stroke: Stroke = TRACE


@dataclass(frozen=True)
class ControlScene:
    """A control chart of one figure: ``dots`` are single figures, ``levels`` lines with their words. [``unit``]

    ``first`` says which start is the first that is charted, counted from 1.
    """

    title: str
    unit: str
    first: int
    courses: tuple[Course, ...]
    levels: tuple[tuple[float, str], ...]
    dots: tuple[float, ...] = ()
    signals: tuple[int, ...] = ()

    @property
    def count(self) -> int:
        """Return how many starts are charted."""
        return len(self.courses[0].values)


def ewma_scene(label: str, unit: str, values: Sequence[float], drift: Drift) -> ControlScene:
    """Return the EWMA chart of a figure.

    Parameters
    ----------
    label, unit : str
        What the figure is called, and the sign of its unit.
    values : sequence of float
        The whole series, the first values that set the target included. [``unit``]
    drift : Drift
        Its charts.

    Returns
    -------
    ControlScene
        Single figures as dots, the weighted mean as a line.
    """
    chart, first = drift.ewma, drift.rule.baseline
    levels = ((chart.upper, "Upper limit"), (chart.target, "Target"), (chart.lower, "Lower limit"))
    return ControlScene(
        title=f"{label}: EWMA",
        unit=unit,
        first=first + 1,
        courses=(Course("weighted mean", chart.values),),
        levels=levels,
        dots=tuple(values[first:]),
        signals=chart.signals,
    )


def cusum_scene(label: str, unit: str, drift: Drift) -> ControlScene:
    """Return the CUSUM chart of a figure.

    Parameters
    ----------
    label, unit : str
        What the figure is called, and the sign of its unit.
    drift : Drift
        Its charts.

    Returns
    -------
    ControlScene
        Both sums as lines.
    """
    chart = drift.cusum
    return ControlScene(
        title=f"{label}: CUSUM",
        unit=unit,
        first=drift.rule.baseline + 1,
        courses=(Course("sum above", chart.high), Course("sum below", chart.low, LOWER)),
        levels=((chart.decision, "Decision value"),),
        signals=chart.signals,
    )


def control_summary(scene: ControlScene) -> str:
    """Return what a chart shows, in sentences.

    Parameters
    ----------
    scene : ControlScene
        The chart.

    Returns
    -------
    str
        How many starts, where the newest stands, the lines, and how many starts signal.
    """
    newest = ", ".join(f"{course.name} {_said(course.values[-1], scene.unit)}" for course in scene.courses)
    lines = ", ".join(f"{words.lower()} {_said(value, scene.unit)}" for value, words in scene.levels)
    signals = count_text(len(scene.signals), "start") if scene.signals else "No start"
    return sentence_case(
        f"{scene.title}, {count_text(scene.count, 'start')} from number {scene.first} on. Newest: {newest}; {lines}. "
        f"{signals} beyond."
    )


def _said(value: float, unit: str) -> str:
    return f"{figure(value, places=2)} {unit}"


def control_picture(scene: ControlScene, *, width: float, height: float) -> Picture:
    """Return the picture of a control chart.

    Parameters
    ----------
    scene : ControlScene
        The chart.
    width, height : float
        Size of the picture. [px]

    Returns
    -------
    Picture
        A labelled line at each level, a dot for each single figure, the courses as lines with their names in a
        legend, and a disc at each start that signals.
    """
    size = letter_size(width)
    heading = title_shapes(f"{scene.title}, {scene.unit}", width, size)
    legend, foot = _legend(scene, len(heading) * size * LINE + 1.4 * size, width, size)
    top, bottom = foot + 0.4 * size, height - 2 * LINE * size - 10
    y = _value_scale(scene, top, bottom)
    letters = int(0.2 * width / (size * EM))
    margin = [
        margin_label(y.at(value), f"{words} {glued(_said(value, scene.unit))}", letters, bold=words != "Target")
        for value, words in scene.levels
    ]
    ticks = [(v, figure(v, places=2)) for v in value_ticks(y.low, y.high, int((bottom - top) / (2.4 * size)))]
    left = max(text_width(text, size) for _, text in ticks) + 9
    right = width - max(label.width(size) for label in margin) - 12
    frame = Frame(left, right, top, bottom, size, margin=width - 4, foot=bottom)
    x = Scale((scene.first - 0.5, scene.first + scene.count - 0.5), (left, right))
    shapes = [
        *heading,
        *legend,
        *(
            Line((left, y.at(v)), (right, y.at(v)), *((LEVEL, "level") if words == "Target" else (LIMIT, "limit")))
            for v, words in scene.levels
        ),
        *(Marker(x.at(scene.first + k), y.at(v), 0.14 * size, role="single") for k, v in enumerate(scene.dots)),
        *(_course(course, scene, x, y) for course in scene.courses),
        *_signals(scene, x, y, size),
        *value_axis(frame, y, ticks),
        *level_axis(frame, x, _numbers(scene), "Start, counted from the first that set the target"),
        *margin_shapes(margin, frame),
    ]
    return Picture(width, height, tuple(shapes), scene.title, control_summary(scene))


def _course(course: Course, scene: ControlScene, x: Scale, y: Scale) -> Shape:
    points = tuple((x.at(scene.first + k), y.at(value)) for k, value in enumerate(course.values))
    return Polyline(points, course.stroke)


def _signals(scene: ControlScene, x: Scale, y: Scale, size: float) -> list[Shape]:
    """Return a disc at each start that signals, on the line that is farthest out."""
    middle = scene.levels[1][0] if len(scene.levels) > 1 else 0.0
    found: list[Shape] = []
    for k in scene.signals:
        value = max((course.values[k] for course in scene.courses), key=lambda v: abs(v - middle))
        found.append(Marker(x.at(scene.first + k), y.at(value), 0.34 * size, role="signal"))
    return found


def _numbers(scene: ControlScene) -> list[tuple[float, str]]:
    ticks = value_ticks(scene.first, scene.first + scene.count - 1, 12) if scene.count > 1 else [float(scene.first)]
    return [(value, f"{value:.0f}") for value in ticks if value == int(value)]


def _value_scale(scene: ControlScene, top: float, bottom: float) -> Scale:
    values = [value for course in scene.courses for value in course.values]
    values += [*scene.dots, *(value for value, _ in scene.levels)]
    low, high = min(values), max(values)
    room = 0.06 * (high - low) or 1.0
    return Scale((low - room, high + room), (bottom, top))


def _legend(scene: ControlScene, top: float, width: float, size: float) -> tuple[list[Shape], float]:
    """Return each course and mark with its words, and the foot of the lines that they take."""
    items: list[tuple[list[Shape], str]] = []
    shapes: list[Shape] = []
    x, y = 4.0, top
    names = [(course.name, course.stroke) for course in scene.courses]
    for words, stroke in [*names, *([("single start", None)] if scene.dots else []), ("signals", None)]:
        wide = text_width(words, size) + 4 * size
        if x > 4 and x + wide > width:
            x, y = 4.0, y + size * LINE
        middle = y - 0.35 * size
        radius = (0.34 if words == "signals" else 0.14) * size
        mark: Shape = (
            Line((x, middle), (x + 2.4 * size, middle), stroke, role="legend")
            if stroke
            else Marker(x + 1.2 * size, middle, radius, role="legend")
        )
        items.append(([mark, Text(x + 2.8 * size, y, words, size, role="legend")], words))
        x += wide
    for found, _ in items:
        shapes += found
    return shapes, y + 0.6 * size
