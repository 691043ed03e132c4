"""Handing a packed record over, and taking that back, each read and signed."""

from functools import partial
from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.urls import reverse

from engines.web import ScreenRequest, found, screen
from logbook.forms.packages import HandoverVoidForm, PackageGiveForm
from logbook.handover import giving, queries
from logbook.models import Entry
from logbook.queries import entry_for
from logbook.views.signing import read_and_sign

DO = "record.hand_over"
SHEET = "logbook/package_sheet.html"


@screen(DO)
def package_give(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Ask to whom a packed record goes and who keeps what, show what will be signed, and sign it."""
    job = found(queries.job_for, request.user, pk)

    def sign(form: Any) -> Entry:
        return giving.handover_sign(job=job, giving=form.giving(), **_signs(request, form, giving.MEANING))

    lead = "Once it is signed, nothing more is recorded here of it: its record goes on with the new owner."
    context = {
        "heading": f"Hand over the {str(job)[0].lower()}{str(job)[1:]}",
        "lead": lead,
        "kept_as": f"package-give:{job.pk}",
        "back": (reverse("package_job", args=[job.pk]), "The package"),
    }
    sheet = partial(PackageGiveForm, is_part=job.engine_id is None)
    return read_and_sign(request, sheet, sign, template=SHEET, context=context)


@screen(DO)
def package_give_void(request: ScreenRequest, number: int) -> HttpResponse:
    """Ask why a hand-over came to nothing, show what will be signed, and sign it."""
    entry = found(entry_for, request.user, number)
    if giving.handover_void_fault(entry):
        raise Http404(f"Entry {number} is no hand-over that stands.")

    def sign(form: Any) -> Entry:
        why = form.cleaned_data["why"]
        return giving.handover_void_sign(entry=entry, why=why, **_signs(request, form, giving.VOID_MEANING))

    context = {
        "heading": f"Hand-over void, entry {number}",
        "lead": f"It never went to {entry.body['handed']['to']}. Entry {number} stays readable as it was signed.",
        "kept_as": f"package-give-void:{number}",
        "back": (reverse("entry_detail", args=[number]), f"Entry {number}"),
    }
    return read_and_sign(request, HandoverVoidForm, sign, template=SHEET, context=context)


def _signs(request: ScreenRequest, form: Any, meaning: str) -> dict[str, Any]:
    return {"by": request.user, "signing": form.signing(meaning), "read": form.cleaned_data.get("read", "")}
