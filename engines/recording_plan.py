"""What is read from a recording: the column of the time, and the columns of the channels with their units."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Literal

from engines.charts import Channel
from engines.errors import TraceError
from engines.recording_columns import (
    Columns,
    channel_matched,
    column_fitting,
    column_unit,
    header_parts,
    header_tests,
    headers_listed,
    plain_name,
)
from engines.recording_times import Kind

TIME = "time_s"
# Headers of a column of plain seconds, as plain_name writes them; the first ones also stand in a row of units.
SECONDS = frozenset({"s", "sec", "secs", "seconds"})
TIME_NAMES = frozenset(
    {"time s", "time", "time sec", "time seconds", "t", "t s"}
    | {"elapsed", "elapsed s", "elapsed seconds", "elapsed time", "time elapsed"}
)


@dataclass(frozen=True)
class Wish:
    """What a caller wants read: the channels, headers and units named for them by hand."""

    channels: tuple[Channel, ...]
    columns: Mapping[str, str]
    units: Mapping[str, str]


@dataclass(frozen=True)
class TimeColumn:
    """The column of the time: plain numbers in ``unit``, or stamps, whose date may stand in a column of its own."""

    index: int
    kind: Literal["number", "stamp", "clock"]
    unit: str = "s"
    date: int | None = None


@dataclass(frozen=True)
class ChannelColumn:
    """A column read as a channel, and its unit."""

    index: int
    channel: Channel
    unit: str


@dataclass(frozen=True)
class Plan:
    """The columns that are read, and the headers of those that are not."""

    time: TimeColumn
    channels: tuple[ChannelColumn, ...]
    unused: tuple[str, ...]


def columns_chosen(table: Columns, wish: Wish) -> dict[str, int]:
    """Return the columns that the caller names by their headers.

    Parameters
    ----------
    table : Columns
        The file's columns.
    wish : Wish
        Its ``columns`` map channels, and ``"time_s"``, to headers.

    Returns
    -------
    dict of str to int
        Channel to index of column.

    Raises
    ------
    TraceError
        If a channel is not one of the engine type, or a header is not in the file or in it twice.
    """
    known = {TIME, *(channel.name for channel in wish.channels)}
    chosen = {}
    for name, header in wish.columns.items():
        if name not in known:
            raise TraceError(f"{name} is not a channel of this engine type; it has {', '.join(sorted(known))}.")
        index = column_fitting(table, header_tests(header), name)
        if index is None:
            raise TraceError(f"There is no column “{header}” for {name}; the file has {headers_listed(table.headers)}.")
        chosen[name] = index
    return chosen


def time_column(table: Columns, chosen: Mapping[str, int], units: Mapping[str, str]) -> TimeColumn:
    """Return the column that tells the time.

    Parameters
    ----------
    table : Columns
        The file's columns.
    chosen : mapping of str to int
        Columns that the caller named; ``"time_s"`` may be among them.
    units : mapping of str to str
        The unit of a time of plain numbers, under ``"time_s"``, where the file does not say.

    Returns
    -------
    TimeColumn
        The one named; else ``time_s``; else the first of ISO 8601 stamps; else the first of clock stamps, with the
        first column of dates where there is one; else numbers under a header such as ``Time`` or ``Elapsed [s]``.

    Raises
    ------
    TraceError
        If there is none, or its cells are no times, or its unit is not known.
    """
    index = chosen[TIME] if TIME in chosen else _time_found(table, set(chosen.values()))
    kind = table.kinds[index]
    if kind == "number":
        return TimeColumn(index, kind, column_unit(table, index, units.get(TIME), "s"))
    if kind == "stamp":
        return TimeColumn(index, kind)
    if kind == "clock":
        return TimeColumn(index, kind, date=next(iter(_of_kind(table, "date", set(chosen.values()))), None))
    raise TraceError(
        f"Column “{table.headers[index]}” does not tell the time; write seconds, 2024-05-01T10:15:30.5 or 10:15:30.5."
    )


def _of_kind(table: Columns, kind: Kind, taken: set[int]) -> list[int]:
    return [k for k, of in enumerate(table.kinds) if of == kind and k not in taken]


def _time_found(table: Columns, taken: set[int]) -> int:
    own = column_fitting(table, header_tests(TIME), TIME)
    if own is not None:
        return own
    stamps = _of_kind(table, "stamp", taken) + _of_kind(table, "clock", taken)
    numbers = [
        k
        for k in _of_kind(table, "number", taken)
        if plain_name(header_parts(table.headers[k])[0]) in TIME_NAMES | SECONDS
    ]
    if not stamps + numbers:
        raise TraceError(
            "No column tells the time: name the column time_s and write seconds, or ISO 8601 or clock stamps in it; "
            f"the file has {headers_listed(table.headers)}."
        )
    return (stamps + numbers)[0]


def channel_columns(
    table: Columns, wish: Wish, chosen: Mapping[str, int], taken: Sequence[int | None]
) -> list[ChannelColumn]:
    """Return the columns that are read as channels.

    Parameters
    ----------
    table : Columns
        The file's columns.
    wish : Wish
        The channels, and units given by hand.
    chosen : mapping of str to int
        Columns that the caller named.
    taken : sequence of int or None
        Columns that tell the time, which no other channel may find.

    Returns
    -------
    list of ChannelColumn
        In the order of the engine type's channels.

    Raises
    ------
    TraceError
        If two columns fit one channel, a unit is not known, or no channel has a column.
    """
    free = _without(table, {*chosen.values(), *taken})
    found = []
    for channel in wish.channels:
        index = chosen[channel.name] if channel.name in chosen else channel_matched(free, channel)
        if index is not None:
            unit = column_unit(table, index, wish.units.get(channel.name), channel.unit)
            found.append(ChannelColumn(index, channel, unit))
    if not found:
        names = ", ".join(channel.name for channel in wish.channels)
        raise TraceError(
            f"No column fits a channel of this engine type ({names}); name the column of each, "
            f"from {headers_listed(table.headers)}."
        )
    return found


def _without(table: Columns, taken: set[int | None]) -> Columns:
    """Return the table with the headers of some columns blanked, so that nothing finds them."""
    headers = tuple("" if k in taken else header for k, header in enumerate(table.headers))
    return Columns(headers, table.kinds, table.units)


def plan_of(table: Columns, wish: Wish) -> Plan:
    """Return what is read from a file and what is not.

    Parameters
    ----------
    table : Columns
        The file's columns.
    wish : Wish
        The channels, and what is given by hand.

    Returns
    -------
    Plan
        Its ``unused`` are in the file's order.
    """
    chosen = columns_chosen(table, wish)
    time = time_column(table, chosen, wish.units)
    channels = channel_columns(table, wish, chosen, (time.index, time.date))
    used = {time.index, time.date, *(column.index for column in channels)}
    unused = tuple(header for k, header in enumerate(table.headers) if header and k not in used)
    return Plan(time, tuple(channels), unused)


def plan_proposed(table: Columns, wish: Wish) -> dict[str, tuple[int, str]]:
    """Return what would be read from a file, leaving out whatever is in doubt instead of refusing it.

    Parameters
    ----------
    table : Columns
        The file's columns.
    wish : Wish
        The channels, and headers that may be in the file.

    Returns
    -------
    dict of str to tuple of (int, str)
        Channel, or ``"time_s"``, to its column and the unit that it would be read in; blank for stamps.
    """
    found: dict[str, tuple[int, str]] = {}
    chosen: dict[str, int] = {}
    for name, header in wish.columns.items():
        with suppress(TraceError):
            chosen |= columns_chosen(table, Wish(wish.channels, {name: header}, {}))
    time: TimeColumn | None = None
    with suppress(TraceError):
        time = time_column(table, chosen, {})
        found[TIME] = (time.index, time.unit if time.kind == "number" else "")
    taken = (time.index, time.date) if time else ()
    for channel in wish.channels:
        with suppress(TraceError):
            (column,) = channel_columns(table, Wish((channel,), {}, {}), chosen, taken)
            found[channel.name] = (column.index, column.unit)
    return found
