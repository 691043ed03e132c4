"""Random engine types and traces, rich in ties, plateaus, equal times, gaps and values on the line.

Half the cases are of ties: values move by powers of two, so that a float holds each time and value exactly, and
equal means equal to both the engine and the twin. The other half have slopes that no float holds: there the
allowed seconds are stretched a little, since a tie between them and such a time would be settled by its rounding.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st

JUST_UNDER_A_MICROSECOND = Fraction(1, 2**20)
JUST_OVER_A_MICROSECOND = Fraction(1, 2**19)
LIMITS = {"itt": Fraction(10), "n1": Fraction(3)}
UNITS = {"itt": "degC", "n1": "percent"}
ACTION = {"summary": "Look", "before_next_flight": False}
MAX_ROWS = 18


def grid(*values: Fraction | int | str) -> tuple[Fraction, ...]:
    """Return the values as rationals."""
    return tuple(Fraction(value) for value in values)


STEPS = grid(1, 0, "1/4", "1/2", 1, 2, 3, 5, 2 + JUST_UNDER_A_MICROSECOND, 2 + JUST_OVER_A_MICROSECOND)
TOLERANCES = grid(0, 0, "1/4", "1/2", 1)
REJOINS = grid(0, 0, "1/4", 1, 2, 5, 1 - JUST_UNDER_A_MICROSECOND, 1 - JUST_OVER_A_MICROSECOND)
OFFSETS = grid(0, 0, "1/4", "1/2", 1)
RISES = grid("1/4", "1/2", 1, 2)
SECONDS = grid(0, 0, "1/2", 1, 2, 3, 5, JUST_UNDER_A_MICROSECOND, JUST_OVER_A_MICROSECOND)
EXTRAS = grid(0, 0, "1/2", 1, JUST_UNDER_A_MICROSECOND)
READINGS = grid(10, 8, 9, "19/2", 10, "41/4", "21/2", 11, 12, 14)
SPEEDS = grid(0, 1, 2, 3, 4, "3/2", "5/2", "7/2")
MOVES = grid(0, 0, "1/4", "-1/4", "1/2", "-1/2", 1, -1, 2, -2)
STRETCHES = tuple(1 + Fraction(part, 1009) for part in (3, 17, 31))
RANGES = {"itt": (Fraction(8), Fraction(14)), "n1": (Fraction(0), Fraction(4))}
REGIMES = (None, None, ["running"], ["starting"], ["stopping"], ["running", "stopping"])
EVERY_REGIME = ["starting", "running", "stopping"]


Corner = tuple[Fraction, Fraction]


@dataclass(frozen=True)
class Generated:
    """An engine type document with a trace to judge by it."""

    document: dict[str, Any]
    times: list[Fraction]
    columns: dict[str, list[Fraction | None]]


def number(value: Fraction | int) -> float:
    """Return a grid value as the document writes it, exactly."""
    return float(value)


@st.composite
def first_corners(draw: st.DrawFn, linear: bool) -> list[Corner]:
    """Draw the mildest area's edge: offsets beyond the limit, with seconds that never rise."""
    count = draw(st.integers(1, 3))
    seconds = sorted(draw(st.lists(st.sampled_from(SECONDS), min_size=count, max_size=count)), reverse=True)
    offset = draw(st.sampled_from(OFFSETS))
    corners = [(offset, seconds[0])]
    upright = draw(st.integers(0, count)) if linear else 0
    for i in range(1, count):
        if i != upright or seconds[i] == seconds[i - 1]:
            offset += draw(st.sampled_from(RISES))
        corners.append((offset, seconds[i]))
    return corners


@st.composite
def inner_corners(draw: st.DrawFn, outer: list[Corner]) -> list[Corner]:
    """Draw an edge inside another: moved outwards, allowed longer, and cut short at either end."""
    shift, extra = draw(st.sampled_from(OFFSETS)), draw(st.sampled_from(EXTRAS))
    corners = [(offset + shift, seconds + extra) for offset, seconds in outer]
    if len(corners) > 1 and draw(st.booleans()):
        corners = corners[1:]
    if len(corners) > 1 and draw(st.integers(0, 3)) == 3:
        corners = corners[:-1]
    return corners


@st.composite
def areas(draw: st.DrawFn, limit: Fraction, side: str, linear: bool, stretch: Fraction) -> list[dict[str, Any]]:
    """Draw one to three areas, each inside the one before it."""
    edges = [draw(first_corners(linear))]
    for _ in range(draw(st.integers(0, 2))):
        edges.append(draw(inner_corners(edges[-1])))
    sign = 1 if side == "above" else -1
    written = [[{side: number(limit + sign * v), "seconds": number(s * stretch)} for v, s in edge] for edge in edges]
    return [{"name": name, "allowed": edge, "action": ACTION} for name, edge in zip("ABC", written, strict=False)]


