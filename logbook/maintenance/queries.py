"""Reads of work, of discrepancies, and of what of them holds an engine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db.models import Count, Exists, JSONField, OuterRef, Prefetch, Q, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce, JSONObject
from django.utils import timezone

from engines.models import Engine
from engines.queries import times_read
from inspections.queries import due_of
from logbook.desk import Authorization
from logbook.first_start_state import reasons_of, with_first_starts
from logbook.ledger.rows import Entry
from logbook.maintenance.look_rows import LookLine, RequiredItem
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine, Rules, Work
from logbook.part_drafts.queries import work_waiting
from logbook.photos.queries import photos_told
from logbook.queries import authorizations_on
from logbook.statements.coverage import LOOKED_BACK

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date

    from logbook.models import Person

HOLDING = (Work.Kind.WORK, Work.Kind.INSPECTION)


def work_list(user: Person) -> QuerySet[Work]:
    """Return the operator's work, signed and dropped too, with the rule-set that it works to now, ``ruleset_now``.

    ``has_looks`` and ``has_required`` say whether anything became of its second look, and whether a list of required
    inspection items is kept.
    """
    chosen = Rules.objects.filter(operator=OuterRef("operator")).order_by("-pk").values("ruleset")[:1]
    found = Work.objects.filter(operator_id=user.operator_id or 0)
    kept = RequiredItem.objects.filter(operator=OuterRef("operator"))
    told = {"has_looks": Exists(LookLine.objects.filter(work=OuterRef("pk"))), "has_required": Exists(kept)}
    found = found.annotate(ruleset_now=Coalesce(Subquery(chosen), Value("")), **told)
    return found.select_related(
        "engine__engine_type", "engine__operator", "opened_by", "changed_by", "second_by", "entry"
    )


def work_for(user: Person, pk: int) -> Work:
    """Return one piece of work with its photos; Work.DoesNotExist where the person may not see it."""
    return work_list(user).annotate(photos_told=photos_told("work")).get(pk=pk)


def discrepancy_list(user: Person) -> QuerySet[Discrepancy]:
    """Return the operator's discrepancies, each with how it stands now and all that became of it."""
    return with_states(Discrepancy.objects.filter(operator_id=user.operator_id or 0))


def with_states(discrepancies: QuerySet[Discrepancy]) -> QuerySet[Discrepancy]:
    """Return discrepancies with ``state_now``, that of their newest line, and their lines read."""
    lines = Prefetch("lines", DiscrepancyLine.objects.select_related("entry__signed_by"))
    return discrepancies.annotate(state_now=_newest()).select_related("engine", "entry").prefetch_related(lines)


def _newest() -> Subquery:
    """Return the state that the newest line of a discrepancy says."""
    return Subquery(DiscrepancyLine.objects.filter(discrepancy=OuterRef("pk")).order_by("-pk").values("state")[:1])


def _due_newest() -> Subquery:
    """Return the last day for a discrepancy, as it was stated last."""
    dated = DiscrepancyLine.objects.filter(discrepancy=OuterRef("pk"), due_on__isnull=False).order_by("-pk")
    return Subquery(dated.values("due_on")[:1])


def _text_newest() -> Coalesce:
    """Return what is wrong as a correction stated it last, else as it was found."""
    stated = DiscrepancyLine.objects.filter(discrepancy=OuterRef("pk")).exclude(text="").order_by("-pk")
    return Coalesce(Subquery(stated.values("text")[:1]), "text")


def unsettled(engine: Engine, state: str) -> QuerySet[Discrepancy]:
    """Return the discrepancies of an engine that stand in a state now."""
    return with_states(engine.discrepancies.all()).filter(Q(state_now=state))


def not_closed(engine: Engine) -> QuerySet[Discrepancy]:
    """Return the discrepancies of an engine that are not closed."""
    return with_states(engine.discrepancies.all()).filter(~Q(state_now=DiscrepancyLine.State.CLOSED))


