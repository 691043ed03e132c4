"""The picture of one excursion as a printed chart shows it: time on one axis, value on the other."""

from collections.abc import Sequence

import numpy as np

from engines.charts import Channel, LimitChart
from engines.units import symbol_of
from inspections.drawing.bands import Band, bands_of, levels_of
from inspections.drawing.curve_sheet import CLOCK_FROM, Corner, Sheet, beyond_scale, time_scale, time_ticks
from inspections.drawing.facts import area_words, beyond_word, duration_text, limit_text, sentence_of, value_text
from inspections.drawing.labels import BOLD_EM, LINE, text_width, wrapped
from inspections.drawing.placing import Box, boxed, dense, freest, lies_in, text_box
from inspections.drawing.series import thinned_rows
from inspections.drawing.shapes import Anchor, Line, Marker, Picture, Point, Polygon, Polyline, Shape, Stroke, Text
from inspections.drawing.sheet import (
    LEVEL,
    LIMIT,
    THIN,
    Frame,
    hatch_of,
    letter_size,
    level_axis,
    level_ticks,
    title_shapes,
    value_axis,
)
from inspections.drawing.words import seconds_text, sentence_case
from inspections.verdict import Excursion

CURVE = Stroke("ink", 2.6)
BY_PEAK = Stroke("blue", 2.2, (8.0, 3.0, 2.0, 3.0))
EDGE = Stroke("ink", 1.2)
COLUMNS = 200
RECORDED = "as recorded"
SHIFTS = (-0.6, 1.5, -1.6, 2.5, -2.6, 3.5)  # of a text from the point it names, in sizes of letters
PLACES = (0.5, 0.3, 0.7, 0.15, 0.85)  # of a surface, tried in turn for its name


def _surface(band: Band, place: int, sheet: Sheet) -> list[Corner]:
    """Return the corners of the times and values of one band that one area and none more severe takes."""
    allowed = band.allowed[place]
    if allowed is None:
        return []
    far, last = sheet.end if band.far is None else band.far, sheet.x.high
    following = band.allowed[place + 1] if place + 1 < len(band.allowed) else None
    right = (last, last) if following is None else following
    if right == allowed:
        return []
    return [(allowed[0], band.near), (right[0], band.near), (right[1], far), (allowed[1], far), (allowed[0], band.near)]


def _edge(bands: Sequence[Band], place: int, sheet: Sheet) -> list[Corner]:
    """Return the corners of an area's edge, from the end of the time axis to the end of the value axis."""
    corners: list[Corner] = []
    for band in bands:
        allowed = band.allowed[place]
        if allowed is not None:
            corners += [] if corners else [(sheet.x.high, band.near)]
            corners += [(allowed[0], band.near), (allowed[1], sheet.end if band.far is None else band.far)]
    return corners


def _surfaces(sheet: Sheet) -> list[list[list[Corner]]]:
    """Return for each area of the chart the corners of its surfaces."""
    bands = bands_of(sheet.chart)
    return [
        [corners for band in bands if (corners := _surface(band, place, sheet))]
        for place in range(len(sheet.chart.areas))
    ]


def _areas(sheet: Sheet) -> list[Shape]:
    """Return every area hatched, its edge drawn."""
    bands, frame = bands_of(sheet.chart), sheet.frame
    shapes: list[Shape] = []
    for place, surfaces in enumerate(_surfaces(sheet)):
        shapes += [Polygon(sheet.placed(corners), hatch=hatch_of(place)) for corners in surfaces]
    for place in range(len(sheet.chart.areas)):
        shapes.append(Polyline(sheet.placed(_edge(bands, place, sheet)), EDGE, role="edge"))
    for level in levels_of(sheet.chart)[1:]:
        shapes.append(Line((frame.left, sheet.y.at(level)), (frame.right, sheet.y.at(level)), LEVEL, role="level"))
    limit = sheet.y.at(sheet.chart.limit)
    return [*shapes, Line((frame.left, limit), (frame.right, limit), LIMIT, role="limit")]


def _names(sheet: Sheet, taken: Sequence[Box], *drawn: Sequence[Point]) -> list[Shape]:
    """Return each area's name in its largest surface, where it covers neither the curve nor another name."""
    shapes: list[Shape] = []
    taken = list(taken)
    for area, surfaces in zip(sheet.chart.areas, _surfaces(sheet), strict=True):
        tried = [text for surface in _by_size(surfaces, sheet) for text in _tried(surface, area.name, sheet)]
        if tried:
            text = freest([text for text in tried if lies_in(sheet.frame, text)] or tried, taken, *drawn)
            taken.append(text_box(text))
            shapes += boxed(text)
    return shapes


