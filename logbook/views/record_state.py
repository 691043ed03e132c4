"""The record as a whole: is it whole, its checkpoints, its backups, and how records are kept here."""

import json

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from engines.errors import DomainError
from engines.models import Operator
from engines.web import ScreenRequest, found, page_of, screen
from logbook.backups import backup_newest, backup_overdue
from logbook.ledger.checking import Checked, ledger_check
from logbook.ledger.keys import key_name
from logbook.ledger.lots import LedgerBroken
from logbook.ledger.notes import vkey_encode
from logbook.ledger.store import checkpoint_make, inclusion_proof, size_of
from logbook.queries import entry_for
from logbook.record_words import described

AT_ONCE = 50_000  # entries that are verified while somebody waits


@screen("read")
def record_state(request: ScreenRequest) -> HttpResponse:
    """Show how much is kept, verify it where asked, and list the checkpoints and the last backup."""
    operator = operator_of(request)
    size = size_of(operator)
    verified, broken = verified_if_asked(request, operator, size)
    context = {
        "size": size,
        "page": page_of(request, operator.checkpoints.order_by("-size")),
        "is_long": size > AT_ONCE,
        "verified": verified,
        "broken": broken,
        "backup": backup_newest(),
        "overdue": backup_overdue(),
        "keys": [vkey_encode(key_name(operator), bytes.fromhex(key.public)) for key in operator.ledger_keys.all()],
    }
    return render(request, "logbook/record_state.html", context)


def operator_of(request: ScreenRequest) -> Operator:
    """Return the operator of whoever asks; 404 for an account without one."""
    if request.user.operator is None:
        raise Http404
    return request.user.operator


def verified_if_asked(request: ScreenRequest, operator: Operator, size: int) -> tuple[Checked | None, str]:
    """Return what verifying found, and what is wrong, where the address asks for it and the record is not too long."""
    if request.GET.get("verify") != "1" or size > AT_ONCE:
        return None, ""
    try:
        return ledger_check(operator), ""
    except LedgerBroken as error:
        return None, error.message


@screen("record.keep")
def checkpoint_add(request: ScreenRequest) -> HttpResponse:
    """Sign what the record is now."""
    point = checkpoint_make(operator_of(request))
    if point is None:
        raise DomainError("There is no entry yet to make a checkpoint of.", code="nothing_kept")
    messages.success(request, f"Checkpoint over {point.size} entries: keep it where nobody here can change it.")
    return redirect("record_state")


@screen("print")
def checkpoint_note(request: ScreenRequest, size: int) -> HttpResponse:
    """Give a checkpoint as the text to keep elsewhere."""
    operator = operator_of(request)
    point = operator.checkpoints.filter(size=size).first()
    if point is None:
        raise Http404
    answer = HttpResponse(point.note, content_type="text/plain; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="checkpoint-{size}.txt"'
    return answer


@screen("print")
def entry_proof(request: ScreenRequest, number: int) -> HttpResponse:
    """Give an entry with the proof of its place in the record, under a checkpoint."""
    entry = found(entry_for, request.user, number)
    operator = operator_of(request)
    point = operator.checkpoints.filter(size__gte=number).first() or checkpoint_make(operator)
    assert point is not None
    proof = {
        "document": entry.document.decode(),
        "leaf_hash": entry.leaf_hash,
        "leaf_index": number - 1,
        "tree_size": point.size,
        "inclusion_path": [digest.hex() for digest in inclusion_proof(entry, point.size)],
        "checkpoint": point.note,
        "keys": [vkey_encode(key_name(operator), bytes.fromhex(key.public)) for key in operator.ledger_keys.all()],
    }
    answer = HttpResponse(json.dumps(proof, indent=2, ensure_ascii=False) + "\n", content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="entry-{number}-proof.json"'
    return answer


@screen("read")
def record_description(request: ScreenRequest) -> HttpResponse:
    """Describe how records are kept here, for the operator to adopt and an authority to read."""
    context = {"sections": described(operator_of(request)), "operator": operator_of(request)}
    return render(request, "logbook/record_description.html", context)
