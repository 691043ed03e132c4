"""What may be recorded without signal, and what it does when it arrives: the forms and acts of the screens."""

import hashlib
from collections.abc import Callable
from typing import Any, Final

from django.core.files.uploadedfile import UploadedFile
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Run
from engines.queries import engine_for, revision_in_force, run_for
from inspections import actions, states
from inspections.models import Inspection
from inspections.queries import handover_for, inspection_for, judgement_of
from logbook.actions import trace_enter
from logbook.forms.handover import HandoverForm
from logbook.forms.photos import LONGEST, photo_read
from logbook.forms.run import RunForm
from logbook.forms.work import ActionForm, CauseForm, FindingForm, StepForm
from logbook.models import Person
from logbook.outbox.agreeing import READING, TRACE, verdicts_apart
from logbook.outbox.done import Done, done_with, there, typed
from logbook.outbox.items import Item, boxes_moved, columns_chosen
from logbook.outbox.written import checks_take, late_of_work, work_change_take, work_take
from logbook.photos.actions import PhotoFacts, photo_add
from logbook.photos.things import thing_for
from logbook.recording import run_once

FILE_DAMAGED: Final = "The file did not arrive as it was kept. It is sent again."


def run_take(item: Item, by: Person) -> Done:
    """Record a run; it is unsigned until the person reads and signs it."""
    engine = there(lambda: engine_for(by, int(item.about)))
    data = revision_in_force(engine.engine_type, timezone.localdate()).data
    now = [chart.name for chart in data.charts]
    try:
        fields = boxes_moved(item.fields, item.charts, now)
    except ValueError as error:
        raise DomainError(str(error), code="sheet_refused") from error
    form = RunForm(typed([*fields, ("id", str(item.id))]), engine_type=data, engine=engine)
    done_with(form, lambda: run_once(engine=engine, facts=form.facts(), by=by), was=item.charts, now=now)
    run = run_for(by, item.id)
    link, sign = reverse("run_detail", args=[run.pk]), reverse("run_sign", args=[run.pk])
    about = f"Run of {engine.serial}"
    differs, made = differing(item, run), f"run/{run.pk}"
    return Done("The run is recorded.", link, about, run=run, sign=sign, differs=differs, made=made)


def differing(item: Item, run: Run, evidence: str = READING) -> str:
    """Return where the phone's verdict on a run's evidence and the server's are not the same; "" where they are."""
    judgement = judgement_of(run)
    if judgement is None:
        return verdicts_apart(item.verdict, {}, None, evidence)
    return verdicts_apart(item.verdict, judgement.verdict, judgement.revision.number, evidence)


def trace_take(item: Item, by: Person, file: "UploadedFile[Any] | None") -> Done:
    """Keep a run's recorded trace, read as the person said on the phone, and judge the run with it.

    What the phone computed is compared where this file is what the server judged by.
    """
    run = there(lambda: run_for(by, item.about))
    if file is None or hashlib.file_digest(file, "sha256").hexdigest() != item.sha256:
        raise DomainError(FILE_DAMAGED, code="file_damaged")
    file.seek(0)
    columns, units = columns_chosen(item.fields)
    trace, _ = trace_enter(run=run, file=file, name=file.name or "", by=by, columns=columns, units=units)
    judgement = judgement_of(run)
    is_judged_by_it = judgement is not None and judgement.trace_id == trace.pk
    differs = differing(item, run, TRACE) if is_judged_by_it else ""
    link, sign = reverse("run_detail", args=[run.pk]), reverse("run_sign", args=[run.pk])
    about = f"Run of {run.engine.serial}"
    return Done("The trace is received, and the run is judged with it.", link, about, run, sign=sign, differs=differs)


def answer_take(item: Item, by: Person) -> Done:
    """Answer a step of an inspection."""
    inspection, position = inspection_of(item, by), int(item.about.partition("/")[2])
    step = there(lambda: inspection.steps.get(position=position))
    form = StepForm(typed(item.fields), prefix=f"step{position}")
    done_with(form, lambda: actions.step_answer(step=step, by=by, **form.cleaned_data))
    return _of_inspection(inspection, f"Step {position} is answered.", f"step/{step.pk}")


def finding_take(item: Item, by: Person) -> Done:
    """Record a finding; the same words of the same person on the same inspection are the same finding."""
    inspection = inspection_of(item, by)
    form = FindingForm(typed(item.fields), prefix="finding")
    text = str(form.data.get("finding-text", "")).strip()
    found = inspection.findings.filter(text=text, recorded_by_id=by.pk).first()
    if found is None:
        found = done_with(form, lambda: actions.finding_add(inspection=inspection, by=by, **form.cleaned_data))
    return _of_inspection(inspection, "The finding is recorded.", f"finding/{found.pk}")


def handover_take(item: Item, by: Person) -> Done:
    """Hand a job over."""
    inspection = inspection_of(item, by)
    form = HandoverForm(typed(item.fields), inspection=inspection, by=by)

    def give() -> object:
        told = form.cleaned_data["told_to"]
        return actions.handover_give(inspection=inspection, facts=form.facts(), told_to=told, by=by)

    done_with(form, give)
    return _of_inspection(inspection, "The job is handed over.")


