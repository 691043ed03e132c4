"""What is said of a first-start plan, line by line: on its screen, in its entry, on paper and by REST."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils import timezone

from logbook.first_start_runs import motoring_since
from logbook.printing.wording import NOT_RECORDED

if TYPE_CHECKING:
    from datetime import datetime

    from engines.first_starts import StepRule
    from engines.models import FirstStart, FirstStartCause, FirstStartEnd, FirstStartLine, Run

DONE, IN_TURN, TO_COME = "done", "in_turn", "to_come"
VOID_WORDS = "The run was made void, and counts for nothing."
BEFORE_WORDS = "Before the plan was asked for again; counts no more."


def moment(at: datetime) -> str:
    """Return a moment by the local clock."""
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"


def cause_words(cause: FirstStartCause) -> str:
    """Return what asked for a plan, when, and who recorded it."""
    reason = f" {cause.reason.rstrip('.')}." if cause.reason else ""
    return f"{cause.text}, {moment(cause.at)}.{reason} Recorded by {cause.by}."


def people_words(run: Run) -> str:
    """Return who made a start and under whose eyes; "" where no trainee is named."""
    return f"Started by {run.trainee}, trainee, supervised by {run.supervisor}." if run.trainee else ""


def line_words(plan: FirstStart, line: FirstStartLine) -> str:
    """Return what is said beside how a step ended: the run, the people, what was written, and whether it counts."""
    run = line.run
    stands = {one.pk for one in plan.standing_lines}
    void = VOID_WORDS if run is not None and run.is_void else "" if line.pk in stands else BEFORE_WORDS
    by = f"Recorded by {line.by}."
    said = (run_words(run) if run is not None else "", _remarks(line), by, void)
    return " ".join(part for part in said if part)


def _remarks(line: FirstStartLine) -> str:
    """Return what was written of a step, where it does not stand with its run already."""
    is_said = line.run is not None and line.run.remarks.strip() == line.remarks
    return "" if is_said else _sentence(line.remarks)


def _sentence(text: str) -> str:
    return f"{text.rstrip('.')}." if text else ""


def plan_rows(plan: FirstStart, end: FirstStartEnd | None) -> list[tuple[str, str]]:
    """Return what is said of a plan as a whole."""
    asked = [
        ("Asked for" if k == 0 else "Asked for again", cause_words(one)) for k, one in enumerate(plan.causes.all())
    ]
    rows = [
        *asked,
        ("Steps by", f"limits revision {plan.revision.number}, {plan.rules.source or NOT_RECORDED}"),
    ]
    if end is None:
        return [*rows, ("How it stands", f"Not completed: {plan.progress.words}")]
    return [*rows, ("How it ended", end.get_outcome_display()), *([("Remarks", end.remarks)] if end.remarks else [])]


def plan_lines(plan: FirstStart) -> list[tuple[str, str, str, str]]:
    """Return every line of a plan: when, which step, how it ended, and what is said beside it."""
    return [(moment(line.at), line.step, line.ending, line_words(plan, line)) for line in plan.lines.all()]


@dataclass(frozen=True)
class StepShown:
    """A step of a plan as it stands: done, in turn, or to come."""

    rule: StepRule
    state: str

    @property
    def words(self) -> str:
        """Return how it stands, in words."""
        return {DONE: "Done", IN_TURN: "In turn", TO_COME: "To come"}[self.state]


def steps_shown(plan: FirstStart) -> list[StepShown]:
    """Return the steps of a plan as they stand."""
    done = plan.progress.done
    states = (DONE if k < done else IN_TURN if k == done else TO_COME for k in range(len(plan.rules.steps)))
    return [StepShown(rule, state) for rule, state in zip(plan.rules.steps, states, strict=True)]


def motoring_rows(plan: FirstStart) -> list[tuple[str, str]]:
    """Return the motoring runs beside the steps of a plan, each with what is said of it."""
    return [(moment(run.started_at), run_words(run)) for run in motoring_since(plan)]


def run_words(run: Run) -> str:
    """Return what a run was, how long the starter was engaged, and the people of it."""
    starter = f"Starter engaged {run.typed_starter_s:g} s." if run.typed_starter_s is not None else ""
    said = (f"{run.get_kind_display()}.", starter, people_words(run), _sentence(run.remarks))
    return " ".join(part for part in said if part)


def signed_words(plan: FirstStart) -> str:
    """Return by which entry a plan ended; of one that came with a record its former owner's entry says so."""
    if plan.is_open:
        return "not signed"
    signed = getattr(plan.end, "signed", None)
    return f"entry {signed.entry.number}, {plan.end.on}" if signed else f"by the owner before, {plan.end.on}"
