"""The duration curve of one excursion as points to draw, from the samples as recorded."""

from collections.abc import Sequence

import numpy as np

from engines.charts import LimitChart
from engines.traces import Floats, Trace
from inspections.curve import Curve
from inspections.drawing.series import Series, clipped
from inspections.verdict import Excursion, Unobserved

MOST_VALUES = 200


def duration_points(
    trace: Trace, chart: LimitChart, excursion: Excursion, unobserved: Sequence[Unobserved]
) -> list[tuple[float, float]]:
    """Return how long an excursion was beyond each value, from the limit outward.

    Parameters
    ----------
    trace : Trace
        The run, with the channel's values already in the chart's unit.
    chart : LimitChart
        The chart.
    excursion : Excursion
        One of its excursions, found in this trace.
    unobserved : sequence of Unobserved
        The verdict's unobserved stretches; those of other channels are left out.

    Returns
    -------
    list of (float, float)
        Values and times beyond them, two points at a value that was held for a time; none where no sample is beyond
        the limit or the excursion's times are not known. [chart's unit, s]

    Notes
    -----
    At most 200 values of the record are taken; the limit and the peak are among them.
    """
    if excursion.start_s is None or excursion.end_s is None:
        return []
    gaps = [(u.start_s, u.end_s) for u in unobserved if u.channel == chart.channel]
    whole = (float(trace.times[0]), float(trace.times[-1]))
    series = Series.of(trace.times, trace.channels[chart.channel], gaps, whole)
    limit = chart.sign * chart.limit
    links = [_links(piece, chart.sign, (excursion.start_s, excursion.end_s)) for piece in series.pieces()]
    first, last, seconds = np.concatenate(links, axis=1)
    low, high = np.minimum(first, last), np.maximum(first, last)
    level = high >= limit if chart.on_boundary == "beyond" else high > limit
    share = np.divide(high - limit, high - low, out=level.astype(float), where=high > low).clip(0, 1)
    kept = share > 0
    pieces = np.maximum(low, limit)[kept], high[kept], (seconds * share)[kept]
    return _points(*pieces, limit=limit, sign=chart.sign) if kept.any() else []


def _links(piece: Series, sign: float, span: tuple[float, float]) -> Floats:
    """Return the values before and after each straight link of a stretch, turned, and the time it takes."""
    times, values = np.array(clipped(piece, piece, span), dtype=float).reshape(-1, 2).T
    return np.array([sign * values[:-1], sign * values[1:], np.diff(times)])


def _points(low: Floats, high: Floats, seconds: Floats, *, limit: float, sign: float) -> list[tuple[float, float]]:
    values = np.unique(np.concatenate(([limit], low, high)))
    rows = np.unique(np.linspace(0, values.size - 1, min(values.size, MOST_VALUES)).astype(int))
    at_or_beyond, beyond = (Curve(low, high, seconds, limit, is_closed) for is_closed in (True, False))
    points = [
        (sign * value, curve.beyond(value)) for value in values[rows].tolist() for curve in (at_or_beyond, beyond)
    ]
    return list(dict.fromkeys(points))
