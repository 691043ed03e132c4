"""The sheets of parts, each read and signed: a new part, fitting, removing, sending, limits, and intervals met."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.http import Http404, HttpResponse
from django.utils import timezone

from engines import actions
from engines.bulk import template_csv
from engines.models import Component, PartLimit, PartMovement
from engines.part_queries import NEWEST_FIRST, component_for, fitted_at, limits_of, lines_standing, off_since
from engines.times import Times
from engines.web import ScreenRequest, found, screen
from logbook import part_acts
from logbook.forms.bulk import BulkForm
from logbook.forms.part_moves import PartMoveForm
from logbook.forms.parts import (
    LimitAddForm,
    LimitForm,
    PartAddForm,
    PartDoneForm,
    PartFitForm,
    PartRemoveForm,
    PartReturnForm,
    PartSendForm,
    PartStrikeForm,
)
from logbook.models import Entry
from logbook.part_acts import CONFIRMS, engine_of, further_of
from logbook.part_lists import parts_bulk_sign
from logbook.part_words import limit_words
from logbook.views.signing import read_and_sign

SHEET = "engines/part_sheet.html"


def signs(request: ScreenRequest, form: Any) -> dict[str, Any]:
    """Return by whom an act is signed, and what was read of it."""
    return {"by": request.user, "signing": form.signing(CONFIRMS), "read": form.cleaned_data.get("read", "")}


def about(part: Component | None, heading: str, lead: str, kept_as: str) -> dict[str, Any]:
    """Return what a sheet says over its boxes."""
    return {"part": part, "heading": heading, "lead": lead, "kept_as": kept_as}


@screen("part.move")
def part_add(request: ScreenRequest) -> HttpResponse:
    """Enter a part with what it had used, and sign its opening balance."""

    def sign(form: Any) -> Entry:
        return part_acts.part_add_sign(**form.said(), **signs(request, form))

    lead = "What it had used when its record here begins, and where those figures come from. An empty box counts as 0."
    return read_and_sign(
        request, PartAddForm, sign, template=SHEET, context=about(None, "Add a part", lead, "part-add")
    )


@screen("part.move")
def parts_bulk(request: ScreenRequest) -> HttpResponse:
    """Take in a list of parts with their times, and sign it as one entry."""

    def sign(form: Any) -> Entry:
        return parts_bulk_sign(rows=form.parts, **signs(request, form))

    return read_and_sign(request, BulkForm, sign, template="engines/parts_bulk.html", context={})


@screen("read")
def parts_bulk_template(request: ScreenRequest) -> HttpResponse:
    """Give an empty list with every heading."""
    answer = HttpResponse(template_csv(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="parts.csv"'
    return answer


@screen("part.move")
def part_fit(request: ScreenRequest, pk: int) -> HttpResponse:
    """Fit a part to an engine or into a module, and sign that."""
    part = found(component_for, request.user, pk)

    def sign(form: Any) -> Entry:
        return part_acts.part_fit_sign(component=part, fitting=form.fitting(), **signs(request, form))

    lead = "From then on it uses what its engine uses, by way of the module it sits in, if it does."
    context = about(part, f"Fit {part}", lead, f"part-fit:{part.pk}")
    return read_and_sign(request, partial(PartFitForm, component=part), sign, template=SHEET, context=context)


@screen("part.move")
def part_remove(request: ScreenRequest, pk: int) -> HttpResponse:
    """Remove a part from where it is fitted, and sign that, with how it is controlled."""
    part = found(component_for, request.user, pk)
    line = fitted_at(part)

    def sign(form: Any) -> Entry:
        return part_acts.part_remove_sign(component=part, removal=form.removal(), **signs(request, form))

    where = (line.engine or line.parent) if line else "nothing"
    lead = f"It is fitted to {where}. What it has used until then is kept with the entry."
    context = about(part, f"Remove {part}", lead, f"part-remove:{part.pk}")
    return read_and_sign(request, partial(PartRemoveForm, component=part), sign, template=SHEET, context=context)


@screen("part.move")
def part_move(request: ScreenRequest, pk: int) -> HttpResponse:
    """Move a part from one engine or module to another, and sign both entries after reading them together."""
    part = found(component_for, request.user, pk)
    line = fitted_at(part)
    if line is None:
        raise Http404(f"{part} is fitted to nothing that it could be moved from.")

    def sign(form: Any) -> tuple[Entry, Entry]:
        told = {"removal": form.removal(), "fitting": form.fitting()}
        return part_acts.part_move_sign(component=part, **told, **signs(request, form))

    where = f"{line.engine or line.parent}{f', {line.position}' if line.position else ''}"
    lead = f"It is fitted to {where}. Two entries are read together and signed: that it was removed, and fitted."
    context = about(part, f"Move {part}", lead, f"part-move:{part.pk}")
    return read_and_sign(request, partial(PartMoveForm, component=part), sign, template=SHEET, context=context)


@screen("part.move")
def part_send(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record that a part went to another owner, and sign that."""
    part = found(component_for, request.user, pk)

    def sign(form: Any) -> Entry:
        data = form.cleaned_data
        names = ("to", "at", "control")
        return part_acts.part_send_sign(component=part, **{n: data[n] for n in names}, **signs(request, form))

    lead = "Its tag, mark or record goes with it; so does the print of its history. It can't be fitted here any more."
    context = about(part, f"Send {part} to another owner", lead, f"part-send:{part.pk}")
    return read_and_sign(request, PartSendForm, sign, template=SHEET, context=context)


