"""Callouts: what each excursion was, written outside the box and led to its peak."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isclose

from inspections.drawing.facts import area_words, beyond_word, duration_text, limit_text, possible_only, value_text
from inspections.drawing.labels import spread, text_width
from inspections.drawing.run_scene import Scene
from inspections.drawing.scale import Scale
from inspections.drawing.shapes import Line, Marker, Shape, Stroke, Text
from inspections.drawing.sheet import Frame
from inspections.drawing.words import clock_text, count_text, sentence_case
from inspections.verdict import Excursion

APART = 14.0  # between two callouts [px]
MOST = 4
LEADER = Stroke("ink", 1.0)

Point = tuple[float, float]


@dataclass(frozen=True)
class Callout:
    """Lines of text and the point of the record they speak of. [px; s, chart's unit]"""

    lines: tuple[str, ...]
    point: Point | None
    width: float


def _callout(lines: Sequence[str], point: Point | None, size: float) -> Callout:
    return Callout(tuple(lines), point, max(text_width(line, size, bold=True) for line in lines))


def point_of(excursion: Excursion, scene: Scene) -> Point:
    """Return where an excursion's peak stands.

    Parameters
    ----------
    excursion : Excursion
        One excursion of the scene.
    scene : Scene
        What the picture shows.

    Returns
    -------
    pair of float
        Time and value: the worst sample's; at the nearer edge where a regime's edge cuts the peak between two samples;
        midway on the limit where no value is known. [s, chart's unit]
    """
    span, peak = scene.span_of(excursion), excursion.peak
    worst = scene.peak_of(span)
    if worst is not None and (peak is None or isclose(worst[1], peak, rel_tol=1e-9)):
        return worst
    return (sum(span) / 2, scene.chart.limit) if peak is None else (scene.edge_near(span, peak), peak)


def _lines(excursion: Excursion, scene: Scene) -> list[str]:
    limit = f"{beyond_word(scene.chart)} {limit_text(scene.chart)}"
    last = sentence_case(area_words(excursion))
    if possible_only(excursion):
        start, end = scene.span_of(excursion)
        return [f"May have been {limit}", f"{clock_text(start)} to {clock_text(end)}", last]
    at, value = point_of(excursion, scene)
    word = "Peak" if scene.chart.side == "above" else "Lowest"
    peak = value_text(value, scene.chart)
    lasting = duration_text(excursion.seconds_above or 0.0, scene.chart)
    least = "at least " if excursion.open_ended else ""
    return [f"{word} {peak} at {clock_text(at)}", f"{least}{lasting} {limit}", last]


def most_severe(scene: Scene) -> list[Excursion]:
    """Return the excursions of a scene, the most severe first.

    Parameters
    ----------
    scene : Scene
        What the picture shows.

    Returns
    -------
    list of Excursion
        By the area at worst, then the area proven, then the time beyond the limit.
    """
    return sorted(scene.excursions, key=lambda excursion: _severity(excursion, scene), reverse=True)


def _severity(excursion: Excursion, scene: Scene) -> tuple[int, int, float]:
    places = {area.name: place for place, area in enumerate(scene.chart.areas)}
    worst, proven = places.get(excursion.area_possible or "", -1), places.get(excursion.area or "", -1)
    return worst, proven, excursion.seconds_above or 0.0


def quiet_words(scene: Scene) -> str:
    """Return what can be said of a record in which nothing was found beyond the limit.

    Parameters
    ----------
    scene : Scene
        What the picture shows.

    Returns
    -------
    str
        For example ``"no sample above 700 °C while running or stopping"``: of gaps it says nothing.
    """
    chart = scene.chart
    while_judged = f" while {' or '.join(chart.regimes)}" if chart.regimes and scene.regimes else ""
    return f"no sample {beyond_word(chart)} {limit_text(chart)}{while_judged}"


def _quiet(scene: Scene, size: float) -> Callout:
    """Return the callout of a record that never went beyond the limit."""
    if scene.worst is None:
        return _callout(["No valid sample of this channel"], None, size)
    at, value = scene.worst
    word = "Highest" if scene.chart.side == "above" else "Lowest"
    highest = f"{word} {value_text(value, scene.chart)} at {clock_text(at)}"
    return _callout([highest, sentence_case(quiet_words(scene))], scene.worst, size)


def callouts_of(scene: Scene, width: float, size: float) -> tuple[Callout, ...]:
    """Return the callouts that fit beside each other, the most severe excursions first chosen, in order of time.

    Parameters
    ----------
    scene : Scene
        What the picture shows.
    width : float
        Width of the picture. [px]
    size : float
        Size of letters. [px]

    Returns
    -------
    tuple of Callout
        At least one; the last says how many excursions were left to the table.
    """
    ranked = most_severe(scene)
    chosen: list[Callout] = []
    room = width - 8
    for excursion in ranked[:MOST]:
        callout = _callout(_lines(excursion, scene), point_of(excursion, scene), size)
        room -= callout.width + APART
        if chosen and room < -APART:
            break
        chosen.append(callout)
    if not chosen:
        return (_quiet(scene, size),)
    left = len(ranked) - len(chosen)
    if left:
        more = f"and {count_text(left, 'other')} in the table"
        chosen[-1] = _callout([*chosen[-1].lines, more], chosen[-1].point, size)
    return tuple(sorted(chosen, key=lambda callout: callout.point or (0.0, 0.0)))


def callout_shapes(callouts: Sequence[Callout], frame: Frame, scales: tuple[Scale, Scale], strip: float) -> list[Shape]:
    """Return the callouts' texts in their strip, with leaders and marks at the points they speak of.

    Parameters
    ----------
    callouts : sequence of Callout
        The callouts, in order of time.
    frame : Frame
        The box of values.
    scales : pair of Scale
        Scales of time and of values.
    strip : float
        Top of the strip. [px]

    Returns
    -------
    list of Shape
        Leaders, marks and texts.
    """
    x, y = scales
    wanted = [x.at(callout.point[0]) if callout.point else (frame.left + frame.right) / 2 for callout in callouts]
    widths = [callout.width + APART for callout in callouts]
    centres = spread(wanted, widths, 4 - APART / 2, frame.margin + APART / 2)
    shapes: list[Shape] = []
    for callout, centre in zip(callouts, centres, strict=True):
        if callout.point:
            mark = (x.at(callout.point[0]), y.at(callout.point[1]))
            reach = callout.width / 2 - frame.size
            side = min(max(mark[0], centre - reach), centre + reach)
            foot = strip + len(callout.lines) * frame.line + 3 if strip < frame.top else strip + 3
            shapes += [Line((side, foot), mark, LEADER, role="leader"), Marker(*mark, 0.32 * frame.size)]
        for k, line in enumerate(callout.lines):
            baseline = strip + 2 + (k + 0.85) * frame.line
            shapes.append(Text(centre, baseline, line, frame.size, "middle", bold=True, role="callout"))
    return shapes
