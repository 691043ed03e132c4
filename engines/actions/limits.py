"""Entering limits of parts, replacing them by newer revisions, and recording that an interval was met."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction

from engines.actions.runs import moment_fault
from engines.actions.stays import stays_write
from engines.counters import CALENDAR, COUNT, DAYS, EQUIVALENT, MONTHS, SECONDS, Counter, counter_of
from engines.errors import DomainError
from engines.models import Component, Operator, PartDone, PartLimit

# What makes an overhaul one, by 14 CFR 43.2(a): all of it, and then a test.
OVERHAUL_STEPS: Final = {
    "disassembled": "Disassembled",
    "cleaned": "Cleaned",
    "inspected": "Inspected",
    "repaired": "Repaired as necessary",
    "reassembled": "Reassembled",
    "tested": "Tested to approved or acceptable data",
}


@dataclass(frozen=True)
class LimitFacts:
    """What a source says of a limit: how much, with which tolerance and weight, and which source it is.

    ``amount`` and ``tolerance`` are in ``unit``: ``"s"``, ``"count"``, ``"days"`` or ``"months"``.
    """

    amount: int
    unit: str
    source: str
    source_revision: str
    weight: Decimal = Decimal(0)
    tolerance: int = 0
    remarks: str = ""


def limit_add(
    *,
    operator: Operator,
    part_number: str,
    kind: str,
    parameter: str,
    facts: LimitFacts,
    by: AbstractBaseUser,
    serial: str = "",
    further: tuple[Counter, ...] = (),
) -> PartLimit:
    """Enter the first revision of a limit of a part number, of all serials or of one.

    Raises DomainError "limit_impossible" for what no limit can be, "source_missing" without its source and revision,
    "limit_known" where that parameter has a limit of that kind already, which is to be replaced instead.
    """
    limit_check(kind, parameter, facts, further)
    named = {"part_number": part_number.strip(), "serial": serial.strip(), "kind": kind, "parameter": parameter}
    if PartLimit.objects.filter(operator=operator, replaced_by__isnull=True, **named).exists():
        raise DomainError("There is such a limit already; replace it by its newer revision.", code="limit_known")
    return PartLimit.objects.create(operator=operator, entered_by_id=by.pk, **named, **vars(facts))


@transaction.atomic
def limit_replace(*, limit: PartLimit, facts: LimitFacts, by: AbstractBaseUser) -> PartLimit:
    """Replace a limit by what a newer revision of its source says; the older one stays readable.

    Raises DomainError "revision_same" where source and revision are those of the limit in force, "replaced_before",
    and what limit_add raises.

    References
    ----------
    14 CFR 33.70: the maker publishes the lives; a user can't raise one.
    """
    limit_check(limit.kind, limit.parameter, facts, (Counter(limit.parameter, limit.parameter, limit.unit),))
    if (facts.source.strip(), facts.source_revision.strip()) == (limit.source, limit.source_revision):
        words = f"{limit.source}, revision {limit.source_revision} is in force; only a newer revision replaces it."
        raise DomainError(words, code="revision_same", fields={"source_revision": words})
    same = {name: getattr(limit, name) for name in ("operator", "key", "part_number", "serial", "kind", "parameter")}
    try:
        with transaction.atomic():
            return PartLimit.objects.create(replaces=limit, entered_by_id=by.pk, **same, **vars(facts))
    except IntegrityError as error:
        raise DomainError("This revision was replaced by another before.", code="replaced_before") from error


def limit_check(kind: str, parameter: str, facts: LimitFacts, further: tuple[Counter, ...]) -> None:
    """Raise DomainError for what no limit can be ("limit_impossible") or without its source ("source_missing")."""
    faults = _faults_named(kind, parameter, further) | _faults_counted(parameter, facts, further)
    if faults:
        raise DomainError("; ".join(f"{k} {v}" for k, v in faults.items()), code="limit_impossible", fields=faults)
    missing = [name for name in ("source", "source_revision") if not getattr(facts, name).strip()]
    if missing:
        words = "Name the document that grants the limit, and its revision."
        raise DomainError(words, code="source_missing", fields=dict.fromkeys(missing, words))


def _faults_named(kind: str, parameter: str, further: tuple[Counter, ...]) -> dict[str, str]:
    """Return what is wrong with the kind of a limit and with the parameter that it is of."""
    faults: dict[str, str] = {}
    if kind not in PartLimit.Kind.values:
        faults["kind"] = f"must be one of {', '.join(PartLimit.Kind.values)}"
    known = {*PartLimit.Parameter.values, *(counter.name for counter in further)}
    if parameter not in known:
        faults["parameter"] = f"must be one of {', '.join(sorted(known))}"
    return faults


def _faults_counted(parameter: str, facts: LimitFacts, further: tuple[Counter, ...]) -> dict[str, str]:
    """Return what is wrong with the unit, the amount and the weight of a limit."""
    faults: dict[str, str] = {}
    if facts.unit not in units_of(parameter, further):
        faults["unit"] = f"must be {' or '.join(units_of(parameter, further))}"
    if facts.amount <= 0:
        faults["amount"] = "must be above 0"
    if facts.weight < 0 or (facts.weight and parameter != EQUIVALENT):
        faults["weight"] = "must be 0 or more, and of equivalent cycles only"
    return faults


def units_of(parameter: str, further: tuple[Counter, ...] = ()) -> tuple[str, ...]:
    """Return the units in which a limit of a parameter can be."""
    if parameter == CALENDAR:
        return DAYS, MONTHS
    return (SECONDS,) if counter_of(parameter, further).unit == SECONDS else (COUNT,)


@transaction.atomic
def part_done_add(
    *,
    component: Component,
    limit: PartLimit,
    at: datetime,
    reference: str,
    by: AbstractBaseUser,
    tested_by: str = "",
    steps: Iterable[str] = (),
    life: dict[str, Any] | None = None,
) -> PartDone:
    """Record that an overhaul or inspection was done to a part, by which its interval begins anew.

    Raises DomainError "limit_impossible" for a limit that is no interval of this part, "out_of_order" for a moment that
    can't be, "text_missing" without the data worked to, "overhaul_incomplete" where not every step of an overhaul is
    said to be done, or the test is not named.

    References
    ----------
    14 CFR 43.2(a): what may be called overhauled.
    """
    of_part = (limit.part_number, limit.operator_id) == (component.part_number, component.operator_id)
    if limit.kind == PartLimit.Kind.LIFE or not of_part or limit.serial not in ("", component.serial):
        raise DomainError(f"{limit} is no interval of {component}.", code="limit_impossible")
    if fault := moment_fault(at):
        raise DomainError(f"The moment {fault}.", code="out_of_order", fields={"at": fault})
    if not reference.strip():
        words = "Name the data worked to, with its revision."
        raise DomainError(words, code="text_missing", fields={"reference": words})
    _check_overhaul(limit, set(steps), tested_by)
    told = {"reference": reference.strip(), "tested_by": tested_by.strip(), "life": life}
    done = PartDone.objects.create(component=component, limit=limit, at=at, recorded_by_id=by.pk, **told)
    stays_write(component)
    return done


def _check_overhaul(limit: PartLimit, steps: set[str], tested_by: str) -> None:
    if limit.kind != PartLimit.Kind.OVERHAUL:
        return
    left = [words.lower() for name, words in OVERHAUL_STEPS.items() if name not in steps]
    if left:
        words = f"It is no overhaul until it is also {', '.join(left)}."
        raise DomainError(words, code="overhaul_incomplete", fields={"steps": words})
    if not tested_by.strip():
        words = "Name the test after the overhaul, with its data."
        raise DomainError(words, code="overhaul_incomplete", fields={"tested_by": words})