def begin_take(item: Item, by: Person) -> Done:
    """Say that the work is begun; where somebody began it meanwhile, it is."""
    inspection = inspection_of(item, by)
    if inspection.state in (states.OPEN, states.NOT_APPROVED):
        actions.inspection_begin(inspection=inspection, by=by)
    return _of_inspection(inspection, "The work is begun.")


def action_take(item: Item, by: Person) -> Done:
    """Record a corrective action; a repeat is known by its number before it comes here."""
    inspection = inspection_of(item, by)
    form = ActionForm(typed(item.fields), prefix="action", inspection=inspection)
    done_with(form, lambda: actions.action_add(inspection=inspection, by=by, **form.cleaned_data))
    return _of_inspection(inspection, "The action is recorded.")


def cause_take(item: Item, by: Person) -> Done:
    """Say how far the cause is known."""
    inspection = inspection_of(item, by)
    form = CauseForm(typed(item.fields), prefix="cause")
    done_with(form, lambda: actions.cause_set(inspection=inspection, by=by, **form.cleaned_data))
    return _of_inspection(inspection, "The cause is recorded.")


def taking_take(item: Item, by: Person) -> Done:
    """Take a job that was handed over to the person."""
    inspection = inspection_of(item, by)
    handover = there(lambda: handover_for(by, int(item.about.partition("/")[2])))
    actions.handover_take(handover=handover, by=by)
    return _of_inspection(inspection, f"You have inspection {inspection.number} now.")


# What arrives, the act of the table of access that it is, and what does it.
ACTS: Final[dict[str, tuple[str, Callable[[Item, Person], Done]]]] = {
    "run": ("run.record", run_take),
    "answer": ("inspection.work", answer_take),
    "finding": ("inspection.work", finding_take),
    "handover": ("inspection.work", handover_take),
    "begin": ("inspection.work", begin_take),
    "action": ("inspection.work", action_take),
    "cause": ("inspection.work", cause_take),
    "taking": ("inspection.work", taking_take),
    "checks": ("run.record", checks_take),
    "work": ("work.do", work_take),
    "work_change": ("work.do", work_change_take),
}


OF_INSPECTIONS: Final = frozenset(kind for kind, (act, _) in ACTS.items() if act == "inspection.work")


def photo_take(item: Item, by: Person, file: "UploadedFile[Any] | None") -> Done:
    """Keep a photo of something that is here, or that an item of the same person's became."""
    name, _, key = item.about.partition("/")
    thing = there(lambda: thing_for(by, name, key))
    data = b"" if file is None else photo_read(file)
    if hashlib.sha256(data).hexdigest() != item.sha256:
        raise DomainError(FILE_DAMAGED, code="file_damaged")
    facts = PhotoFacts(item.id, dict(item.fields).get("caption", "")[:LONGEST], item.kept_at, item.kept_offset_min)
    photo, _ = photo_add(thing=thing, data=data, facts=facts, by=by)
    link = reverse("photo_detail", args=[photo.pk])
    return Done("The photo is received.", link, str(photo)[:120], run=photo.run, inspection=photo.inspection)


# What arrives with a file.
FILE_ACTS: Final[dict[str, tuple[str, Callable[[Item, Person, "UploadedFile[Any] | None"], Done]]]] = {
    "trace": ("run.record", trace_take),
    "photo": ("photo.add", photo_take),
}


def act_of(item: Item, by: Person, file: "UploadedFile[Any] | None") -> tuple[str, Callable[[], Done]]:
    """Return the act of the table of access that an item is, and what does it; DomainError "item_unknown"."""
    if item.kind in FILE_ACTS:
        act, takes = FILE_ACTS[item.kind]
        return act, lambda: takes(item, by, file)
    if item.kind in ACTS:
        act, does = ACTS[item.kind]
        return act, lambda: does(item, by)
    raise DomainError(f"“{item.kind}” is nothing that this server takes.", code="item_unknown")


def inspection_of(item: Item, by: Person) -> Inspection:
    """Return the inspection that an item is about; DomainError "record_gone" where the person sees none."""
    found: Inspection = there(lambda: inspection_for(by, int(item.about.partition("/")[0])))
    return found


def late_of(item: Item, by: Person) -> Done | None:
    """Return what is said of an item that came too late: it is stored, and changes nothing."""
    if item.kind == "work_change":
        return late_of_work(item, by)
    if item.kind not in OF_INSPECTIONS:
        return None
    inspection = inspection_of(item, by)
    if inspection.state != states.APPROVED:
        return None
    last = inspection.releases.last()
    who, when = ("somebody", "") if last is None else (last.signed_name, f" {timezone.localtime(last.signed_at):%H:%M}")
    done = _of_inspection(inspection, f"Stored. Closed by {who}{when}; the director will settle it.")
    return done


def _of_inspection(inspection: Inspection, words: str, made: str = "") -> Done:
    link = reverse("inspection_detail", args=[inspection.pk])
    made = made or f"inspection/{inspection.pk}"
    return Done(words, link, f"Inspection {inspection.number}", inspection=inspection, made=made)
