"""The picture of a run: one channel against one limit chart, with everything the verdict says of it."""

from collections.abc import Sequence

from engines.charts import Channel, LimitChart
from engines.regimes import RegimeSpan
from engines.traces import Trace
from inspections.drawing.bands import bands_of, levels_of
from inspections.drawing.callouts import callout_shapes, most_severe, point_of, quiet_words
from inspections.drawing.facts import limit_text, sentence_of
from inspections.drawing.labels import spread, text_width
from inspections.drawing.placing import Box, boxed, dense, hidden, text_box
from inspections.drawing.run_layout import Layout, layout_of
from inspections.drawing.run_scene import COLUMNS, MOST_POINTS, Found, Scene, Span, merged, scene_of
from inspections.drawing.series import Series, clipped
from inspections.drawing.shapes import Line, Marker, Picture, Point, Polygon, Polyline, Rect, Shape, Text, points_of
from inspections.drawing.sheet import (
    GAP_EDGE,
    LEVEL,
    LIMIT,
    SHADE,
    THIN,
    TRACE,
    UNSEEN,
    Frame,
    hatch_of,
    level_axis,
    margin_shapes,
    value_axis,
)
from inspections.drawing.words import count_text, seconds_text
from inspections.verdict import Excursion, Unobserved

MOST_SENTENCES = 6
MOST_MARKS = 40
GAP_ROWS = 8
MOST_GAP_LABELS = 12


def _bands(layout: Layout) -> list[Shape]:
    """Return the areas hatched over the times to which the chart applies, and a line at each level."""
    scene, y = layout.scene, layout.y
    end = y.high if scene.chart.side == "above" else y.low
    spans = [(layout.x.at(start), layout.x.at(stop)) for start, stop in scene.judged]
    shapes: list[Shape] = []
    for band in bands_of(scene.chart):
        near, far = y.at(band.near), y.at(end if band.far is None else band.far)
        if band.severity is not None:
            hatch = hatch_of(band.severity)
            for left, right in spans:
                shapes.append(Rect(left, min(near, far), right - left, abs(far - near), hatch=hatch))
    for level in levels_of(scene.chart)[1:]:
        shapes += [Line((left, y.at(level)), (right, y.at(level)), LEVEL, role="level") for left, right in spans]
    limit = y.at(scene.chart.limit)
    return shapes + [Line((left, limit), (right, limit), LIMIT, role="limit") for left, right in spans]


def _turn(layout: Layout) -> list[Shape]:
    """Return a line where the scale of values changes, so that nobody reads slopes across it."""
    if layout.turn is None:
        return []
    y = layout.y.at(layout.turn)
    return [Line((layout.frame.left, y), (layout.frame.right, y), THIN, role="turn")]


def _regimes(layout: Layout) -> list[Shape]:
    """Return a bar along the top, parted where the regime changes, with the regimes' names."""
    bar = layout.regimes + layout.frame.size + 4
    spans = [(layout.x.at(r.start_s), layout.x.at(r.end_s), r.regime) for r in layout.scene.regimes]
    shapes: list[Shape] = []
    for left, right, _ in spans:
        shapes.append(Line((left, bar), (right, bar), THIN, role="regime"))
        shapes += [Line((x, bar), (x, bar + 5), THIN, role="regime") for x in (left, right)]
    return shapes + _regime_names(spans, layout.frame, bar - 4)


def _regime_names(spans: Sequence[tuple[float, float, str]], frame: Frame, baseline: float) -> list[Shape]:
    """Return the regimes' names moved apart; where not all find room, those alone that fit over their own part."""
    widths = [text_width(name, frame.size) + 8 for _, _, name in spans]
    if sum(widths) > frame.margin - 4:
        spans = [span for span, width in zip(spans, widths, strict=True) if span[1] - span[0] >= width]
        widths = [text_width(name, frame.size) + 8 for _, _, name in spans]
    centres = spread([(left + right) / 2 for left, right, _ in spans], widths, 0, frame.margin)
    return [
        Text(centre, baseline, name, frame.size, "middle", role="regime")
        for (_, _, name), centre in zip(spans, centres, strict=True)
    ]


