"""Where the parts of a run's picture stand: box, strip of callouts, scales, ticks and margin."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby
from statistics import fmean

from engines.charts import LimitChart
from engines.units import symbol_of
from inspections.drawing.bands import Band, band_names, band_words, bands_of
from inspections.drawing.callouts import Callout, callouts_of
from inspections.drawing.facts import limit_text
from inspections.drawing.labels import EM, LINE, glued, text_width
from inspections.drawing.run_scene import Scene
from inspections.drawing.scale import Scale, clock_ticks, round_step
from inspections.drawing.shapes import Shape
from inspections.drawing.sheet import (
    Frame,
    MarginLabel,
    letter_size,
    level_ticks,
    margin_label,
    margin_shift,
    title_shapes,
)
from inspections.drawing.words import clock_text, quantity

LEAST_SHARE, GIVEN_SHARE = 0.5, 0.58  # of the box's height for the values near and beyond the limit
MOST_SHIFT = 3.0  # of a text in the margin from what it names, in sizes of letters


@dataclass(frozen=True)
class Layout:
    """Everything placed, nothing drawn. [px]"""

    scene: Scene
    frame: Frame
    x: Scale
    y: Scale
    strip: float
    regimes: float
    heading: tuple[Shape, ...]
    callouts: tuple[Callout, ...]
    margin: tuple[MarginLabel, ...]
    ticks: tuple[tuple[float, str], ...]
    turn: float | None

    @property
    def time_ticks(self) -> list[tuple[float, str]]:
        """Return round times and their texts."""
        room = (self.frame.right - self.frame.left) / (4.5 * self.frame.size)
        return [(at, clock_text(at, 1)) for at in clock_ticks(self.x.low, self.x.high, int(room))]


def _value_knots(scene: Scene) -> tuple[float, ...]:
    """Return the turned values between which the scale is straight: two, or three where it is stretched."""
    limit = scene.chart.sign * scene.chart.limit
    low, high = scene.reach
    beyond = max(high - limit, 0.08 * (high - low), 0.02 * abs(limit), 1e-6)
    top, foot = limit + 1.25 * beyond, low - 0.03 * (high - low)
    if scene.chart.side == "below" and high < 0:
        top = min(top, 0.0)
    if scene.chart.side == "above" and low >= 0:
        foot = max(foot, 0.0)
    step = round_step(beyond, 2)
    turn = step * ((limit - 0.5 * beyond) // step)
    if turn - foot <= 0.1 * beyond or (top - turn) / (top - foot) >= LEAST_SHARE:
        return min(foot, limit - 0.5 * beyond), top
    return foot, turn, top


def _value_scale(scene: Scene, top: float, bottom: float) -> Scale:
    """Return the scale of values, upward on the page whatever the side of the limit."""
    knots = _value_knots(scene)
    shares = (0.0, 1.0) if len(knots) == 2 else (0.0, 1 - GIVEN_SHARE, 1.0)
    if scene.chart.side == "above":
        return Scale(knots, tuple(bottom + (top - bottom) * share for share in shares))
    values = tuple(-knot for knot in reversed(knots))
    return Scale(values, tuple(top + (bottom - top) * share for share in reversed(shares)))


def _margin(scene: Scene, scale: Scale, size: float, letters: int) -> list[MarginLabel]:
    """Return the texts of the margin: what each band calls for, or the areas' names alone where that is too much."""
    limit = margin_label(scale.at(scene.chart.limit), f"Limit {glued(limit_text(scene.chart))}", letters, bold=True)
    turn = [
        margin_label(scale.at(value), f"scale changes at {glued(quantity(value, scene.chart.unit))}", letters)
        for value in scale.values[1:-1]
    ]
    full = [limit, *_band_labels(scene, scale, letters, band_words), *turn]
    if margin_shift(full, size, *sorted((scale.pixels[0], scale.pixels[-1]))) <= MOST_SHIFT * size:
        return full
    return [limit, *_band_labels(scene, scale, letters, band_names), *turn]


def _band_labels(
    scene: Scene, scale: Scale, letters: int, write: Callable[[Band, LimitChart], str]
) -> list[MarginLabel]:
    """Return a text for each band that calls for something, neighbours that say the same taken together."""
    written = [(write(band, scene.chart), _middle(band, scene, scale)) for band in bands_of(scene.chart)]
    labels: list[MarginLabel] = []
    for text, same in groupby(written, key=lambda pair: pair[0]):
        parts = ", ".join(glued(part) for part in text.split(", "))
        labels += [margin_label(fmean(y for _, y in same), parts, letters)] if parts else []
    return labels


def _middle(band: Band, scene: Scene, scale: Scale) -> float:
    end = scale.high if scene.chart.side == "above" else scale.low
    far = end if band.far is None else band.far
    return (scale.at(band.near) + scale.at(far)) / 2


def layout_of(scene: Scene, width: float, height: float) -> Layout:
    """Return where everything stands.

    Parameters
    ----------
    scene : Scene
        What the picture shows.
    width, height : float
        Size of the picture. [px]

    Returns
    -------
    Layout
        Box, scales, callouts, margin and ticks.
    """
    size = letter_size(width)
    heading = title_shapes(f"{scene.channel.label}, {symbol_of(scene.chart.unit)}", width, size)
    callouts = callouts_of(scene, width, size)
    line = size * LINE
    regimes = line * len(heading) + 4
    top = regimes + (1.4 * line if scene.regimes else 4)
    strip = line * max(len(callout.lines) for callout in callouts) + 8
    bottom = height - 2 * line - 10
    above = scene.chart.side == "above"
    box = (top + strip, bottom) if above else (top, bottom - strip)
    y = _value_scale(scene, *box)
    ticks = level_ticks(scene.chart, y, size)
    letters = int(0.24 * width / (size * EM))
    margin = _margin(scene, y, size, letters)
    left = max(text_width(text, size) for _, text in ticks) + 9
    right = width - max(label.width(size) for label in margin) - 12
    frame = Frame(left, right, box[0], box[1], size, margin=width - 4, foot=bottom)
    return Layout(
        scene=scene,
        frame=frame,
        x=Scale(scene.window, (left, right)),
        y=y,
        strip=top if above else box[1],
        regimes=regimes,
        heading=tuple(heading),
        callouts=callouts,
        margin=tuple(margin),
        ticks=tuple(ticks),
        turn=y.values[1] if len(y.values) == 3 else None,
    )
