"""Read and sign: the text exactly as it will print, then the signer's secret at that moment."""

from collections.abc import Callable, Sequence
from typing import Any, Final
from uuid import UUID

from allauth.mfa.models import Authenticator
from allauth.mfa.webauthn.internal.auth import begin_authentication
from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from engines.web import UNPROCESSABLE, ScreenRequest, found, page_of, recorded, screen, sent
from inspections import states
from inspections.actions.closing import work_state
from inspections.models import Inspection
from inspections.queries import inspection_for
from logbook import actions, queries
from logbook.forms.signing import SECRETS, RunSignForm, SignForm, SigningSheet
from logbook.models import Entry
from logbook.part_drafts.queries import drafts_open
from logbook.signing import CONFIRMS, PASSWORD, Signing, text_hash, texts_hash

# What a sheet signs: one entry, or several that are read together and signed by one signature each at one moment.
Entries = Entry | Sequence[Entry]
Sign = Callable[[SigningSheet], Entries]
MOST_DRAFTS: Final = 50  # of parts on the list at once; signing or dropping some shows the next


@screen("inspection.close")
def inspection_sign(request: ScreenRequest, pk: int) -> HttpResponse:
    """Ask how the inspection ends, show what will be signed, and sign it."""
    inspection = found(inspection_for, request.user, pk)

    def sign(form: SigningSheet) -> Entry:
        data = form.cleaned_data
        names = ("outcome", "extent", "completed_on", "given_to", "limitations", "incomplete", "justification")
        return actions.inspection_sign(
            inspection=inspection_for(request.user, pk),
            by=request.user,
            signing=form.signing(),
            read=data.get("read", ""),
            **{name: data[name] for name in names},
        )

    context = {"inspection": inspection, "missing": missing_of(inspection)}
    return read_and_sign(request, SignForm, sign, template="inspections/inspection_sign.html", context=context)


@screen("run.record")
def run_sign(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Show what of a run will be signed, and sign it."""
    judgement = found(queries.judgement_shown, request.user, pk)
    run = judgement.run
    valid = queries.certificates_valid(request.user, timezone.localdate(run.started_at))

    def sign(form: SigningSheet) -> Entry:
        read = form.cleaned_data.get("read", "")
        return actions.run_sign(run=run, by=request.user, signing=form.signing(CONFIRMS), read=read)

    if request.method == "POST":
        return read_and_sign(request, RunSignForm, sign, template="logbook/run_sign.html", context={"run": run})
    if fault := actions.run_sign_fault(getattr(run, "unsigned", None), request.user):
        return render(request, "logbook/run_sign.html", {"run": run, "fault": fault.message})
    certificate = valid.first()
    body = actions.run_text(judgement, request.user, Signing(PASSWORD, CONFIRMS, certificate))
    form = RunSignForm(person=request.user, initial={"certificate": certificate})
    text = {"body": body, "bodies": [body], "read": text_hash(body)}
    context = {"run": run, "form": form, "password": form["password"]} | text
    return render(request, "logbook/run_sign.html", context)


@screen("read")
def unsigned_list(request: ScreenRequest) -> HttpResponse:
    """Show the runs that nobody has read and signed as they stand, and what other programs sent of parts."""
    page = page_of(request, queries.unsigned_list(request.user))
    drafts = drafts_open(request.user)[: MOST_DRAFTS + 1]
    context = {"page": page, "drafts": drafts[:MOST_DRAFTS], "has_more": len(drafts) > MOST_DRAFTS}
    return render(request, "logbook/unsigned_list.html", context)


def read_and_sign(
    request: ScreenRequest, sheet: Callable[..., SigningSheet], sign: Sign, *, template: str, context: dict[str, Any]
) -> HttpResponse:
    """Show the text that a sheet makes, and sign it as it was read; what is wrong is shown on the same sheet.

    ``kept_as`` of the context is under which name a device keeps what is typed until it is signed, where it has one.
    """
    asks_secret = request.POST.get("stage") == "sign"
    form = sheet(*sent(request), person=request.user, asks_secret=asks_secret)
    work = sign if asks_secret else rehearse_with(sign)
    entry = form.act(lambda: work(form)) if request.method == "POST" else None
    if entry is not None and asks_secret:
        return signed(request, entry, context.get("kept_as", ""))
    text = entry or (read_again(form, sign) if asks_secret else None)
    shown = {"form": form, **context} | (text_shown(request, text, form, sheet) if text is not None else {})
    return render(request, template, shown, status=UNPROCESSABLE if form.errors else 200)


def text_shown(
    request: ScreenRequest, text: Entries, form: SigningSheet, sheet: Callable[..., SigningSheet]
) -> dict[str, Any]:
    """Return the text to read, and what asks for the secret: the password, or a passkey where one is wanted."""
    stage = request.POST.get("stage")
    asking = form if stage == "sign" else sheet(person=request.user)
    bodies = [entry.body for entry in entries_of(text)]
    shown = {"body": bodies[0], "bodies": bodies, "read": texts_hash(bodies), "password": asking["password"]}
    return shown | (passkey_asked(request) if stage == "passkey" else {})


def entries_of(made: Entries) -> Sequence[Entry]:
    """Return what a sheet signed as a list, in the order in which it is read."""
    return [made] if isinstance(made, Entry) else made


def passkey_asked(request: ScreenRequest) -> dict[str, Any]:
    """Return the question that a passkey of the signer has to answer; nothing where they have none."""
    keys = Authenticator.objects.filter(user=request.user, type=Authenticator.Type.WEBAUTHN)
    if not keys.exists():
        messages.info(request, "You have no passkey. Add one under My access, or give your password.")
        return {}
    return {"passkey": {"request_options": begin_authentication(request.user)}}


def rehearse_with(sign: Sign) -> Sign:
    """Return a way to make the entry and to take it back, so that what is read is what will be signed."""

    def rehearse(form: SigningSheet) -> Entries:
        with transaction.atomic():
            form.cleaned_data["read"] = ""
            entry = sign(form)
            transaction.set_rollback(True)
        return entry

    return rehearse


def read_again(form: SigningSheet, sign: Sign) -> Entries | None:
    """Return the text once more where only the secret was wrong, or the text is another than the one read."""
    return rehearse_with(sign)(form) if form.errors.keys() <= set(SECRETS) else None


def signed(request: ScreenRequest, made: Entries, name: str) -> HttpResponse:
    """Go on to the newest entry, and tell the signer that they signed, when, and under which reference."""
    for entry in entries_of(made):
        at = timezone.localtime(entry.signed_at)
        recorded(request, f"Signed: entry {entry.number}, {at:%Y-%m-%d %H:%M:%S %z}.", name)
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
