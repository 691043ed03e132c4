"""Writing what channels read as a recorder would: noise, resolution, drop-outs, and its own layout of the file."""

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from engines.traces import Floats
from logbook.demo.draws import Draws

NOISE = {
    "itt": 0.6, "n1": 0.05, "np": 1.5, "torque": 0.3,
    "oil_temp": 0.25, "oil_press": 0.5, "fuel_flow": 1.2, "bus_volts": 0.04, "altitude": 6.0, "oat": 0.1,
}  # fmt: skip
DECIMALS = {"n1": 1, "torque": 1, "bus_volts": 1}  # of the sensor's resolution; the others read whole units
BELOW_NOTHING = {"oat"}  # channels that read below 0
DROP_OUTS_ONE_IN = 2500  # cells that a recorder loses now and then

Recorder = Mapping[str, Any]


def cells_of(values: Floats, channel: str, column: Mapping[str, Any], draws: Draws) -> list[str]:
    """Return the cells of one channel.

    Parameters
    ----------
    values : array of float, shape (n,)
        What the sensor meets; NaN where it is cut off. [channel's unit]
    channel : str
        Whose noise and resolution it has.
    column : mapping
        ``factor`` and ``offset`` give the unit that the recorder writes, ``missing`` what it writes for nothing.
    draws : Draws
        Noise and drop-outs.

    Returns
    -------
    list of str, n long
        Numbers with a decimal point.
    """
    floor = -np.inf if channel in BELOW_NOTHING else 0.0
    noisy = np.maximum(values + draws.noise(values.size, NOISE[channel]), floor)
    places = DECIMALS.get(channel, 0)
    read = np.round(noisy, places) * column.get("factor", 1.0) + column.get("offset", 0.0)
    lost = draws.chosen(values.size, DROP_OUTS_ONE_IN) | np.isnan(values)
    texts = (f"{value:.{places}f}" for value in read.tolist())
    missing = column.get("missing", "")
    return [missing if is_lost else text for text, is_lost in zip(texts, lost.tolist(), strict=True)]


def clock_of(times: Floats, how: str, started_at: datetime) -> list[str]:
    """Return the cells of the time.

    Parameters
    ----------
    times : array of float, shape (n,)
        From the first row. [s]
    how : str
        ``"seconds"``, ``"clock"`` (time of day, past midnight from 0 again) or ``"stamp"`` (ISO 8601 in UTC).
    started_at : datetime
        When the first row was recorded.

    Returns
    -------
    list of str, n long

    Raises
    ------
    ValueError
        If ``how`` is none of these.
    """
    if how == "seconds":
        return [f"{time:.2f}" for time in times.tolist()]
    moments = (started_at + timedelta(seconds=time) for time in times.tolist())
    if how == "clock":
        return [f"{moment:%H:%M:%S}.{moment.microsecond // 10_000:02d}" for moment in moments]
    if how == "stamp":
        return [f"{moment:%Y-%m-%dT%H:%M:%S}.{moment.microsecond // 1000:03d}Z" for moment in moments]
    raise ValueError(f"time must be written as seconds, clock or stamp, not {how!r}")


def file_text(recorder: Recorder, columns: Sequence[Sequence[str]], facts: Mapping[str, str]) -> str:
    """Return the text of a file.

    Parameters
    ----------
    recorder : mapping
        ``preamble`` lines, ``delimiter``, ``decimal`` mark, ``columns`` with their ``header`` and ``unit``,
        ``unit_row``, ``line_end``, ``byte_order_mark``.
    columns : sequence of sequence of str
        The cells of the time and of each column, all equally many.
    facts : mapping of str to str
        What the preamble names in braces.

    Returns
    -------
    str
        Ending with the end of a line.
    """
    delimiter, end = recorder.get("delimiter", ","), recorder.get("line_end", "\n")
    rows = [delimiter.join(row) for row in zip(*columns, strict=True)]
    if recorder.get("decimal", ".") == ",":
        rows = [re.sub(r"(?<=\d)\.(?=\d)", ",", row) for row in rows]
    mark = "\ufeff" if recorder.get("byte_order_mark", False) else ""
    return mark + "".join(line + end for line in [*_head(recorder, delimiter, facts), *rows])


def _head(recorder: Recorder, delimiter: str, facts: Mapping[str, str]) -> list[str]:
    """Return the lines above the numbers: the preamble, the header, the units under it."""
    columns = [recorder["time"], *recorder["columns"]]
    under = ("header", "unit") if recorder.get("unit_row", False) else ("header",)
    preamble = [line.format_map(facts) for line in recorder.get("preamble", ())]
    return [*preamble, *(delimiter.join(column[row] for column in columns) for row in under)]
