"""Recorded traces of the demo: a scenario and a seed in, the file that a recorder would have written out."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

import numpy as np

from engines.traces import Floats
from logbook.demo.course import Course
from logbook.demo.draws import Draws
from logbook.demo.recorder import cells_of, clock_of, file_text
from logbook.demo.runs import course_of
from logbook.demo.turbine import RATE_HZ, channels_of, model_times

AIR_COLUMNS = [{"channel": name, "header": name, "unit": unit} for name, unit in (("oat", "degC"), ("altitude", "ft"))]
COURSE_STREAM = 0  # the columns have the streams from 1 on


def trace_csv(scenario: Mapping[str, Any], seed: int, engine: Mapping[str, Any]) -> str:
    """Return the recorded trace of a run as its recorder would write it.

    Parameters
    ----------
    scenario : mapping
        As :func:`logbook.demo.runs.course_of` reads it; ``started_at`` is when the first row was recorded, as
        an ISO 8601 text with its offset.
    seed : int
        The same seed gives the same text, on every machine.
    engine : mapping
        ``serial``; ``trim``, how this engine differs from its type; ``recorder``, how it writes.

    Returns
    -------
    str
        The text of a CSV file.

    Raises
    ------
    ValueError
        If the sort of run, the way to write the time, or the rate is not known.
    """
    course = course_of(scenario, Draws(seed, COURSE_STREAM))
    recorder = engine["recorder"]
    if course.altitude:
        recorder = {**recorder, "columns": [*recorder["columns"], *AIR_COLUMNS]}
    stride, rest = divmod(RATE_HZ, recorder["rate_hz"])
    if rest:
        raise ValueError(f"rate_hz must be 1, 2 or {RATE_HZ}, not {recorder['rate_hz']}")
    times = model_times(course.seconds)[::stride]
    values = {
        name: _cut_off(course, name, times, channel[::stride])
        for name, channel in channels_of(course, engine.get("trim", {})).items()
    }
    started_at = datetime.fromisoformat(scenario["started_at"])
    columns = [clock_of(times, recorder["time"]["as"], started_at)]
    for stream, column in enumerate(recorder["columns"], start=COURSE_STREAM + 1):
        if "text" in column:
            columns.append([column["text"]] * times.size)
        else:
            name = column["channel"]
            columns.append(cells_of(values[name], name, column, Draws(seed, stream)))
    return file_text(recorder, columns, {"serial": engine["serial"], "started_at": f"{started_at:%Y-%m-%d %H:%M}"})


def _cut_off(course: Course, channel: str, times: Floats, values: Floats) -> Floats:
    """Return the values of a channel without those that its outage took."""
    if course.outage is None or course.outage[0] != channel:
        return values
    _, start_s, end_s = course.outage
    return np.where((times >= start_s) & (times < end_s), np.nan, values)