@st.composite
def charts(draw: st.DrawFn, name: str, ties: bool) -> dict[str, Any]:
    """Draw a limit chart of one of the channels."""
    channel = draw(st.sampled_from(("itt", "itt", "itt", "n1")))
    side = draw(st.sampled_from(("above", "above", "below")))
    linear = draw(st.booleans())
    stretch = Fraction(1) if ties else draw(st.sampled_from(STRETCHES))
    chart: dict[str, Any] = {
        "name": name,
        "channel": channel,
        "side": side,
        "limit": number(LIMITS[channel]),
        "unit": UNITS[channel],
        "method": draw(st.sampled_from(("time_above", "peak"))),
        "boundary": "linear" if linear else "step",
        "on_boundary": draw(st.sampled_from(("within", "beyond"))),
        "rejoin_s": number(draw(st.sampled_from(REJOINS))),
        "accumulate": draw(st.sampled_from(("excursion", "excursion", "run"))),
        "areas": draw(areas(LIMITS[channel], side, linear, stretch)),
        "source": "invented",
    }
    regimes = draw(st.sampled_from((*REGIMES, EVERY_REGIME)))
    if regimes is not None:
        chart["regimes"] = regimes
    return chart


@st.composite
def documents(draw: st.DrawFn, ties: bool) -> dict[str, Any]:
    """Draw an engine type of two channels and one or two charts."""
    segmented = draw(st.integers(0, 9)) < 9
    channels = [
        {"name": name, "label": name, "unit": unit, "tolerance": number(draw(st.sampled_from(TOLERANCES)))}
        for name, unit in UNITS.items()
    ]
    if draw(st.booleans()):
        channels[0]["max_gap_s"] = 3.0
    document: dict[str, Any] = {"name": "Invented", "channels": channels}
    document["charts"] = [draw(charts(name, ties)) for name in ("first", "second")[: draw(st.integers(1, 2))]]
    if segmented:
        stopping_below = draw(st.sampled_from((2.0, 1.5, 3.0)))
        document["segmentation"] = {
            "speed": "n1", "temperature": "itt", "turning": 1, "idle": 3,
            "stopping_below": stopping_below, "light_off_rise": draw(st.sampled_from((0.5, 1, 2))),
        }  # fmt: skip
    if draw(st.booleans()):
        document["max_gap_s"] = draw(st.sampled_from((1.0, 2.0)))
    return document


@st.composite
def jumping_columns(draw: st.DrawFn, rows: int, values: tuple[Fraction, ...]) -> list[Fraction | None]:
    """Draw a column of plateaus, jumps and missing values."""
    drawn = draw(st.lists(st.sampled_from((*values, "same", "same", None)), min_size=rows, max_size=rows))
    column: list[Fraction | None] = []
    for cell in drawn:
        if isinstance(cell, str):
            column.append(column[-1] if column else values[0])
        else:
            column.append(cell)
    return column


@st.composite
def moving_columns(draw: st.DrawFn, rows: int, channel: str) -> list[Fraction | None]:
    """Draw a column whose neighbouring values differ by nothing or a power of two."""
    low, high = RANGES[channel]
    value = draw(st.sampled_from((LIMITS[channel], low, high)))
    drawn = draw(st.lists(st.sampled_from((*MOVES, None)), min_size=rows, max_size=rows))
    column: list[Fraction | None] = []
    for move in drawn:
        if move is not None:
            value = value + move if low <= value + move <= high else value - move
        column.append(None if move is None else value)
    return column


@st.composite
def trace_columns(draw: st.DrawFn, rows: int, ties: bool) -> dict[str, list[Fraction | None]]:
    """Draw the columns of both channels; now and then one has no value, or is not there."""
    columns: dict[str, list[Fraction | None]]
    if ties:
        columns = {name: draw(moving_columns(rows, name)) for name in LIMITS}
    else:
        columns = {"itt": draw(jumping_columns(rows, READINGS)), "n1": draw(jumping_columns(rows, SPEEDS))}
    lost = draw(st.integers(0, 29))
    if lost in (28, 29):
        del columns["n1" if lost == 28 else "itt"]
    elif lost in (26, 27):
        columns["n1" if lost == 26 else "itt"] = [None] * rows
    return columns


@st.composite
def cases(draw: st.DrawFn) -> Generated:
    """Draw an engine type and a trace."""
    ties = draw(st.booleans())
    document = draw(documents(ties))
    gaps = draw(st.integers(0, MAX_ROWS - 1))
    steps = draw(st.lists(st.sampled_from(STEPS), min_size=gaps, max_size=gaps))
    times = [sum(steps[:i], Fraction(0)) for i in range(len(steps) + 1)]
    return Generated(document, times, draw(trace_columns(len(times), ties)))
