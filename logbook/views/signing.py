"""Read and sign: the text exactly as it will print, then the signer's password at that moment."""

import hashlib
import json
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render

from engines.errors import DomainError
from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from inspections import states
from inspections.actions.closing import work_state
from inspections.models import Inspection
from inspections.queries import inspection_for
from logbook import actions
from logbook.forms.signing import SignForm
from logbook.models import Entry

CHANGED = "It has changed since you read it, and nothing was signed. Read it again as it is now."


@screen("inspection.close")
def inspection_sign(request: ScreenRequest, pk: int) -> HttpResponse:
    """Ask how the inspection ends, show what will be signed, and sign it."""
    inspection = found(inspection_for, request.user, pk)
    asks_password = request.POST.get("stage") == "sign"
    form = SignForm(*sent(request), person=request.user, asks_password=asks_password)
    act = sign_as_read if asks_password else rehearse
    entry = form.act(lambda: act(request, inspection, form)) if request.method == "POST" else None
    if entry is not None and asks_password:
        return signed(request, entry)
    text = entry or (read_again(request, inspection, form) if asks_password else None)
    context = {"inspection": inspection, "form": form, "missing": missing_of(inspection)}
    if text is not None:
        asking = form if asks_password else SignForm(person=request.user)
        context |= {"body": text.body, "read": mark_of(text), "password": asking["password"]}
    return render(request, "inspections/inspection_sign.html", context, status=UNPROCESSABLE if form.errors else 200)


def sign(request: ScreenRequest, inspection: Inspection, data: dict[str, Any]) -> Entry:
    """End the inspection as the sheet says."""
    names = ("certificate", "outcome", "extent", "completed_on", "given_to")
    return actions.inspection_sign(inspection=inspection, by=request.user, **{name: data[name] for name in names})


def rehearse(request: ScreenRequest, inspection: Inspection, form: SignForm) -> Entry:
    """Return the entry that signing would make, made and taken back, so that what is read is what will be signed."""
    with transaction.atomic():
        entry = sign(request, inspection, form.cleaned_data)
        transaction.set_rollback(True)
    inspection.refresh_from_db()
    return entry


def mark_of(entry: Entry) -> str:
    """Return the SHA-256 by which the text that was read is known again, whenever it is signed."""
    signed = {name: value for name, value in entry.body["signed"].items() if name != "at"}
    text = json.dumps(entry.body | {"signed": signed}, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def sign_as_read(request: ScreenRequest, inspection: Inspection, form: SignForm) -> Entry:
    """Sign; DomainError "text_changed", with nothing signed, where somebody worked on it since it was read."""
    with transaction.atomic():
        entry = sign(request, inspection, form.cleaned_data)
        if mark_of(entry) != form.cleaned_data["read"]:
            raise DomainError(CHANGED, code="text_changed", fields={"read": CHANGED})
    return entry


def read_again(request: ScreenRequest, inspection: Inspection, form: SignForm) -> Entry | None:
    """Return the text once more where only the password was wrong, or the text is another than the one read."""
    if not form.errors.keys() <= {"password", "read"}:
        return None
    return rehearse(request, inspection, form)


def signed(request: ScreenRequest, entry: Entry) -> HttpResponse:
    """Go on to the entry."""
    messages.success(request, f"Signed: entry {entry.number}.")
    return redirect("entry_detail", entry.number)


def missing_of(inspection: Inspection) -> list[str]:
    """Return what stands against approving the inspection now, in words."""
    work = work_state(inspection)
    missing = [f"Step not answered: {text}" for text in work.unanswered]
    missing += [f"Step not done: {text}" for text in work.not_done]
    missing += [f"Finding without a corrective action: {text}" for text in work.findings_without_action]
    if work.needs_second and not work.has_second:
        missing.append("The second look of a required inspection item.")
    if inspection.state not in states.UNSETTLED:
        missing.append("It is signed already.")
    return missing
