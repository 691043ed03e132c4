"""Correcting a run: what is stated since stands beside what was stated before, and what it counts for follows."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.db.models import Model
from django.utils import timezone

from engines.actions.runs import VOID, readings_keep, run_check, run_count
from engines.errors import DomainError
from engines.models import Run, RunCorrection
from engines.models.usage import COUNTERS
from engines.queries import newest_trace, readings_turned, recording_of

if TYPE_CHECKING:
    from django.contrib.auth.models import AbstractBaseUser

    from engines.charts import EngineTypeData
    from engines.evidence import RunFacts

FIGURES: Final = (*(f"typed_{name}" for name in COUNTERS), "typed_meter_h", "typed_starter_s")
STATED: Final = ("kind", "started_at", "remarks", "other", "trainee", "supervisor", *FIGURES)
How = RunCorrection.How


@transaction.atomic
def run_correct(*, run: Run, facts: RunFacts, why: str, by: AbstractBaseUser) -> RunCorrection:
    """State a run anew, its readings and reasons too; what the event timer handed over stays as it came.

    What the run counts for, and every total that it is part of, moves by the difference. Raises DomainError
    "run_void", "run_impossible", "nothing_changed", and "text_missing" without a reason.
    """
    held = _held(run, why)
    data = run_check(engine=run.engine, facts=facts)
    stated = {name: getattr(facts, name) for name in STATED}
    if stated == _stated(held) and _read(held) == _stated_readings(run, facts, data):
        raise DomainError("Nothing is stated otherwise than before.", code="nothing_changed")
    correction = _kept(run, _plain(_stated(held)), _plain(stated), how=How.SUPERSEDED, why=why, by_id=by.pk)
    for name, value in stated.items():
        setattr(run, name, value)
    trace = newest_trace(run)
    run_count(run, recording_of(trace) if trace else None)
    run.save()
    readings_keep(run, facts, data, by)
    return correction


@transaction.atomic
def run_void(*, run: Run, why: str, by: AbstractBaseUser) -> RunCorrection:
    """State that a run never took place on its engine: it counts nothing from now on, and no reading of it stands.

    Raises DomainError "run_void" where it is void already, and "text_missing" without a reason.
    """
    held = _held(run, why)
    nothing = {**_stated(held), **dict.fromkeys(FIGURES), "other": {}}
    correction = _kept(run, _plain(_stated(held)), _plain(nothing), how=How.VOID, why=why, by_id=by.pk)
    run.is_void = True
    for name, value in nothing.items():
        setattr(run, name, value)
    for name in COUNTERS:
        setattr(run, name, 0)
    run.save()
    return correction


def _held(run: Run, why: str) -> Run:
    """Return the run as it is stored, held until the transaction ends; the one given is brought up to it."""
    if not why.strip():
        raise DomainError("Say why it is corrected.", code="text_missing", fields={"why": "is missing"})
    held = Run.objects.select_for_update().get(pk=run.pk)
    if held.is_void:
        raise DomainError(VOID, code="run_void")
    run.correction = held.correction
    return held


def _stated(run: Run) -> dict[str, Any]:
    return {name: getattr(run, name) for name in STATED}


Read = tuple[str, float | None, str, float | None, float | None]


def _read(run: Run) -> list[Read]:
    """Return the readings that stand, with what those in other units were turned into."""
    return [(r.chart, r.peak, r.unit, r.seconds, r.converted) for r in run.standing_readings]


def _stated_readings(run: Run, facts: RunFacts, data: EngineTypeData) -> list[Read]:
    """Return the readings as they are stated, with what those in other units are by what holds now."""
    units = {chart.name: chart.unit for chart in data.charts}
    turned = {place: one.value for place, one in readings_turned(run.engine, facts, data).items()}
    read = enumerate(facts.readings)
    return [(r.chart, r.peak, r.unit or units[r.chart], r.seconds, turned.get(k)) for k, r in read]


def _plain(stated: dict[str, Any]) -> dict[str, Any]:
    return {name: _told(value) for name, value in stated.items()}


def _told(value: Any) -> Any:
    """Return a figure or a text as it is, a moment by its local time, a person by name."""
    if isinstance(value, datetime):
        return _moment(value)
    return str(value) if isinstance(value, Model) else value


def _moment(at: datetime) -> str:
    return timezone.localtime(at).isoformat()


def _kept(run: Run, was: dict[str, Any], stated: dict[str, Any], *, how: str, why: str, by_id: Any) -> RunCorrection:
    run.correction += 1
    return RunCorrection.objects.create(
        run=run, number=run.correction, how=how, was=was, stated=stated, why=why.strip(), by_id=by_id
    )
