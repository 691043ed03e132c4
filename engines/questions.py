"""What is asked about a run before it is recorded: figures that can be, but are not likely."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from engines.charts import LimitChart
from engines.evidence import ReadingFacts, ReasonFacts, RunFacts
from engines.meter import LONGEST_RUN_H, MeterBefore, meter_question
from engines.readings_as import ReadAs
from engines.units import symbol_of

HOUR_S: Final = 3600
FAR_ABOVE: Final = 1.5  # times a high limit: no gauge reads so far beyond what it is marked for
FAR_BELOW: Final = 0.2  # of a high limit: a digit may have been lost
FAR_FROM_LOW: Final = 5.0  # times a low limit: a digit may have been added
MOST_STARTS: Final = 5
TIMED_APART_S: Final = 1.0


@dataclass(frozen=True)
class Question:
    """One figure that is asked about: its key, what it is called, the figure as typed, and the question."""

    key: str
    about: str
    value: str
    words: str


@dataclass(frozen=True)
class Answer:
    """A reason given to one question: the key of its figure, the question as it was asked, and why it is so."""

    key: str
    question: str
    reason: str


def answers_taken(
    questions: Sequence[Question], answers: Sequence[Answer]
) -> tuple[tuple[ReasonFacts, ...], tuple[Question, ...]]:
    """Return which questions are answered, each with its reason, and which are not.

    Parameters
    ----------
    questions : sequence of Question
        What is asked.
    answers : sequence of Answer
        What was answered; of several for one figure the last counts.

    Returns
    -------
    tuple of ReasonFacts
        The answered questions. An answer to another question, or to the same about another figure, answers nothing.
    tuple of Question
        What is still asked.
    """
    given = {(answer.key, answer.question): answer.reason for answer in answers}
    taken, left = [], []
    for question in questions:
        reason = given.get((question.key, question.words), "").strip()
        if reason:
            taken.append(ReasonFacts(question.about, question.value, question.words, reason))
        else:
            left.append(question)
    return tuple(taken), tuple(left)


def questions_of(
    facts: RunFacts,
    charts: Sequence[LimitChart],
    *,
    before: MeterBefore | None = None,
    run_time_s: int | None = None,
    turned: Mapping[int, ReadAs] | None = None,
) -> tuple[Question, ...]:
    """Return what to ask about a run as typed.

    Parameters
    ----------
    facts : RunFacts
        The run as a person states it.
    charts : sequence of LimitChart
        The limits that readings are of.
    before : MeterBefore, optional
        The engine's last hour-meter reading.
    run_time_s : int, optional
        The run time that a recorded trace shows, used where none is typed. [s]
    turned : mapping of int to ReadAs, optional
        What readings in other units are in those of their limits, by place.

    Returns
    -------
    tuple of Question
        The questions, in the order of the sheet; empty where all is likely.
    """
    limits = {chart.name: chart for chart in charts}
    asked = [*_used(facts), *_meter(facts, before, run_time_s)]
    for k, reading in enumerate(facts.readings):
        if reading.chart in limits:
            asked += _reading(reading, limits[reading.chart], k, (turned or {}).get(k))
            asked += _seconds(reading, limits[reading.chart], k, facts.typed_run_time_s)
    return tuple(asked)


def _used(facts: RunFacts) -> Iterator[Question]:
    yield from _times(facts.typed_run_time_s, facts.typed_time_in_service_s)
    yield from _counts(facts.typed_starts, facts.typed_cycles)


def _times(run: int | None, service: int | None) -> Iterator[Question]:
    if run is not None and run > LONGEST_RUN_H * HOUR_S:
        words = f"{_hours(run)} h is long for one run. Is it one run, and is the point in its place?"
        yield Question("run_time", "Run time", f"{_hours(run)} h", words)
    if run is not None and service is not None and service > run:
        words = f"{_hours(service)} h in service is more than the run time of {_hours(run)} h."
        yield Question("time_in_service", "Time in service", f"{_hours(service)} h", words)


def _counts(starts: int | None, cycles: int | None) -> Iterator[Question]:
    if starts is None:
        return
    if starts > MOST_STARTS:
        words = f"{starts} starts are many for one run. Is it the number of this run alone?"
        yield Question("starts", "Starts", str(starts), words)
    if cycles is not None and cycles > starts:
        words = f"More cycles than starts: {cycles} and {starts}. Each cycle has its start."
        yield Question("cycles", "Cycles", str(cycles), words)


def _meter(facts: RunFacts, before: MeterBefore | None, run_time_s: int | None) -> Iterator[Question]:
    if facts.typed_meter_h is None or before is None:
        return
    typed = Decimal(repr(facts.typed_meter_h))
    run_s = run_time_s if facts.typed_run_time_s is None else facts.typed_run_time_s
    words = meter_question(typed, before, None if run_s is None else Decimal(run_s) / HOUR_S)
    if words:
        yield Question("meter", "Hour meter", f"{typed:f} h", words)


def _reading(reading: ReadingFacts, chart: LimitChart, k: int, turned: ReadAs | None) -> Iterator[Question]:
    if reading.peak is None:
        return
    read, own = f"{reading.peak:g} {symbol_of(reading.unit or chart.unit)}", symbol_of(chart.unit)
    if _is_far(reading.peak if turned is None else turned.value, chart):
        said = read if turned is None else f"{read}, which is {turned.value:g} {own},"
        words = f"{said} is far from the limit of {chart.limit:g} {own}. Is every digit there?"
        yield Question(f"readings[{k}].peak", f"{chart.name}, reading", read, words)


def _is_far(peak: float, chart: LimitChart) -> bool:
    if chart.limit <= 0:
        return False
    share = peak / chart.limit
    return not (FAR_BELOW <= share <= FAR_ABOVE if chart.side == "above" else 0 <= share <= FAR_FROM_LOW)


def _seconds(reading: ReadingFacts, chart: LimitChart, k: int, run_s: int | None) -> Iterator[Question]:
    if reading.seconds is None:
        return
    key, about, value = f"readings[{k}].seconds", f"{chart.name}, seconds", f"{reading.seconds:g} s"
    timed = reading.timed_seconds
    if timed is not None and abs(reading.seconds - timed) > TIMED_APART_S:
        yield Question(key, about, value, f"The timer measured {timed:.1f} s, and {value} is typed.")
    elif run_s is not None and reading.seconds > run_s:
        yield Question(key, about, value, f"{value} is longer than the whole run of {_hours(run_s)} h.")


def _hours(seconds: int) -> str:
    return f"{seconds / HOUR_S:.2f}"