def _placed(layout: Layout, series: Series) -> list[Point]:
    times, values = series.times.tolist(), series.values.tolist()
    return [(round(layout.x.at(t), 2), round(layout.y.at(v), 2)) for t, v in zip(times, values, strict=True)]


def _shades(layout: Layout, whole: Series, thin: Series) -> list[Shape]:
    """Return the surface between the trace and the limit, wherever time beyond it is counted."""
    chart = layout.scene.chart
    shapes: list[Shape] = []
    for span in layout.scene.shaded:
        points = clipped(thin, whole, span)
        beyond = [(t, v if chart.sign * (v - chart.limit) > 0 else chart.limit) for t, v in points]
        if len(set(beyond)) > 1:
            outline = [(beyond[0][0], chart.limit), *beyond, (beyond[-1][0], chart.limit)]
            placed = tuple((round(layout.x.at(t), 2), round(layout.y.at(v), 2)) for t, v in outline)
            shapes.append(Polygon(placed, fill=SHADE, role="beyond"))
    return shapes


def _trace(layout: Layout) -> list[Shape]:
    """Return the shaded surfaces and the trace over them, in as many columns as the points allowed."""
    columns = min(int(layout.frame.right - layout.frame.left), COLUMNS)
    while True:
        shapes = _trace_in(layout, columns)
        if points_of(shapes) <= MOST_POINTS:
            return shapes
        columns //= 2


def _trace_in(layout: Layout, columns: int) -> list[Shape]:
    whole = layout.scene.series
    thin = whole.thinned(columns)
    shades: list[Shape] = []
    lines: list[Shape] = []
    for piece in thin.pieces():
        recorded = whole.between(float(piece.times[0]), float(piece.times[-1]))
        shades += _shades(layout, recorded, piece)
        lines.append(Polyline(tuple(_placed(layout, piece)), TRACE))
    return shades + lines


def _gaps(layout: Layout) -> list[Shape]:
    """Return each gap as a striped break, edges drawn; those less than a column apart as one."""
    shapes: list[Shape] = []
    top, bottom = layout.frame.top, layout.frame.bottom
    for start, end in merged(layout.scene.gaps, layout.scene.column):
        left, right = layout.x.at(start), layout.x.at(end)
        if right - left > 2 * UNSEEN.spacing:
            shapes.append(Rect(left, top, right - left, bottom - top, hatch=UNSEEN, role="gap"))
        shapes += [Line((x, top), (x, bottom), GAP_EDGE, role="gap") for x in (left, right)]
    return shapes


def _gap_labels(layout: Layout, trace: Sequence[Shape]) -> list[Shape]:
    """Return the gaps' lengths, the longest first served, each where neither trace nor another text stands."""
    drawn = [point for shape in trace if isinstance(shape, Polyline) for point in dense(shape.points)]
    shapes: list[Shape] = []
    taken: list[Box] = []
    longest_first = sorted(layout.scene.gaps, key=lambda gap: gap[0] - gap[1])
    for gap in longest_first[:MOST_GAP_LABELS]:
        free = [text for text in _gap_texts(layout, gap) if not hidden(text_box(text), taken, drawn)]
        if free:
            taken.append(text_box(free[0]))
            shapes += boxed(free[0])
    return shapes