@screen("part.move")
def part_return(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record that a part came back from another owner, and sign that."""
    part = found(component_for, request.user, pk)
    gone = off_since(part)
    if gone is None or gone.kind != PartMovement.Kind.LEFT:
        raise Http404(f"{part} is not with another owner.")

    def sign(form: Any) -> Entry:
        return part_acts.part_return_sign(component=part, told=form.told(), **signs(request, form))

    lead = (
        f"It went to {gone.place} on {timezone.localtime(gone.at):%Y-%m-%d}. State what it had used in all when it "
        "came back, by the record that came with it. Where a package comes with it, take that in instead."
    )
    context = about(part, f"{part} came back", lead, f"part-return:{part.pk}")
    sheet = partial(PartReturnForm, gone=Times(**gone.life["used"]))
    return read_and_sign(request, sheet, sign, template=SHEET, context=context)


@screen("part.move")
def part_strike(request: ScreenRequest, pk: int) -> HttpResponse:
    """Strike the newest line of a part's ledger, and sign that."""
    part = found(component_for, request.user, pk)
    line = lines_standing().filter(component=part).select_related("engine", "parent").order_by(*NEWEST_FIRST).first()
    if line is None:
        raise Http404(f"{part} has no line that could be struck.")

    def sign(form: Any) -> Entry:
        reason = form.cleaned_data["reason"]
        return part_acts.part_strike_sign(component=part, reason=reason, **signs(request, form))

    where = line.engine or line.parent or line.place
    said = f"{line.get_kind_display()}, {timezone.localtime(line.at):%Y-%m-%d %H:%M}, {where}"
    lead = f"The newest line: {said}. It stays readable and counts no more; record what was right afterwards."
    context = about(part, f"Strike a line of {part}", lead, f"part-strike:{line.pk}")
    return read_and_sign(request, PartStrikeForm, sign, template=SHEET, context=context)


@screen("limits.enter")
def limit_add(request: ScreenRequest, pk: int) -> HttpResponse:
    """Enter a limit of a part number, and sign it."""
    part = found(component_for, request.user, pk)
    further = further_of(engine_of(part))

    def sign(form: Any) -> Entry:
        data = form.cleaned_data
        limit = actions.limit_add(
            operator=part.operator,
            part_number=part.part_number,
            serial=part.serial if data["only_this"] else "",
            kind=data["kind"],
            parameter=data["parameter"],
            facts=form.facts(),
            by=request.user,
            further=further,
        )
        return part_acts.limit_sign(component=part, limit=limit, **signs(request, form))

    lead = f"It applies to every part of number {part.part_number}, unless it is of this serial only."
    context = about(part, f"Add a limit to {part.part_number}", lead, f"limit-add:{part.pk}")
    return read_and_sign(request, partial(LimitAddForm, further=further), sign, template=SHEET, context=context)


def limit_of(part: Component, pk: int) -> PartLimit:
    """Return a limit in force of a part; 404 for any other."""
    for limit in limits_of(part):
        if limit.pk == pk:
            return limit
    raise Http404(f"{part} has no limit {pk} in force.")


@screen("limits.enter")
def limit_replace(request: ScreenRequest, pk: int, limit: int) -> HttpResponse:
    """Replace a limit by the newer revision of its source, and sign that."""
    part = found(component_for, request.user, pk)
    old = limit_of(part, limit)
    further = further_of(engine_of(part))

    def sign(form: Any) -> Entry:
        new = actions.limit_replace(limit=old, facts=form.facts(), by=request.user)
        return part_acts.limit_sign(component=part, limit=new, **signs(request, form))

    lead = f"In force: {limit_words(old)}, by {old.source}, revision {old.source_revision}. It stays readable."
    context = about(part, f"Replace a limit of {part.part_number}", lead, f"limit-replace:{old.pk}")
    sheet = partial(LimitForm, parameter=old.parameter, further=further)
    return read_and_sign(request, sheet, sign, template=SHEET, context=context)


@screen("part.move")
def part_done(request: ScreenRequest, pk: int, limit: int) -> HttpResponse:
    """Record that an overhaul or an inspection of a part was done, and sign that."""
    part = found(component_for, request.user, pk)
    interval = limit_of(part, limit)
    is_overhaul = interval.kind == PartLimit.Kind.OVERHAUL

    def sign(form: Any) -> Entry:
        data = form.cleaned_data
        told = {"steps": data.get("steps", ()), "tested_by": data.get("tested_by", "")}
        done = actions.part_done_add(
            component=part, limit=interval, at=data["at"], reference=data["reference"], by=request.user, **told
        )
        return part_acts.part_done_sign(done=done, **signs(request, form))

    lead = f"{limit_words(interval)}. Its count begins anew from then."
    context = about(part, f"{'Overhaul' if is_overhaul else 'Inspection'} of {part}", lead, f"part-done:{interval.pk}")
    sheet = partial(PartDoneForm, is_overhaul=is_overhaul)
    return read_and_sign(request, sheet, sign, template=SHEET, context=context)
