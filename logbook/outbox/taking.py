"""Taking an item of a phone's outbox: once, with a receipt, in its author's name alone."""

from dataclasses import asdict
from datetime import timedelta
from typing import Any, Final, cast

from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Operator
from inspections.models import Inspection
from logbook.desk import Concern
from logbook.models import Person
from logbook.outbox.clocks import is_flagged, offset_of, offset_words
from logbook.outbox.done import Done
from logbook.outbox.items import Item, digest_of
from logbook.outbox.kinds import act_of, late_of
from logbook.outbox.rows import Arrival

OTHER_AUTHOR: Final = "This was written by somebody else, and is sent when they sign in."
OTHER_BODY: Final = "Its number was used before for something else. Save it to a file, and show it to the director."


def item_take(*, item: Item, by: Person, file: "UploadedFile[Any] | None" = None) -> tuple[Arrival, bool]:
    """Take an item, and return its arrival and whether it is new; the same item again gets the same answer.

    Raises DomainError "not_the_author", "id_used_with_other_body", "role_may_not", and whatever the act itself
    refuses; then nothing is stored.
    """
    if item.author != by.pk:
        raise DomainError(OTHER_AUTHOR, code="not_the_author")
    try:
        return _taken_before(item, by) or (_take(item, by, file), True)
    except IntegrityError:
        # The same item may come twice at one moment, and the other request was first.
        before = _taken_before(item, by)
        if before is None:
            raise
        return before


def _taken_before(item: Item, by: Person) -> tuple[Arrival, bool] | None:
    known = Arrival.objects.filter(author=by, item=item.id).first()
    if known is None:
        return None
    if known.digest != digest_of(item):
        raise DomainError(OTHER_BODY, code="id_used_with_other_body")
    return known, False


@transaction.atomic
def _take(item: Item, by: Person, file: "UploadedFile[Any] | None") -> Arrival:
    act, does = act_of(item, by, file)
    if not by.may(act):
        raise DomainError(f"This is not for the role {by.get_role_display() or 'none'}.", code="role_may_not")
    now = timezone.now()
    late = late_of(item, by)
    done = late or does()
    offset = offset_of(item.sent_at, now)
    if is_flagged(offset):
        _concern(item, done, by, kind=Concern.Kind.CLOCK, text=clock_text(item, offset))
    if late is not None:
        _concern(item, done, by, kind=Concern.Kind.KEPT_LATE, text=late_text(item, late))
    if done.differs:
        _concern(item, done, by, kind=Concern.Kind.VERDICT, text=done.differs)
    answer = {
        "differs": done.differs,
        "words": done.words,
        "link": done.link,
        "clock": offset_words(offset),
        "sign": done.sign,
        "made": done.made,
    }
    if done.version:
        answer |= {"version": done.version}
    return Arrival.objects.create(
        operator=operator_of(by),
        author=by,
        item=item.id,
        kind=item.kind,
        digest=digest_of(item),
        body=_plain(item),
        kept_at=item.kept_at,
        kept_offset_min=item.kept_offset_min,
        clock_ahead_s=offset.total_seconds(),
        is_late=late is not None,
        answer=answer,
        received_at=now,
    )


def operator_of(person: Person) -> Operator:
    """Return whose record a person keeps; somebody without an operator may do nothing here."""
    return cast(Operator, person.operator)


def clock_text(item: Item, offset: timedelta) -> str:
    """Return what the director is told of a phone's clock; what was stated stays as it was stated."""
    said = offset_words(offset)
    return f"{said} Kept at {item.kept_at:%Y-%m-%d %H:%M} by that clock; the times that were typed stay as typed."


def late_text(item: Item, late: Done) -> str:
    """Return what the director is told of an item that came too late; each has a moment of its own."""
    return f"{late.words} It was kept at {item.kept_at:%Y-%m-%d %H:%M:%S} by the phone's clock."


def _concern(item: Item, done: Done, by: Person, *, kind: str, text: str) -> None:
    run, inspection = done.run, done.inspection
    if isinstance(inspection, Inspection):
        run = inspection.run
    reason = "\n".join(f"{name}: {value}" for name, value in item.fields if value) if kind == "kept_late" else ""
    Concern.objects.get_or_create(
        operator=operator_of(by),
        run=run,
        kind=kind,
        about=done.about[:120],
        text=text[:500],
        defaults={
            "engine": done.engine if run is None else run.engine,
            "raised_by": by,
            "reason": reason,
        },
    )


def _plain(item: Item) -> dict[str, Any]:
    times = {"kept_at": item.kept_at.isoformat(), "sent_at": item.sent_at.isoformat()}
    return {**asdict(item), "id": str(item.id), **times}
