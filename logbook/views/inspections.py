"""One inspection with its work."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, prefetch_related_objects
from django.http import HttpResponse
from django.shortcuts import redirect, render

from engines.web import UNPROCESSABLE, ScreenRequest, found, screen
from inspections import states
from inspections.models import CorrectiveAction, Finding, Inspection, InspectionNote, Step
from logbook.forms.fields import Sheet
from logbook.forms.work import ActionForm, CauseForm, FindingForm, NoteForm, StepForm
from logbook.photos.shown import inspection_photos
from logbook.second_look import inspection_shown, lookers
from logbook.sources import count_address

STEPS_BEFORE = 3
SHOWN = (
    "exceedances",
    Prefetch("steps", Step.objects.select_related("answered_by")),
    Prefetch("findings", Finding.objects.select_related("recorded_by")),
    Prefetch("actions", CorrectiveAction.objects.select_related("performed_by", "finding")),
    Prefetch("notes", InspectionNote.objects.select_related("written_by")),
)


@screen("read")
def inspection_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show one inspection: why it was called for, its steps, what was found and done, and how it ends."""
    return inspection_page(request, found(inspection_shown, request.user, pk))


def inspection_page(request: ScreenRequest, inspection: Inspection, wrong: Sheet | None = None) -> HttpResponse:
    """Return an inspection's page, or only its work for htmx; a sheet that was refused keeps what was typed."""
    if wrong is None and request.method == "POST" and not request.htmx:
        return redirect("inspection_detail", inspection.pk)
    template = "inspection_work.html" if request.htmx else "inspection_detail.html"
    context = inspection_context(request, inspection, wrong)
    status = UNPROCESSABLE if wrong is not None else 200
    return render(request, f"inspections/{template}", context, status=status)


def inspection_context(request: ScreenRequest, inspection: Inspection, wrong: Sheet | None) -> dict[str, object]:
    """Return what an inspection's templates show, each sheet fresh unless it is the refused one."""
    prefetch_related_objects([inspection], *SHOWN)
    shown = {sheet.prefix: sheet for sheet in (*work_sheets(inspection), *([wrong] if wrong else []))}
    return {
        "inspection": inspection,
        "steps": [(step, shown.get(f"step{step.position}") or step_form(step)) for step in inspection.steps.all()],
        "wrong": wrong,
        "count_address": count_address(inspection),
        "stopped": stopped_at(list(inspection.steps.all())),
        "photos": inspection_photos(inspection, request.user),
        "handovers": inspection.handovers.select_related("told_to", "by", "taking__by"),
        "ends": [] if inspection.state == states.OPEN else endings(inspection),
        "lookers": lookers(inspection) if needs_second(inspection) else None,
        "swapped": request.htmx and request.method == "POST",
        **acts_open(request, inspection),
        **{f"{prefix}_form": sheet for prefix, sheet in shown.items()},
    }


def needs_second(inspection: Inspection) -> bool:
    """Return whether a second person has still to look at an inspection."""
    is_unsettled = inspection.state in states.UNSETTLED
    return is_unsettled and inspection.required_inspection_item and inspection.second_by_id is None


def endings(inspection: Inspection) -> list[dict[str, Any]]:
    """Return how an inspection ended each time, as its entries have it."""
    # Looked for among the engine's, as an index of entries by inspection is nearly all of entries that have none.
    entries = inspection.entries.filter(engine=inspection.engine_id)
    return [
        {"number": entry.number, "signed_at": entry.signed_at, "release": entry.body["release"]} for entry in entries
    ]


def work_sheets(inspection: Inspection) -> list[Sheet]:
    """Return the sheets of an inspection's work, nothing chosen in them that nobody chose."""
    return [
        NoteForm(prefix="note"),
        FindingForm(prefix="finding"),
        ActionForm(prefix="action", inspection=inspection),
        CauseForm(prefix="cause", initial={"cause": known_cause(inspection), "text": inspection.cause_text}),
    ]


def acts_open(request: ScreenRequest, inspection: Inspection) -> dict[str, bool]:
    """Return which acts the person may do on the inspection as it stands."""
    is_unsettled = inspection.state in states.UNSETTLED
    names = ("work", "second", "assign", "close")
    return {f"may_{name}": is_unsettled and request.user.may(f"inspection.{name}") for name in names}


@dataclass(frozen=True)
class Stopped:
    """Where the work stopped: the step to go on at, and up to three before it."""

    step: Step
    before: list[Step]


def stopped_at(steps: list[Step]) -> Stopped | None:
    """Return where the work stopped, None while it is not begun or no step is left."""
    waiting = next((k for k, step in enumerate(steps) if not step.answer), None)
    if waiting is None or not any(step.answer for step in steps):
        return None
    return Stopped(steps[waiting], steps[max(waiting - STEPS_BEFORE, 0) : waiting])


def known_cause(inspection: Inspection) -> str | None:
    """Return the cause as a person set it, or None while nobody has: nothing is chosen for them."""
    nobody = inspection.cause == Inspection.Cause.NOT_FOUND and not inspection.cause_text
    return None if nobody else inspection.cause


def step_form(step: Step) -> StepForm:
    """Return the sheet of a step, with the reason given before."""
    return StepForm(prefix=f"step{step.position}", initial={"reason": step.reason})
