"""What comes due on engines: tasks and limits of parts in one kind of line, each with when it is reached."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from django.utils import timezone

from engines.due import DAYS, NOT_KNOWN, REACHED, RUNNING, STATES, Remaining
from engines.due_words import assumption_words, due_at_words, left_words, span_words
from engines.forecast import Span, Use, first_of, runs_out
from engines.models import Component, Engine, TaskRecord
from engines.part_due import PartStanding, Weeks, part_standings_of
from engines.standing import Standing, standings_of
from engines.times import Times
from engines.use import uses_of, weeks_of

HORIZON_D: Final = 90
Uses = Mapping[str, Use | None]
ORDER: Final = (REACHED, NOT_KNOWN, RUNNING)


@dataclass(frozen=True)
class DueLine:
    """One thing that comes due on an engine: what is left of each parameter, and between which days it is reached.

    ``key`` is a task's among those of its engine, empty for the limit of a ``component``; a task may be of one too.
    """

    engine: Engine | None
    what: str
    kind: str
    mandatory: bool
    state: str
    left: tuple[Remaining, ...]
    span: Span | None
    uses: Uses
    basis: str
    source: str
    today: date
    key: str = ""
    component: Component | None = None
    last: TaskRecord | None = None

    @property
    def where(self) -> str:
        """Return the serial of its engine, or that its part runs with none."""
        return self.engine.serial if self.engine else "off its engine"

    @property
    def is_overdue(self) -> bool:
        """Return whether it is passed, or can't be known not to be."""
        return self.state in (REACHED, NOT_KNOWN)

    @property
    def assumption(self) -> str:
        """Return by which use it is foretold, in words."""
        return assumption_words([part.counter for part in self.left], self.uses)

    @property
    def state_words(self) -> str:
        """Return how it stands, in words."""
        return STATES[self.state]

    @property
    def left_words(self) -> tuple[str, ...]:
        """Return what is left of each parameter, in words."""
        return tuple(map(left_words, self.left)) or ("not known",)

    @property
    def at_words(self) -> tuple[str, ...]:
        """Return at what it is due, in words."""
        return tuple(map(due_at_words, self.left)) or ("not known",)

    @property
    def when_words(self) -> str:
        """Return between which days it is reached, in words."""
        if self.state == REACHED:
            return "now: it is overdue"
        if self.state == NOT_KNOWN:
            return "not known: the day from which it counts is not recorded"
        return span_words(self.span, self.today)

    @property
    def earliest_on(self) -> date | None:
        """Return the first day on which it may be reached; None where none can be foretold."""
        return self.span.days(self.today)[0] if self.span else None

    @property
    def latest_on(self) -> date | None:
        """Return the last day on which it is reached; None where none can be foretold."""
        return self.span.days(self.today)[1] if self.span else None

    @property
    def rank(self) -> tuple[int, int, str, str]:
        """Return what lines are put in order by: overdue first, then what may be reached first."""
        return ORDER.index(self.state), self.span.earliest if self.span else 10**6, self.where, self.what

    def is_within(self, days: int) -> bool:
        """Return whether it is overdue or may be reached within some days."""
        return self.is_overdue or (self.span is not None and self.span.earliest <= days)


def due_lines(
    engines: Iterable[Engine],
    *,
    on: date | None = None,
    times: Mapping[int, Times] | None = None,
    stated: Uses | None = None,
    off: Iterable[Standing] = (),
) -> list[DueLine]:
    """Return everything that is open and comes due on some engines, what is overdue first.

    ``off`` is how tasks of parts stand that run with none; only days bring those nearer.
    ``stated`` is the use that a person states, in the place of what was observed of each engine.
    """
    engines, on = list(engines), on or timezone.localdate()
    standings, parts = standings_of(engines, on=on, times=times), part_standings_of(engines, on)
    weeks = weeks_of([engine for engine in engines if standings[engine.pk] or engine.pk in parts], on)
    found: list[DueLine] = list(task_lines(off, {}, on))
    for engine in engines:
        found += engine_lines(
            engine, (standings[engine.pk], parts.get(engine.pk, [])), weeks.get(engine.pk, {}), stated, on
        )
    return sorted(found, key=lambda line: line.rank)


def engine_lines(
    engine: Engine,
    standing: tuple[Iterable[Standing], Iterable[PartStanding]],
    weeks: Weeks,
    stated: Uses | None,
    on: date,
) -> Iterator[DueLine]:
    """Yield the lines of one engine, by the use of its weeks where none is stated."""
    tasks, parts = standing
    uses = {**uses_of(weeks), **(stated or {})}
    yield from task_lines(tasks, uses, on)
    for part in parts:
        yield part_line(engine, part, {**part.uses(weeks, uses), **(stated or {})}, on)


def part_line(engine: Engine, part: PartStanding, uses: Uses, on: date) -> DueLine:
    """Return the line of a part's limits of one kind."""
    return DueLine(
        engine=engine,
        what=part.title,
        kind=part.kind,
        mandatory=True,
        state=part.state,
        left=part.left,
        span=span_of(part.left, uses),
        uses=uses,
        basis="as the part's own record has it",
        source=part.source,
        today=on,
        component=part.component,
    )


def task_lines(standings: Iterable[Standing], uses: Uses, on: date) -> Iterator[DueLine]:
    """Yield a line for each task that is not closed."""
    for standing in standings:
        if standing.point is None:
            continue
        task = standing.task
        yield DueLine(
            engine=standing.engine,
            what=standing.title,
            kind=task.kind_words,
            mandatory=task.mandatory,
            state=standing.state,
            left=standing.left,
            span=span_of(standing.left, uses),
            uses=uses,
            basis=standing.point.basis,
            source=task.reference or task.source,
            today=on,
            key=standing.key,
            component=standing.component,
            last=standing.last,
        )


def span_of(left: Iterable[Remaining], uses: Uses) -> Span | None:
    """Return between how many days from now the first of several parameters is reached."""
    return first_of(_span(part, uses.get(part.counter)) for part in left)


def _span(part: Remaining, use: Use | None) -> Span | None:
    if part.counter == DAYS:
        days = max(0, part.left)
        return Span(days, days)
    if part.left <= 0:
        return Span(0, 0)
    return runs_out(part.left, use) if use else None