def _by_size(surfaces: Sequence[list[Corner]], sheet: Sheet) -> list[list[Corner]]:
    """Return surfaces, those first that hold the largest text, of equals those nearest the limit."""

    def extent(corners: list[Corner]) -> int:
        xs, ys = [sheet.x.at(time) for time, _ in corners], [sheet.y.at(value) for _, value in corners]
        return round(min((max(xs) - min(xs)) / 3, max(ys) - min(ys)))

    return sorted(surfaces, key=extent, reverse=True)


def _tried(surface: list[Corner], name: str, sheet: Sheet) -> list[Text]:
    """Return places for an area's name within a surface."""
    size = sheet.frame.size
    corners = [(sheet.x.at(time), sheet.y.at(value)) for time, value in surface]
    (x0, y0), (x1, _), (x2, y2), (x3, _) = corners[:4]
    return [
        Text(
            (1 - across) * (x0 + up * (x3 - x0)) + across * (x1 + up * (x2 - x1)),
            y0 + up * (y2 - y0) + 0.35 * size,
            f"Area {name}",
            size,
            "middle",
            bold=True,
        )
        for across in PLACES
        for up in PLACES
    ]


def _thinned(points: Sequence[tuple[float, float]]) -> list[Corner]:
    """Return a duration curve as corners, few enough to draw."""
    values, seconds = (np.array(column, dtype=float) for column in zip(*points, strict=True))
    rows = thinned_rows(np.abs(values - values[0]), seconds, COLUMNS)
    return list(zip(seconds[rows].tolist(), values[rows].tolist(), strict=True))


def _curve(sheet: Sheet, corners: Sequence[Corner]) -> list[Polyline]:
    """Return the excursion's curve, and the rectangle it is judged as where the chart is read by its peak."""
    lines = [Polyline(sheet.placed(corners), CURVE, role="curve")]
    if sheet.chart.method == "peak":
        longest, peak = corners[0][0], corners[-1][1]
        box = [(longest, sheet.chart.limit), (longest, peak), (0.0, peak)]
        lines.append(Polyline(sheet.placed(box), BY_PEAK, role="by-peak"))
    return lines


