"""Runs and traces for tests: rows a second apart, written as a recorder would."""

import datetime
import io
import uuid
from collections.abc import Sequence
from typing import Any

from engines.evidence import ReadingFacts, RunFacts

STARTED_AT = datetime.datetime(2026, 5, 4, 7, 30, tzinfo=datetime.UTC)
DAY = datetime.timedelta(days=1)


def facts(*readings: tuple[str, float | None, float | None], **changes: Any) -> RunFacts:
    """Return a ground run with readings (chart, peak, seconds)."""
    stated = {"id": uuid.uuid4(), "kind": "ground_run", "started_at": STARTED_AT} | changes
    return RunFacts(**stated, readings=tuple(ReadingFacts(*reading) for reading in readings))


def trace_file(itt: Sequence[float | str], n1: Sequence[float] | None = None, header: str = "itt") -> io.BytesIO:
    """Return a CSV file of a running engine; the gas generator stays at 90 % unless it is given."""
    speeds = [90.0] * len(itt) if n1 is None else n1
    rows = [f"{t},{value},{speed}" for t, (value, speed) in enumerate(zip(itt, speeds, strict=True))]
    return io.BytesIO("\n".join([f"time_s,{header},n1", *rows, ""]).encode())


def hot(seconds: int, value: float = 715.0) -> list[float]:
    """Return a temperature that is above 700 for about so many seconds."""
    return [650.0] * 5 + [value] * seconds + [650.0] * 5
