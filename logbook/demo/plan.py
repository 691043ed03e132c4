"""The plan of the demo, read from the fixtures: operator, limits, people, engines with their parts, runs."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from engines.evidence import ReadingFacts, RunFacts
from engines.times import Times, seconds_of_hours
from logbook.demo.part_plan import PartsPlan, parts_read
from logbook.demo.task_plan import TasksPlan, tasks_read
from logbook.demo.traces import trace_csv

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
# Runs have the same id each time the demo is loaded, so that loading it twice is harmless.
RUN_IDS = UUID("6d0b7c1e-5a0f-4f0e-9c3a-0e650e650650")


@dataclass(frozen=True)
class LimitsPlan:
    """One revision of the engine type's document: where from, who entered it, and when it comes into force."""

    document: Mapping[str, Any]
    source: str
    entered_by: str
    in_force_in_days: int | None = None

    def in_force_from(self, today: date) -> date | None:
        """Return the day from which it is to judge runs; None for from the beginning."""
        return None if self.in_force_in_days is None else today + timedelta(days=self.in_force_in_days)


@dataclass(frozen=True)
class PersonPlan:
    """One person; a certificate has a kind, a number and ratings, ``may_inspect`` a title and the inspections."""

    username: str
    first_name: str
    last_name: str
    role: str
    note: str
    certificate: Mapping[str, Any] | None
    may_inspect: Mapping[str, str] | None = None


@dataclass(frozen=True)
class ComponentPlan:
    """One part, with what it had used when its record here began, and when it was fitted."""

    part_number: str
    serial: str
    description: str
    position: str
    brought: Times
    fitted_days_ago: int

    def fitted_at(self, today: date) -> datetime:
        """Return when it was fitted."""
        return moment(today, self.fitted_days_ago, "06:00")


@dataclass(frozen=True)
class EnginePlan:
    """One engine, with what it had used when its record here began; ``facts`` is what the recorder writes by."""

    serial: str
    fitted_to: str
    position: str
    opening: Times
    overhauled_days_ago: int | None
    components: tuple[ComponentPlan, ...]
    facts: Mapping[str, Any]

    @property
    def match(self) -> Mapping[str, str]:
        """Return the header of each channel, where the recorder's headers are not the channels' own names."""
        return dict(self.facts["recorder"].get("match", {}))

    @property
    def units(self) -> Mapping[str, str]:
        """Return the unit of each channel whose header is matched by hand."""
        columns = self.facts["recorder"]["columns"]
        return {c["channel"]: c["unit"] for c in columns if c.get("channel") in self.match}

    def overhauled_on(self, today: date) -> date | None:
        """Return the day of its last overhaul; None where there was none."""
        return None if self.overhauled_days_ago is None else today - timedelta(days=self.overhauled_days_ago)


@dataclass(frozen=True)
class WorkPlan:
    """What was done in an inspection that a run opened; an ``outcome`` of "" leaves it in work."""

    chart: str
    rule: str
    by: str
    completed_days_ago: int
    findings: tuple[str, ...]
    description: str
    data_reference: str
    cause: str
    cause_text: str
    extent: str = ""
    second_by: str = ""
    outcome: str = ""
    photos: tuple[Mapping[str, str], ...] = ()

    def completed_on(self, today: date) -> date:
        """Return the day on which the work was completed."""
        return today - timedelta(days=self.completed_days_ago)


@dataclass(frozen=True)
class RunPlan:
    """One run: typed readings, a recorded trace, or both; and what was done about it."""

    key: str
    engine: EnginePlan
    kind: str
    by: str
    days_ago: int
    clock: str
    seed: int
    remarks: str
    scenario: Mapping[str, Any] | None
    typed: Mapping[str, Any]
    readings: tuple[ReadingFacts, ...]
    work: tuple[WorkPlan, ...]
    is_unsigned: bool = False
    checks: Mapping[str, Any] | None = None

    @property
    def id(self) -> UUID:
        """Return the id under which the run is stored, the same whenever the demo is loaded."""
        return uuid5(RUN_IDS, self.key)

    @property
    def file_name(self) -> str:
        """Return what the recorder called the file."""
        return f"{self.key}.csv"

    def started_at(self, today: date) -> datetime:
        """Return when the run began."""
        return moment(today, self.days_ago, self.clock)

    def facts(self, today: date) -> RunFacts:
        """Return what a person states of the run."""
        return RunFacts(
            id=self.id,
            kind=self.kind,
            started_at=self.started_at(today),
            remarks=self.remarks,
            readings=self.readings,
            **self.typed,
        )

    def trace(self, today: date) -> str | None:
        """Return the recorded trace as the text of its file; None where nothing was recorded."""
        if self.scenario is None:
            return None
        return trace_csv(
            {**self.scenario, "started_at": self.started_at(today).isoformat()}, self.seed, self.engine.facts
        )


