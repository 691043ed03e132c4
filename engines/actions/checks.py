"""Keeping the answers to a type's checks before a start."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.models import AbstractBaseUser
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine, StartCheck, TypeRevision
from engines.start_checks import Answer, Check, answer_text, out_of_place
from engines.start_scales import checks_on


def check_keep(
    *,
    engine: Engine,
    revision: TypeRevision,
    answers: Sequence[Answer],
    reasons: Mapping[int, str],
    by: AbstractBaseUser,
    at: datetime | None = None,
    remarks: str = "",
    id: UUID | None = None,
    unit: str = "",
) -> StartCheck:
    """Keep an observer's answers to the checks of a type's revision, each in its check's unit.

    ``unit`` is the one of temperature in which the observer was asked and answered, where it is another: an answer is
    kept as it was given, beside what was asked in the same unit. Raises DomainError
    "no_checks" where the type has none, "reason_needed" where an answer out of place has no reason, with the check's
    place in ``fields``.
    """
    stated = revision.data.checks
    if stated is None:
        raise DomainError("The document of this type has no checks before a start.", code="no_checks")
    listed = checks_on(stated, unit)
    wrong = out_of_place(listed.checks, answers)
    missing = {str(place): words for place, words in wrong.items() if not reasons.get(place, "").strip()}
    if missing:
        said = " ".join(missing.values())
        raise DomainError(f"{said} Put it right, or say why it is so.", code="reason_needed", fields=missing)
    rows = [
        _row(check, answer, wrong.get(place, ""), reasons.get(place, "") if place in wrong else "")
        for place, (check, answer) in enumerate(zip(listed.checks, answers, strict=True))
    ]
    about: dict[str, Any] = {"by": by} if id is None else {"by": by, "id": id}
    return StartCheck.objects.create(
        **about,
        operator_id=engine.operator_id,
        engine=engine,
        revision=revision,
        answers=rows,
        remarks=remarks.strip(),
        at=at or timezone.now(),
    )


def _row(check: Check, answer: Answer, question: str, reason: str) -> dict[str, object]:
    return {
        "name": check.name,
        "unit": check.unit,
        "value": answer,
        "said": answer_text(check, answer),
        "asked": check.asked,
        "question": question,
        "reason": reason.strip(),
    }
