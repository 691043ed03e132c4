"""What other programs sent of parts: read and signed like a sheet, or dropped with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from engines.web import ScreenRequest, found, screen
from logbook.forms.maintenance import DropForm
from logbook.forms.signing import RunSignForm
from logbook.models import Entry
from logbook.part_acts import CONFIRMS
from logbook.part_drafts.keeping import draft_drop, draft_fault, draft_sign
from logbook.part_drafts.queries import draft_for
from logbook.views.signing import read_and_sign


@screen("read", "part.move")
def part_draft(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Show what was sent of a part; read what it would enter, and sign it."""
    draft = found(draft_for, request.user, pk)

    def sign(form: Any) -> Sequence[Entry]:
        read = form.cleaned_data.get("read", "")
        return draft_sign(draft=draft, by=request.user, signing=form.signing(CONFIRMS), read=read)

    numbers = draft.entries.order_by("number").values_list("number", flat=True)
    context = {"draft": draft, "fault": draft_fault(draft, request.user), "numbers": numbers, "drop": DropForm()}
    return read_and_sign(request, RunSignForm, sign, template="logbook/part_draft.html", context=context)


@require_POST
@screen("part.move")
def part_draft_drop(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Drop what was sent of a part; it stays readable and is signed no more."""
    draft = found(draft_for, request.user, pk)
    draft_drop(draft=draft, why=request.POST.get("why", ""), by=request.user)
    messages.success(request, f"Dropped, and nothing of it counts: {draft.title}.")
    return redirect("unsigned_list")
