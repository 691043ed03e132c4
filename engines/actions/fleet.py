"""Entering engine types, revisions of their limits, and engines."""

from datetime import date
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.utils import timezone

from engines.actions.keying import charts_left
from engines.charts import EngineTypeData
from engines.documents import engine_type_read
from engines.errors import DocumentError, DomainError
from engines.models import Engine, EngineType, Operator, TypeRevision


@transaction.atomic
def engine_type_add(*, operator: Operator, document: Any, source: str, by: AbstractBaseUser) -> TypeRevision:
    """Enter a type of engine; its first revision is in force from the beginning.

    Raises DocumentError for a malformed document and DomainError "name_taken" for a name in use.
    """
    data = engine_type_read(document)
    Operator.objects.select_for_update().get(pk=operator.pk)
    if operator.engine_types.filter(name=data.name).exists():
        raise DomainError(
            f"There is already an engine type named {data.name}; enter a revision of it instead.", code="name_taken"
        )
    engine_type = EngineType.objects.create(operator=operator, name=data.name)
    return TypeRevision.objects.create(
        engine_type=engine_type, number=1, document=document, source=source, entered_by_id=by.pk, is_adopted=True
    )


@transaction.atomic
def revision_enter(
    *, engine_type: EngineType, document: Any, source: str, in_force_from: date | None, by: AbstractBaseUser
) -> TypeRevision:
    """Enter a changed document as a draft, which judges nothing until a second person has checked it.

    Raises DocumentError for a malformed document, and for one of another name than the type's.
    """
    data = engine_type_read(document)
    if data.name != engine_type.name:
        raise DocumentError(
            f"name: must stay {engine_type.name}.", fields={"name": f"must stay {engine_type.name}, not {data.name}"}
        )
    _check_units(engine_type, data)
    if not source.strip():
        raise DomainError("Name the document that the changed limits come from.", code="source_missing")
    if in_force_from is None:
        raise DomainError("Say from which day the changed limits are in force.", code="date_missing")
    newest = engine_type.revisions.select_for_update().latest("number")
    return TypeRevision.objects.create(
        engine_type=engine_type,
        number=newest.number + 1,
        document=document,
        source=source.strip(),
        in_force_from=in_force_from,
        entered_by_id=by.pk,
    )


def _check_units(engine_type: EngineType, data: EngineTypeData) -> None:
    """Refuse another unit for a channel: stored traces are in the unit that it had."""
    units = {c.name: c.unit for c in engine_type.revisions.latest("number").data.channels}
    for k, channel in enumerate(data.channels):
        if units.get(channel.name, channel.unit) != channel.unit:
            text = f"must stay {units[channel.name]}, in which runs are stored; add a channel of another name instead"
            raise DocumentError(f"channels[{k}].unit: {text}.", fields={f"channels[{k}].unit": text})


@transaction.atomic
def revision_adopt(*, revision: TypeRevision, by: AbstractBaseUser) -> TypeRevision:
    """Adopt a revision that somebody else entered; from its date on it judges runs.

    Raises DomainError "second_person_needed" for the person who entered it, "already_adopted" for one
    adopted before, "keying_needed" while a changed chart is not keyed a second time or does not agree.
    """
    revision = TypeRevision.objects.select_for_update().select_related("engine_type").get(pk=revision.pk)
    if revision.checked_by_id is not None:
        raise DomainError(f"{revision} was checked before.", code="already_adopted")
    if revision.entered_by_id == by.pk:
        raise DomainError(
            "Whoever entered limits can't check them; a second person has to compare them with the source.",
            code="second_person_needed",
        )
    left = charts_left(revision)
    if left:
        raise DomainError(
            f"Not keyed a second time, or not in agreement: {'; '.join(left)}. Every changed chart has to agree first.",
            code="keying_needed",
        )
    revision.checked_by_id, revision.checked_at, revision.is_adopted = by.pk, timezone.now(), True
    revision.save(update_fields=["checked_by", "checked_at", "is_adopted"])
    return revision


def engine_add(*, operator: Operator, engine_type: EngineType, serial: str, **opening: Any) -> Engine:
    """Enter an engine with where it is fitted and what it had used; DomainError "serial_taken" for one in use."""
    try:
        with transaction.atomic():
            return Engine.objects.create(operator=operator, engine_type=engine_type, serial=serial.strip(), **opening)
    except IntegrityError as error:
        raise DomainError(f"There is already an engine with serial {serial}.", code="serial_taken") from error
