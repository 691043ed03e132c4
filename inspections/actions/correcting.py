"""Correcting what was stated when an inspection ended; how it ended stays."""

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from engines.errors import DomainError
from inspections.actions.closing import statement_for, work_state
from inspections.closing import Closing, faults_of
from inspections.models import Inspection, Release

CORRECTABLE = ("extent", "completed_on", "given_to")
CHECKED = (*CORRECTABLE, "certificate")


@transaction.atomic
def release_correct(
    *, release: Release, closing: Closing, by: AbstractBaseUser, hours_s: int, statement: str = ""
) -> Release:
    """Keep a release beside the one that it corrects; ``hours_s`` is the engine's run time as it was signed. [s]

    ``statement`` is in words of one's own, where there are any.

    Raises DomainError "outcome_stays" for another outcome, "second_person_needed" for whoever gave the second look,
    "closing_refused" with what stands against it by field, and "nothing_changed".
    """
    inspection = Inspection.objects.select_for_update().get(pk=release.inspection_id)
    _check(release, closing, inspection, by)
    return Release.objects.create(
        inspection=inspection,
        outcome=release.outcome,
        extent=closing.extent.strip(),
        statement=statement or statement_for(inspection, closing, hours_s),
        completed_on=closing.completed_on,
        signed_by_id=by.pk,
        signed_name=closing.signed_name,
        certificate_kind=closing.certificate_kind,
        certificate_number=closing.certificate_number,
        second_name=release.second_name,
        given_to=closing.given_to.strip(),
        corrects=release,
    )


def _check(release: Release, closing: Closing, inspection: Inspection, by: AbstractBaseUser) -> None:
    if closing.outcome != release.outcome:
        words = "How it ended is not corrected: what is found later is a new discrepancy, and a new inspection."
        raise DomainError(words, code="outcome_stays")
    if inspection.required_inspection_item and inspection.second_by_id == by.pk:
        words = "You gave the second look of this required inspection item, so somebody else has to sign."
        raise DomainError(words, code="second_person_needed")
    every = faults_of(closing, work_state(inspection))
    faults = {name: words for name, words in every.items() if name in CHECKED}
    if faults:
        raise DomainError(" ".join(faults.values()), code="closing_refused", fields=faults)
    if all(_plain(getattr(closing, name)) == _plain(getattr(release, name)) for name in CORRECTABLE):
        raise DomainError("Nothing is stated otherwise than before.", code="nothing_changed")


def _plain(said: object) -> str:
    return str(said).strip()
