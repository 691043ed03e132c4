"""Writing where parts ran anew after their ledgers got a line, and the points of the engines' counters it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.db import transaction

from engines.errors import DomainError
from engines.models import Component, Engine, PartMovement, PartStay, TaskRecord, UsagePoint
from engines.models.usage import point_set, runs_sum, total_locked
from engines.part_queries import done_standing, lines_standing
from engines.stays import LedgerLine, Span, stays_of
from engines.times import Times, total

Points = dict[tuple[int, datetime | None], UsagePoint]


def point_at(engine: Engine, at: datetime | None) -> UsagePoint:
    """Return the point of an engine's counters at a moment, made where there is none; the engine's total for None."""
    whole = total_locked(engine)
    if at is None:
        return whole
    known = UsagePoint.objects.filter(engine=engine, at=at).first()
    if known is not None:
        return known
    # Counted back from the next point, as what is recorded is mostly recent.
    after = UsagePoint.objects.filter(engine=engine, at__gt=at).order_by("at").first() or whole
    runs = engine.runs.filter(started_at__gte=at)
    between = runs if after.at is None else runs.filter(started_at__lt=after.at)
    point = UsagePoint(engine=engine, at=at)
    point_set(point, after.times - runs_sum(between))
    return point


def held_by(component: Component) -> set[int]:
    """Return a component and every part that ever sat in it, by way of others too."""
    found, newest = {component.pk}, {component.pk}
    while newest:
        rows = PartMovement.objects.filter(parent__in=newest).values_list("component", flat=True)
        newest = set(rows) - found
        found |= newest
    return found


def ledgers_of(parts: set[int]) -> dict[int, list[LedgerLine]]:
    """Return the standing ledgers of some parts and of all that they ever sat in."""
    found: dict[int, list[LedgerLine]] = {}
    newest = parts
    while newest:
        found |= {key: [] for key in newest}
        # What left while it was fitted came off then; what left or came back otherwise was on nothing.
        lines = lines_standing().filter(component__in=newest).exclude(engine=None, parent=None)
        for line in sorted(lines, key=in_order):
            found[line.component_id].append(LedgerLine(line.at, line.kind == PartMovement.Kind.FITTED, line.host))
        newest = {line.parent_id for line in lines if line.parent_id} - set(found)
    return found


def in_order(line: PartMovement) -> tuple[datetime, bool]:
    """Return what lines are ordered by: the moment, and a removal before a fitting of the same one."""
    return line.at, line.kind == PartMovement.Kind.FITTED


@transaction.atomic
def stays_write(component: Component) -> None:
    """Write where a component ran, and every part that ever sat in it, anew from the ledgers.

    Raises DomainError "sits_in_itself" where a part would, by way of others, sit in itself.
    """
    parts = held_by(component)
    ledgers = ledgers_of(parts)
    cuts = [
        *done_standing().filter(component__in=parts, life__isnull=True).values_list("component", "at"),
        *TaskRecord.objects.filter(component__in=parts).exclude(until=None).values_list("component", "until"),
    ]
    try:
        spans = {part: stays_of(part, ledgers, [at for key, at in cuts if key == part and at]) for part in parts}
    except ValueError as error:
        raise DomainError("A part can't sit in itself, by way of others neither.", code="sits_in_itself") from error
    points = points_at(span for found in spans.values() for span in found)
    PartStay.objects.filter(component__in=parts).delete()
    PartStay.objects.bulk_create(
        PartStay(
            component_id=part,
            engine_id=span.host.key,
            begin=points[span.host.key, span.begin],
            end=points[span.host.key, span.end],
        )
        for part, found in spans.items()
        for span in found
    )
    aways_write(component)


def aways_write(component: Component) -> None:
    """Write anew when a component was with other owners, and what it had used when it went and when it came back."""
    gone, found = None, []
    for line in lines_standing().filter(component=component).order_by("at", "pk"):
        if line.kind == PartMovement.Kind.RETURNED and gone is not None:
            ends = {"begin": gone.at.isoformat(), "end": line.at.isoformat()}
            lives = {"at_begin": gone.life["used"], "at_end": line.life["used"]}
            found.append({"where": gone.place, **ends, **lives})
        gone = line if line.kind == PartMovement.Kind.LEFT else None
    if component.away != found:
        component.away = found
        component.save(update_fields=["away"])


def points_at(spans: Iterable[Span]) -> Points:
    """Return the points at the ends of some stays; engines are held in one order by everybody."""
    needed = {(span.host.key, at) for span in spans for at in (span.begin, span.end)}
    engines = Engine.objects.in_bulk({key for key, _ in needed})
    ordered = sorted(needed, key=lambda pair: pair[0])
    return {(key, at): point_at(engines[key], at) for key, at in ordered}


@transaction.atomic
def used_by(component: Component, at: datetime) -> Times:
    """Return what a component had used until a moment."""
    stays = PartStay.objects.filter(component=component, begin__at__lt=at).select_related("engine", "begin", "end")
    ended = [
        (stay, stay.end if stay.end.at is not None and stay.end.at <= at else point_at(stay.engine, at))
        for stay in stays
    ]
    away = (stay.used for stay in component.aways if stay.end is not None and stay.end <= at)
    return total([component.brought, *away, *(end.times - stay.begin.times for stay, end in ended)])


@transaction.atomic
def used_along(component: Component, ledgers: Mapping[int, Sequence[LedgerLine]], at: datetime) -> Times:
    """Return what a component would have used until a moment by ledgers that are not stored yet."""
    spans = [span for span in stays_of(component.pk, ledgers) if span.begin < at]
    clipped = [Span(span.host, span.begin, at if span.end is None else min(at, span.end)) for span in spans]
    points = points_at(clipped)
    keys = [((span.host.key, span.begin), (span.host.key, span.end)) for span in clipped]
    away = (stay.used for stay in component.aways if stay.end is not None and stay.end <= at)
    return total([component.brought, *away, *(points[end].times - points[begin].times for begin, end in keys)])


@transaction.atomic
def usage_rebuild(engine: Engine) -> None:
    """Count an engine's points anew from its runs, where rows were stored beside the actions."""
    total_locked(engine)
    for point in UsagePoint.objects.filter(engine=engine):
        point_set(
            point, runs_sum(engine.runs.all() if point.at is None else engine.runs.filter(started_at__lt=point.at))
        )
