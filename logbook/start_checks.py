"""Checks before a start: kept, what is out of place put to the director, and found again for a run."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from engines.actions import check_keep
from engines.models import Engine, StartCheck, TypeRevision
from engines.start_checks import Answer
from logbook.desk import Concern
from logbook.models import Person

BEFORE: Final = timedelta(hours=3)  # how long before a start its checks may have been answered


@transaction.atomic
def check_enter(
    *,
    engine: Engine,
    revision: TypeRevision,
    answers: Sequence[Answer],
    reasons: Mapping[int, str],
    by: Person,
    at: datetime | None = None,
    remarks: str = "",
    id: UUID | None = None,
    unit: str = "",
) -> StartCheck:
    """Keep the answers, and put each that is out of place to the director with its reason.

    The same id again changes nothing. Raises what :func:`engines.actions.check_keep` raises.
    """
    known = StartCheck.objects.filter(pk=id, operator=engine.operator_id).first() if id else None
    if known is not None:
        return known
    about: dict[str, Any] = {"by": by, "at": at, "remarks": remarks, "id": id, "unit": unit}
    check = check_keep(engine=engine, revision=revision, answers=answers, reasons=reasons, **about)
    for answer in check.wrong:
        Concern.objects.create(
            operator_id=engine.operator_id,
            kind=Concern.Kind.CHECK,
            engine=engine,
            about=answer["name"],
            text=answer["question"],
            reason=answer["reason"],
            raised_by=by,
        )
    return check


def check_list(user: Person) -> QuerySet[StartCheck]:
    """Return the operator's checks before starts, newest first."""
    found = StartCheck.objects.filter(operator_id=user.operator_id or 0)
    return found.select_related("engine__engine_type", "engine__operator", "revision", "by")


def check_for(user: Person, pk: Any) -> StartCheck:
    """Return one; StartCheck.DoesNotExist where the person may not see it."""
    return check_list(user).get(pk=pk)


def check_before(engine: Engine, began: datetime) -> StartCheck | None:
    """Return the checks that were answered last before a run began, within three hours; None where none were."""
    answered = engine.start_checks.filter(at__lte=began, at__gte=began - BEFORE)
    return answered.select_related("by").order_by("-at").first()
