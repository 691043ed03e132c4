"""Writing a note beside an inspection."""

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from engines.errors import DomainError
from inspections import states
from inspections.models import Inspection, InspectionNote


@transaction.atomic
def note_add(*, inspection: Inspection, text: str, by: AbstractBaseUser) -> InspectionNote:
    """Write a note; DomainError "text_missing" for an empty one, "closed" where the inspection is approved."""
    if not text.strip():
        raise DomainError("Write the note first.", code="text_missing")
    inspection = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if inspection.state == states.APPROVED:
        raise DomainError(f"Inspection {inspection.number} is approved; nothing more can be added.", code="closed")
    return InspectionNote.objects.create(inspection=inspection, text=text.strip(), written_by_id=by.pk)