@dataclass(frozen=True)
class DemoPlan:
    """All of the demo; nothing of it is real."""

    operator: str
    place: str
    note: str
    limits: LimitsPlan
    draft: LimitsPlan
    people: tuple[PersonPlan, ...]
    engines: tuple[EnginePlan, ...]
    runs: tuple[RunPlan, ...]
    tasks: TasksPlan = TasksPlan()
    parts: PartsPlan = PartsPlan()

    @cached_property
    def scenarios(self) -> tuple[str, ...]:
        """Return the names of the scenarios among the runs, each once, in order."""
        return tuple(dict.fromkeys(run.scenario["name"] for run in self.runs if run.scenario))


def moment(today: date, days_ago: int, clock: str) -> datetime:
    """Return a time of day some days before a day.

    Parameters
    ----------
    today : date
        The day from which is counted.
    days_ago : int
        How many days before it.
    clock : str
        The time of day, for example ``"07:40"``.

    Returns
    -------
    datetime
        In UTC.
    """
    return datetime.combine(today - timedelta(days=days_ago), time.fromisoformat(clock), tzinfo=UTC)


def plan_read(folder: Path = FIXTURES) -> DemoPlan:
    """Return the plan of the demo.

    Parameters
    ----------
    folder : Path
        Where the fixtures are.

    Returns
    -------
    DemoPlan
        Runs in the order in which they happened.
    """
    operator, limits = _json(folder / "operator.json"), _json(folder / "limits.json")
    engines = tuple(_engine(facts) for facts in _json(folder / "engines.json"))
    by_serial = {engine.serial: engine for engine in engines}
    runs = [_run(facts, by_serial[facts["serial"]]) for facts in _json(folder / "runs.json")]
    return DemoPlan(
        operator=operator["name"],
        place=operator["place"],
        note=operator["note"],
        limits=_limits(folder, limits["in_force"]),
        draft=_limits(folder, limits["draft"]),
        people=tuple(PersonPlan(**facts) for facts in _json(folder / "people.json")),
        engines=engines,
        runs=tuple(sorted(runs, key=lambda run: (-run.days_ago, run.clock))),
        tasks=tasks_read(folder / "tasks.json"),
        parts=parts_read(folder / "parts.json"),
    )


def _json(path: Path) -> Any:
    return json.loads(path.read_text(encoding="utf-8"))


def _limits(folder: Path, facts: dict[str, Any]) -> LimitsPlan:
    return LimitsPlan(**(facts | {"document": _json(folder / facts["document"])}))


def _seconds(hours: float) -> int:
    return seconds_of_hours(Decimal(str(hours)))


def _times(facts: Mapping[str, Any]) -> Times:
    run_time, in_service = (_seconds(facts.get(name, 0)) for name in ("run_time_h", "time_in_service_h"))
    return Times(run_time, in_service, facts["starts"], facts["cycles"])


def _engine(facts: Mapping[str, Any]) -> EnginePlan:
    return EnginePlan(
        serial=facts["serial"],
        fitted_to=facts["fitted_to"],
        position=facts["position"],
        opening=_times(facts["opening"]),
        overhauled_days_ago=facts["overhauled_days_ago"],
        components=tuple(
            ComponentPlan(**(part | {"brought": _times(part["brought"])})) for part in facts["components"]
        ),
        facts=facts,
    )


def _run(facts: Mapping[str, Any], engine: EnginePlan) -> RunPlan:
    times = {f"typed_{n}_s": _seconds(facts[f"{n}_h"]) for n in ("run_time", "time_in_service") if f"{n}_h" in facts}
    counts = {f"typed_{name}": facts[name] for name in ("starts", "cycles") if name in facts}
    work = (
        WorkPlan(**(item | {"findings": tuple(item["findings"]), "photos": tuple(item.get("photos", ()))}))
        for item in facts.get("work", ())
    )
    return RunPlan(
        key=facts["key"],
        engine=engine,
        kind=facts["kind"],
        by=facts["by"],
        days_ago=facts["days_ago"],
        clock=facts["clock"],
        seed=facts["seed"],
        remarks=facts.get("remarks", ""),
        scenario=facts.get("scenario"),
        typed=times | counts,
        readings=tuple(ReadingFacts(**reading) for reading in facts.get("readings", ())),
        work=tuple(work),
        is_unsigned=facts.get("is_unsigned", False),
        checks=facts.get("checks"),
    )