def with_holding(engines: QuerySet[Engine]) -> QuerySet[Engine]:
    """Return engines with the first of what holds each, and how many there are.

    It is work not signed, open discrepancies, what other programs sent of its parts and nobody signed, and a first
    start that is not completed.
    """
    work = Work.objects.filter(engine=OuterRef("pk"), state=Work.State.OPEN, kind__in=HOLDING)
    known = Discrepancy.objects.filter(engine=OuterRef("pk")).annotate(state_now=_newest(), due=_due_newest())
    late = Q(state_now=DiscrepancyLine.State.PENDING, due__lt=timezone.localdate())
    wrong = known.filter(Q(state_now=DiscrepancyLine.State.OPEN) | late)
    parts = work_waiting().filter(Q(engine=OuterRef("pk")) | Q(other_engine=OuterRef("pk")))
    return with_first_starts(engines).annotate(
        work_first=_first(work.order_by("number"), number="number", kind="kind"),
        work_count=_count(work),
        wrong_first=_first(wrong.annotate(said=_text_newest()).order_by("number"), number="number", text="said"),
        wrong_count=_count(wrong),
        part_first=_first(parts.order_by("since"), title="title"),
        part_count=_count(parts),
    )


def _first(rows: QuerySet[Any], **fields: str) -> Subquery:
    first = rows.values(json=JSONObject(**fields))[:1]
    return Subquery(first, output_field=JSONField())


def _count(rows: QuerySet[Any]) -> Coalesce:
    counted = rows.order_by().annotate(one=Value(1)).values("one").annotate(count=Count("pk")).values("count")
    return Coalesce(Subquery(counted), 0)


def holding(engines: Iterable[Engine]) -> dict[int, list[str]]:
    """Return what holds engines besides inspections and tasks, in words: work not signed, open discrepancies, parts.

    Read in one query, or in none where the engines came with it.
    """
    engines = list(engines)
    if not all(hasattr(engine, "work_count") for engine in engines):
        engines = list(with_holding(Engine.objects.filter(pk__in=[engine.pk for engine in engines])))
    return {engine.pk: list(_reasons(engine)) for engine in engines}


def _reasons(engine: Any) -> Iterator[str]:
    if engine.work_first:
        kind = Work.Kind(engine.work_first["kind"]).label
        yield f"Work {engine.work_first['number']}: {kind} is begun and not signed{_more(engine.work_count)}"
    if engine.wrong_first:
        first = engine.wrong_first
        yield f"{first['text'].rstrip('.')} (discrepancy {first['number']}{_more(engine.wrong_count)})"
    if engine.part_first:
        yield f"{engine.part_first['title']}: sent by another program and not signed{_more(engine.part_count)}"
    yield from reasons_of(engine)


def _more(count: int) -> str:
    return f", and {count - 1} more" if count > 1 else ""


def may_look(work: Work, by: Person) -> bool:
    """Return whether a person may take the second look at work today, by the operator's list where it keeps one."""
    kept = Authorization.objects.filter(operator=work.operator_id)
    of_type = Q(engine_type=None) | Q(engine_type=work.engine.engine_type_id)
    covering = authorizations_on(timezone.localdate()).filter(of_type, operator=work.operator_id, person=by, only="")
    return covering.exists() or not kept.exists()


def days_worked(person: Person, today: date) -> list[date]:
    """Return the days of the last two years on which a person signed maintenance or inspections here."""
    signed = Entry.objects.filter(signed_by=person.pk, kind__in=(Entry.Kind.WORK, Entry.Kind.INSPECTION))
    recent = signed.filter(completed_on__range=(today - LOOKED_BACK, today))
    return list(recent.order_by("completed_on").values_list("completed_on", flat=True).distinct())


def overdue_on(engine: Engine) -> list[str]:
    """Return the mandatory tasks of an engine and the limits of its parts that are overdue, in words."""
    times = times_read([engine]) if hasattr(engine, "counted") else None
    return list(due_of([engine], times).overdue(engine))
