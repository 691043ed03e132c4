"""What is written down of an engine without signal, runs and inspections apart: checks before a start, and work."""

from typing import Final

from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.queries import engine_for, revision_in_force
from logbook.forms.checks import CheckSheet
from logbook.forms.written import Written, written
from logbook.maintenance import actions
from logbook.maintenance.queries import work_for
from logbook.maintenance.rows import Work
from logbook.models import Person
from logbook.outbox.done import Done, done_with, there, typed
from logbook.outbox.items import Item, boxes_moved
from logbook.outbox.rows import Arrival
from logbook.start_checks import check_enter

BASED_ON: Final = "based_on"
NO_CHECKS: Final = "The document of this type has no checks before a start."


def checks_take(item: Item, by: Person) -> Done:
    """Keep the answers to the checks before a start, as of when they were given by the phone's clock."""
    engine = there(lambda: engine_for(by, int(item.about)))
    revision = revision_in_force(engine.engine_type, timezone.localdate())
    listed = revision.data.checks
    if listed is None:
        raise DomainError(NO_CHECKS, code="no_checks")
    now = [check.name for check in listed.checks]
    try:
        fields = boxes_moved(item.fields, item.charts, now)
    except ValueError as error:
        raise DomainError(str(error), code="sheet_refused") from error
    form = CheckSheet(typed(fields), listed=listed)

    def keep() -> object:
        said = {"answers": form.answers(), "reasons": form.reasons(), "remarks": form.cleaned_data["remarks"]}
        said["unit"] = form.unit
        return check_enter(engine=engine, revision=revision, by=by, at=item.kept_at, id=item.id, **said)

    check = done_with(form, keep, was=item.charts, now=now)
    words, about = "The answers are kept.", f"Checks of {engine.serial}"
    return Done(words, reverse("check_detail", args=[check.pk]), about, engine=engine)


def version_of(work: Work) -> str:
    """Return which state of work it is in; a sheet names the one that it shows."""
    return work.changed_at.isoformat()


def work_take(item: Item, by: Person) -> Done:
    """Begin work on an engine, as it is written so far."""
    key, _, kind = item.about.partition("/")
    engine = there(lambda: engine_for(by, int(key)))
    if kind not in Work.Kind.values:
        raise DomainError(f"“{kind}” is no kind of work.", code="item_unknown")
    boxes = _read(item, Work(engine=engine, operator_id=engine.operator_id, kind=kind))
    return _of_work(actions.work_open(engine=engine, kind=kind, facts=boxes.facts(), by=by))


def work_change_take(item: Item, by: Person) -> Done:
    """Go on writing."""
    work = there(lambda: work_for(by, int(item.about)))
    return _of_work(actions.work_change(work=work, facts=_read(item, work).facts(), by=by))


def late_of_work(item: Item, by: Person) -> Done | None:
    """Return what is said of work that is no longer open, or that was written on meanwhile; None where it is neither.

    What the same person wrote on the same sheet before, and sent before, is no other hand's.
    """
    work = there(lambda: work_for(by, int(item.about)))
    who = f"{work.changed_by} {timezone.localtime(work.changed_at):%H:%M}"
    if work.state != Work.State.OPEN:
        return _of_work(work, f"Stored. {work.get_state_display()} by {who}; the director will settle it.")
    if version_of(work) in (dict(item.fields).get(BASED_ON), _left_by(item, by)):
        return None
    return _of_work(work, f"Stored. Written on meanwhile by {who}; the director will settle it.")


def _left_by(item: Item, by: Person) -> str | None:
    before = Arrival.objects.filter(author=by, kind=item.kind, body__about=item.about, is_late=False).last()
    is_same = before is not None and [BASED_ON, dict(item.fields).get(BASED_ON)] in before.body["fields"]
    return before.answer.get("version") if before is not None and is_same else None


def _read(item: Item, work: Work) -> Written:
    boxes = written(typed(item.fields), work)
    if not boxes.is_valid():
        fields = boxes.errors()
        raise DomainError(" ".join(dict.fromkeys(fields.values())), code="sheet_refused", fields=fields)
    return boxes


def _of_work(work: Work, words: str = "") -> Done:
    said = words or f"{work} is kept. It is no entry until it is signed."
    link, made = reverse("work_detail", args=[work.pk]), f"work/{work.pk}"
    return Done(said, link, str(work), made=made, version=version_of(work), engine=work.engine)
