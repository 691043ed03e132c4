"""Adding a photo: taken in once, checked by what it holds, stored without anything but the picture."""

from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256
from typing import Any, Final
from uuid import UUID, uuid4

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine, Operator
from logbook.access import DIRECTOR
from logbook.desk import Concern
from logbook.models import Person, Photo, PhotoStrike, Unsigned
from logbook.photos.images import Picture, photo_made
from logbook.photos.queries import entries_telling
from logbook.photos.storing import photo_store
from logbook.photos.things import Thing, closed_refuse, is_settled

LONGEST: Final = 240  # characters of a reason
OTHER_BODY: Final = "Its number was used before for something else. Save the photo to a file, and add it anew."
AFTER: Final = "A photo came after it was signed; it is listed as later, and is no part of what was signed."


@dataclass(frozen=True)
class PhotoFacts:
    """What is said of a photo: its number, a caption, and when a device kept it, by that device's clock."""

    id: UUID = field(default_factory=uuid4)
    caption: str = ""
    kept_at: datetime | None = None
    kept_offset_min: int = 0


def photo_add(*, thing: Thing, data: bytes, facts: PhotoFacts, by: Person) -> tuple[Photo, bool]:
    """Keep a photo, and return it and whether it is new; the same one sent again changes nothing.

    Raises DomainError "photo_unusable" for what is no picture that is taken, "photo_refused" where nothing is added
    any more, "photos_enough" where there are as many as are taken, "id_used_with_other_body".
    """
    sent = sha256(data).hexdigest()
    known = _known(thing, facts, sent, by)
    if known is not None:
        return known, False
    closed_refuse(thing)
    try:
        made = photo_made(data)
    except ValueError as error:
        raise DomainError(str(error), code="photo_unusable", fields={"file": str(error)}) from error
    try:
        return _add(thing, made, facts, sent, by), True
    except IntegrityError:
        # The same photo may come twice at one moment, and the other request was first.
        known = _known(thing, facts, sent, by)
        if known is None:
            raise
        return known, False


def _known(thing: Thing, facts: PhotoFacts, sent: str, by: Person) -> Photo | None:
    known = Photo.objects.filter(pk=facts.id).first()
    if known is None:
        return None
    same = {"sent_sha256": sent, "added_by_id": by.pk} | {f"{name}_id": row.pk for name, row in thing.rows.items()}
    if any(getattr(known, name) != value for name, value in same.items()):
        raise DomainError(OTHER_BODY, code="id_used_with_other_body")
    return known


@transaction.atomic
def _add(thing: Thing, made: Picture, facts: PhotoFacts, sent: str, by: Person) -> Photo:
    # Held until the photo is there, so that two at one moment do not both take the last place.
    engine = Engine.objects.select_for_update().get(pk=thing.engine.pk)
    if Photo.objects.filter(thing.own, strike=None).count() >= settings.PHOTOS_MOST:
        words = f"There are {settings.PHOTOS_MOST} photos of it already, and no more are taken."
        raise DomainError(words, code="photos_enough")
    photo = Photo(
        pk=facts.id,
        operator_id=engine.operator_id,
        engine=engine,
        of=thing.words,
        caption=facts.caption.strip(),
        kept_at=facts.kept_at,
        kept_offset_min=facts.kept_offset_min,
        sent_sha256=sent,
        added_by=by,
        added_name=str(by),
        added_at=timezone.now().replace(microsecond=0),
        **thing.rows,
        **_stored(engine.operator_id, made),
    )
    photo.save(force_insert=True)
    if is_settled(thing):
        _concern(thing, by)
    if run := thing.rows.get("run"):
        # Signed before, it is to be read and signed once more, as it is when a recorded trace comes later.
        about = {"operator_id": engine.operator_id, "engine": engine, "recorded_by": by}
        Unsigned.objects.get_or_create(run=run, defaults=about)
    return photo


@transaction.atomic
def photo_strike(*, photo: Photo, reason: str, by: Person) -> PhotoStrike:
    """Say that a photo was taken in error: no entry tells it then; it stays readable, with who struck it and why.

    Raises DomainError "text_missing" without a reason, "not_yours" for who neither added it nor is the director, and
    "photo_refused" where an entry tells it, which stays as it was signed, or it was struck before.
    """
    # Held as signing holds it, so that what is being signed is told before it is asked for.
    Operator.objects.select_for_update().get(pk=photo.operator_id)
    if by.pk != photo.added_by_id and by.role != DIRECTOR:
        words = f"{photo.added_name} added this photo and strikes it; where they can't, the director does."
        raise DomainError(words, code="not_yours")
    if not reason.strip():
        raise DomainError("Say why it is struck.", code="text_missing", fields={"reason": "Say why."})
    if PhotoStrike.objects.filter(photo=photo).exists():
        raise DomainError("It was struck before.", code="photo_refused")
    if entry := entries_telling(photo).first():
        raise DomainError(f"Entry {entry.number} tells it, and stays as it was signed.", code="photo_refused")
    return PhotoStrike.objects.create(photo=photo, reason=reason.strip()[:LONGEST], by=by)


def _stored(operator_id: int, made: Picture) -> dict[str, Any]:
    file, digest = photo_store(operator_id, made.data)
    preview, preview_digest = photo_store(operator_id, made.preview)
    names = {"file": file, "sha256": digest, "preview": preview, "preview_sha256": preview_digest}
    return names | {"width": made.width, "height": made.height, "size": len(made.data)}


def _concern(thing: Thing, by: Person) -> None:
    """Put to the director that a photo came after signing, once for all that come until it is settled."""
    inspection, work = thing.rows.get("inspection"), thing.rows.get("work")
    about = str(work) if inspection is None else f"Inspection {inspection.number}"
    run = None if inspection is None else inspection.run
    same = {"operator_id": thing.engine.operator_id, "kind": Concern.Kind.KEPT_LATE, "run": run, "about": about[:120]}
    told = Concern.objects.filter(**same, text__startswith=AFTER)
    if told.filter(settlement=None).exists():
        return
    text = f"{AFTER} Settled before: {count}." if (count := told.count()) else AFTER
    Concern.objects.create(**same, text=text, engine=thing.engine, raised_by=by)
