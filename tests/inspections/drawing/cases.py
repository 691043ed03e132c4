"""Invented charts, traces and verdicts that the tests of the drawings share."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from engines.charts import Action, Area, Channel, EngineTypeData, LimitChart, Vertex
from engines.regimes import RegimeSpan
from engines.traces import Trace
from inspections.drawing.run_picture import run_picture
from inspections.drawing.shapes import Picture, Rect, Text
from inspections.verdict import Excursion, Level, Margin, Unobserved

ITT = Channel("itt", "Interstage turbine temperature", "degC")
OIL = Channel("oil_press", "Oil pressure", "psi")


def area(name: str, *vertices: tuple[float, float], summary: str = "Hot section inspection") -> Area:
    return Area(name, tuple(Vertex(*vertex) for vertex in vertices), Action(summary, before_next_flight=True))


RUNNING = LimitChart(
    name="ITT, running",
    channel="itt",
    unit="degC",
    limit=700,
    areas=(
        area("A", (700, 60), (720, 0), summary="Find and correct the cause; record it"),
        area("B", (720, 5), (760, 0)),
    ),
    regimes=("running", "stopping"),
    method="time_above",
    source="invented for the tests",
)
STARTING = LimitChart(
    name="ITT, starting",
    channel="itt",
    unit="degC",
    limit=750,
    areas=(
        area("1", (760, 10), (800, 5), (850, 0)),
        area("2", (800, 8), (850, 4), (900, 0)),
        area("3", (850, 6), (950, 0), summary="Remove the engine."),
    ),
    regimes=("starting",),
    boundary="linear",
)
LOW_OIL = LimitChart(
    name="Oil pressure, running",
    channel="oil_press",
    unit="psi",
    limit=60,
    areas=(area("A", (60, 30), (50, 5), (40, 0)), area("B", (40, 10), (25, 0))),
    side="below",
    on_boundary="beyond",
)
BARE = LimitChart("ITT", "itt", "degC", 900, ())

REGIMES = (RegimeSpan("starting", 4, 31.5), RegimeSpan("running", 31.5, 2280), RegimeSpan("stopping", 2280, 2330))
GAP = Unobserved("itt", 409, 433)


def flight(peak: float = 718.0) -> Trace:
    """Return 40 minutes at 1 Hz: a start, a stay above 700 with its peak at 1050 s, a gap of 24 s."""
    times = np.arange(0, 2400.0)
    values = np.interp(
        times,
        [0, 10, 14, 31, 900, 1022.4, 1049, 1051, 1093.1, 1110, 2280, 2399],
        [20, 40, 640, 540, 560, 700, 712, 712, 700, 640, 520, 120],
    )
    values[1050] = peak
    values[410:433] = np.nan
    return Trace(times, {"itt": values})


def excursion(**changes: Any) -> Excursion:
    """Return the excursion of :func:`flight`, changed as asked."""
    facts: dict[str, Any] = {
        "chart": "ITT, running",
        "channel": "itt",
        "unit": "degC",
        "side": "above",
        "start_s": 1022.4,
        "end_s": 1093.1,
        "open_ended": False,
        "peak": 718.0,
        "seconds_above": 70.69999999999993,
        "levels": (Level(700, 70.69999999999993), Level(720, 0.0), Level(760, 0.0)),
        "area": "A",
        "area_possible": "A",
        "possible": 1,
        "margin": Margin("B", None, 2.0),
    }
    return Excursion(**{**facts, **changes})


def flight_picture(
    excursions: Sequence[Excursion], *, width: float = 360, height: float = 300, **changes: Any
) -> Picture:
    """Return the picture of :func:`flight` against the running chart."""
    given: dict[str, Any] = {
        "trace": flight(),
        "chart": RUNNING,
        "regimes": REGIMES,
        "unobserved": [GAP],
        "channel": ITT,
    }
    given |= changes
    return run_picture(excursions=excursions, width=width, height=height, **given)


def engine_type(*charts: LimitChart) -> EngineTypeData:
    return EngineTypeData("Invented", (ITT, OIL), charts)


def texts_overlapping(picture: Picture) -> list[tuple[str, str]]:
    """Return the pairs of texts that meet, by a tighter box than the placing uses."""
    boxes = [(text, *_tight(text)) for text in picture.shapes if isinstance(text, Text)]
    pairs = [(a, b) for k, a in enumerate(boxes) for b in boxes[k + 1 :]]
    return [
        (a[0].content, b[0].content) for a, b in pairs if a[1] < b[2] and b[1] < a[2] and a[3] < b[4] and b[3] < a[4]
    ]


def _tight(text: Text) -> tuple[float, float, float, float]:
    width = 0.55 * text.size * len(text.content)
    left = text.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * width
    return left, left + width, text.y - 0.7 * text.size, text.y


def texts_outside(picture: Picture) -> list[str]:
    """Return the texts that run over the picture's edge."""
    tight = [(text.content, *_tight(text)) for text in picture.shapes if isinstance(text, Text)]
    return [
        content
        for content, left, right, top, bottom in tight
        if left < 0 or right > picture.width or top < 0 or bottom > picture.height
    ]


def rects(picture: Picture, role: str) -> list[Rect]:
    return [shape for shape in picture.shapes if isinstance(shape, Rect) and shape.role == role]