def _marks(sheet: Sheet, corners: Sequence[Corner]) -> list[tuple[Corner, str]]:
    """Return the points that the verdict hangs on, with words: the curve's ends, or the corner it is judged by."""
    chart, (longest, _), (_, peak) = sheet.chart, corners[0], corners[-1]
    lasting, worst = duration_text(longest, chart), value_text(peak, chart)
    if chart.method == "peak":
        return [((longest, peak), f"judged as {lasting} at {worst}"), (corners[len(corners) // 2], RECORDED)]
    return [((0.0, peak), worst), ((longest, chart.limit), lasting)]


def _mark_shapes(sheet: Sheet, corners: Sequence[Corner], limit: Text, *drawn: Sequence[Point]) -> list[Shape]:
    """Return the marks' words where they cover no line, and a mark at each point but the curve's own name."""
    shapes: list[Shape] = []
    taken = [text_box(limit)]
    for (time, value), words in _marks(sheet, corners):
        x, y = sheet.x.at(time), sheet.y.at(value)
        text = freest(_beside(sheet.frame, x, y, words), taken, *drawn)
        taken.append(text_box(text))
        shapes += [*boxed(text), *([] if words == RECORDED else [Marker(x, y, 0.32 * sheet.frame.size)])]
    return shapes


def _beside(frame: Frame, x: float, y: float, words: str) -> list[Text]:
    """Return places for words around a point, those that lie in the box if any do."""
    away, size = 0.7 * frame.size, frame.size
    ends: list[tuple[float, Anchor]] = [(x + away, "start"), (x - away, "end"), (x, "middle")]
    texts = [Text(at, y + shift * size, words, size, anchor) for shift in SHIFTS for at, anchor in ends]
    return [text for text in texts if lies_in(frame, text)] or texts


def _turn(sheet: Sheet) -> list[Shape]:
    """Return a line where the scale of time changes, with its words."""
    if sheet.turn is None:
        return []
    x, frame = sheet.x.at(sheet.turn), sheet.frame
    text = Text(x, frame.top - 4, f"scale changes at {seconds_text(sheet.turn)}", frame.size, "middle")
    return [Line((x, frame.top), (x, frame.bottom), THIN, role="turn"), text]


def _verdict(excursion: Excursion, chart: LimitChart) -> str:
    parts = []
    if excursion.seconds_above is not None:
        least = "at least " if excursion.open_ended else ""
        parts.append(f"{least}{duration_text(excursion.seconds_above, chart)} {beyond_word(chart)} {limit_text(chart)}")
    if excursion.peak is not None:
        parts.append(f"{'peak' if chart.side == 'above' else 'lowest'} {value_text(excursion.peak, chart)}")
    return sentence_case(": ".join([*([", ".join(parts)] if parts else []), area_words(excursion)]))


def _limit_label(sheet: Sheet) -> Text:
    size = sheet.frame.size
    below = 1.2 * size if sheet.chart.side == "above" else -0.5 * size
    y = sheet.y.at(sheet.chart.limit) + below
    return Text(sheet.frame.right - 4, y, f"Limit {limit_text(sheet.chart)}", size, "end", bold=True)


def _sheet(chart: LimitChart, corners: Sequence[Corner], top: float, width: float, height: float) -> Sheet:
    size = letter_size(width)
    bottom = height - 2 * LINE * size - 10
    y = beyond_scale(chart, corners[-1][1], top, bottom, size)
    left = max(text_width(text, size) for _, text in level_ticks(chart, y, size)) + 9
    right = width - 2 * size
    frame = Frame(left, right, top, bottom, size, margin=width - 4, foot=bottom)
    return Sheet(chart, frame, time_scale(chart, corners[0][0], left, right), y)


def curve_picture(
    points: Sequence[tuple[float, float]],
    chart: LimitChart,
    excursion: Excursion,
    channel: Channel,
    *,
    size: tuple[float, float],
) -> Picture:
    """Return one excursion's duration curve over the areas of its chart.

    Parameters
    ----------
    points : sequence of (float, float)
        Corners of the curve from the limit outward: a value, and the time observed beyond it. At least one.
        [chart's unit, s]
    chart : LimitChart
        The chart.
    excursion : Excursion
        The excursion, whose figures are written.
    channel : Channel
        The channel, for its label.
    size : pair of float
        Width and height of the picture. [px]

    Returns
    -------
    Picture
        Under a chart read by its peak the rectangle that is judged is drawn beside the curve.

    Raises
    ------
    ValueError
        If the curve has no points.
    """
    if not points:
        raise ValueError("A duration curve needs at least one point: a value and the seconds beyond it.")
    width, height = size
    corners = _thinned(points)
    letters = letter_size(width)
    heading = title_shapes(f"{channel.label}, {symbol_of(chart.unit)}", width, letters)
    told = wrapped(_verdict(excursion, chart), int((width - 8) / (letters * BOLD_EM)))
    first = len(heading) * LINE * letters + letters + 6
    words = [Text(4, first + k * LINE * letters, line, letters, bold=True) for k, line in enumerate(told)]
    sheet = _sheet(chart, corners, words[-1].y + 2.2 * letters, width, height)
    areas, curve, limit = _areas(sheet), _curve(sheet, corners), _limit_label(sheet)
    drawn = [_close(curve), _close(areas)]
    marks = _mark_shapes(sheet, corners, limit, *drawn)
    taken = [text_box(text) for text in (limit, *marks) if isinstance(text, Text)]
    shapes = [
        *heading,
        *words,
        *areas,
        *_turn(sheet),
        *_names(sheet, taken, *drawn),
        *curve,
        *marks,
        limit,
        *value_axis(sheet.frame, sheet.y, level_ticks(chart, sheet.y, letters)),
        *level_axis(sheet.frame, sheet.x, time_ticks(sheet), _time_title(sheet)),
    ]
    title = f"{channel.label}: one excursion on the chart {chart.name}"
    return Picture(width, height, tuple(shapes), title, sentence_of(excursion, chart, channel))


def _close(shapes: Sequence[Shape]) -> list[Point]:
    """Return close points of every line among some shapes."""
    return [point for shape in shapes if isinstance(shape, Polyline) for point in dense(shape.points)]


def _time_title(sheet: Sheet) -> str:
    unit = "min:s" if sheet.x.high >= CLOCK_FROM else "s"
    return f"Time {beyond_word(sheet.chart)} the value ({unit})"