def _gap_texts(layout: Layout, gap: Span) -> list[Text]:
    """Return places for a gap's length: over the gap from the far side of the limit on, then beside it."""
    frame, content = layout.frame, f"not observed {seconds_text(gap[1] - gap[0])}"
    half = text_width(content, frame.size) / 2
    middle = layout.x.at((max(gap[0], layout.x.low) + min(gap[1], layout.x.high)) / 2)
    wanted = (middle, middle + half + 8, middle - half - 8)
    places = [min(max(x, frame.left + half + 4), frame.right - half - 4) for x in wanted]
    rows = [frame.bottom - 6 - k * 1.1 * frame.line for k in range(GAP_ROWS)]
    if layout.scene.chart.side == "below":
        rows = [frame.top + frame.line + k * 1.1 * frame.line for k in range(GAP_ROWS)]
    return [Text(x, row, content, frame.size, "middle", role="gap") for x in places for row in rows]


def _peaks(layout: Layout) -> list[Shape]:
    """Return a mark at the peak of each excursion, those without a callout too, as far as marks can be told apart."""
    points = [point_of(excursion, layout.scene) for excursion in most_severe(layout.scene)[:MOST_MARKS]]
    return [Marker(layout.x.at(t), layout.y.at(v), 0.2 * layout.frame.size) for t, v in points]


def _description(scene: Scene) -> str:
    """Return what the picture shows, in sentences."""
    told = [sentence_of(excursion, scene.chart, scene.channel) for excursion in scene.excursions[:MOST_SENTENCES]]
    left = len(scene.excursions) - len(told)
    if left:
        told.append(f"{count_text(left, 'more excursion')} in the table.")
    if not told:
        told = [f"{scene.channel.label}: {quiet_words(scene)}."]
    gaps = [seconds_text(end - start) for start, end in scene.gaps]
    return " ".join(told + ([f"Not observed: {', '.join(gaps[:MOST_SENTENCES])}."] if gaps else []))


def run_picture(  # noqa: PLR0913 - each is a part of the verdict that its callers hold apart
    trace: Trace,
    chart: LimitChart,
    excursions: Sequence[Excursion],
    regimes: Sequence[RegimeSpan],
    unobserved: Sequence[Unobserved],
    *,
    channel: Channel,
    width: float,
    height: float,
    window: Span | None = None,
) -> Picture:
    """Return the picture of one channel over a run, against one limit chart.

    Parameters
    ----------
    trace : Trace
        The run. Its values of the channel must already be in the chart's unit, which may differ from the channel's.
    chart : LimitChart
        The chart.
    excursions : sequence of Excursion
        The verdict's excursions; those of other charts are left out.
    regimes : sequence of RegimeSpan
        The run's regimes; without them the chart is drawn over the whole record.
    unobserved : sequence of Unobserved
        The verdict's unobserved stretches; those of other channels are left out.
    channel : Channel
        The channel.
    width, height : float
        Size of the picture. Below a width of 600 letters are 11 px, otherwise 14 px. [px]
    window : pair of float or None
        First and last time to be shown. Without it the whole record, or the starts alone under a chart that judges
        only those. [s]

    Returns
    -------
    Picture
        At most 2,000 drawn points, every extreme among them.

    Notes
    -----
    Every figure written is the verdict's or a sample's; none is read back from the points drawn.
    """
    scene = scene_of(trace, chart, channel, found=Found(excursions, regimes, unobserved), window=window)
    layout = layout_of(scene, width, height)
    trace_shapes = _trace(layout)
    shapes = [
        *layout.heading,
        *_bands(layout),
        *_turn(layout),
        *_gaps(layout),
        *trace_shapes,
        *_gap_labels(layout, trace_shapes),
        *_regimes(layout),
        *value_axis(layout.frame, layout.y, layout.ticks),
        *level_axis(layout.frame, layout.x, layout.time_ticks, "Time from start of record (min:s)"),
        *margin_shapes(layout.margin, layout.frame),
        *_peaks(layout),
        *callout_shapes(layout.callouts, layout.frame, (layout.x, layout.y), layout.strip),
    ]
    title = f"{channel.label} over the run, with the limit of {limit_text(chart)} ({chart.name})"
    return Picture(width, height, tuple(shapes), title, _description(scene))
