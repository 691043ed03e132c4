"""What is said of a run when it is recorded, before anything is stored."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import IO, Any
from uuid import UUID


@dataclass(frozen=True)
class ReadingFacts:
    """A reading as written down; None where it is not known; an empty unit means the chart's.

    ``timed_seconds`` is what the event timer measured, beside what is written down.
    """

    chart: str
    peak: float | None
    seconds: float | None
    unit: str = ""
    remarks: str = ""
    timed_seconds: float | None = None


@dataclass(frozen=True)
class ReasonFacts:
    """Why a figure that was asked about is so all the same: what it is called, the figure, the question, the reason."""

    about: str
    value: str
    question: str
    reason: str


@dataclass(frozen=True)
class TraceFile:
    """A recorded trace as it came: the file, its name, and how a person matched its columns, if one did."""

    file: IO[bytes]
    name: str
    columns: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class RunFacts:
    """A run as a person or a program states it; times in whole seconds, None where not stated.

    ``typed_meter_h`` is the engine's hour meter at the end of the run, ``timed`` what the event timer handed over,
    ``other`` what was counted that the type counts besides. ``typed_starter_s`` is how long the starter was engaged;
    a ``trainee`` started it under the eyes of ``supervisor``, a row of a
    person.
    """

    id: UUID
    kind: str
    started_at: datetime
    remarks: str = ""
    typed_run_time_s: int | None = None
    typed_time_in_service_s: int | None = None
    typed_starts: int | None = None
    typed_cycles: int | None = None
    typed_partial_cycles: int | None = None
    typed_meter_h: float | None = None
    readings: tuple[ReadingFacts, ...] = ()
    timed: Mapping[str, Any] = field(default_factory=dict)
    reasons: tuple[ReasonFacts, ...] = ()
    other: Mapping[str, int] = field(default_factory=dict)
    typed_starter_s: float | None = None
    trainee: str = ""
    supervisor: Any = None
