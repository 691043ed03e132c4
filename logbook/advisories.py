"""An engine's own limits of its operator, and what went beyond them, from the judgements that stand."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.utils import timezone

from engines.models import Engine, TypeRevision
from engines.queries import revision_in_force
from engines.scales import Scale
from inspections.advisory import (
    Advised,
    AdvisoryCount,
    advised_on,
    advised_read,
    advised_words,
    advisory_counts,
    advisory_of,
)
from inspections.queries import judgement_list
from logbook.models import Person


@dataclass(frozen=True)
class AdvisedRun:
    """One excursion beyond an operator's own limit, with the run it was in."""

    run: UUID
    began: datetime
    advised: Advised
    words: str


@dataclass(frozen=True)
class EngineAdvisory:
    """The operator's own limits of an engine today, how often each was passed, and every time, newest first."""

    revision: TypeRevision
    counts: list[AdvisoryCount]
    passed: list[AdvisedRun]


def engine_advisory_of(user: Person, engine: Engine, today: date) -> EngineAdvisory:
    """Return an engine's own limits of its operator with what went beyond them."""
    revision = revision_in_force(engine.engine_type, today)
    standing = judgement_list(user).filter(run__engine=engine, is_current=True, advised__gt=0)
    rows = standing.order_by("-run__started_at").values_list("run_id", "run__started_at", "advisory")
    passed = [
        AdvisedRun(run, began, advised, advised_words(advised))
        for run, began, documents in rows
        for advised in map(advised_read, documents)
    ]
    found = [(timezone.localdate(one.began), one.advised) for one in passed]
    limits = advisory_of(revision.data, engine.serial)
    return EngineAdvisory(revision, advisory_counts(limits, found, today, engine.overhauled_on), passed)


def advised_lines(documents: list[dict[str, object]], scales: dict[str, Scale]) -> list[tuple[str, str]]:
    """Return what went beyond the operator's own limits in a run: name of the limit and sentences, as a person sees."""
    found = map(advised_read, documents)
    shown = (advised_on(one, scales[one.channel]) if one.channel in scales else one for one in found)
    return [(one.name, advised_words(one)) for one in shown]
