"""Checking that photos are what was kept and what was signed: every file by its bytes, every signed one by its row."""

from collections.abc import Callable, Iterator
from typing import Any, Final
from uuid import UUID

from engines.models import Operator
from logbook.ledger.lots import LedgerBroken
from logbook.ledger.rows import Entry
from logbook.photos.rows import Photo

ROWS: Final = 200
SIGNED: Final = '"photos":['  # as canonical JSON has it in the body of an entry that tells photos
TOLD: Final = {"sha256": "sha256", "of": "of", "caption": "caption", "by": "added_name"}


def photos_check(operator: Operator, hold: Callable[[str, str, str], None]) -> int:
    """Check an operator's photos and what its entries tell of them; return how many photos were read.

    ``hold`` is asked to hold a file, called so and of a name, against its SHA-256. Raises LedgerBroken for the first
    thing that is wrong.
    """
    count = 0
    for photo in Photo.objects.filter(operator=operator).order_by("pk").iterator(ROWS):
        hold(f"photo {photo.pk}", str(photo.file.name), photo.sha256)
        hold(f"small picture of photo {photo.pk}", str(photo.preview.name), photo.preview_sha256)
        count += 1
    for entry in _telling(operator):
        _entry_hold(entry)
    return count


def _telling(operator: Operator) -> Iterator[Entry]:
    entries = operator.entries.filter(content__contains=SIGNED)
    yield from entries.order_by("number").iterator(ROWS)


def _entry_hold(entry: Entry) -> None:
    told: list[dict[str, Any]] = entry.body["photos"]
    kept = {photo.pk: photo for photo in Photo.objects.filter(pk__in=[UUID(one["id"]) for one in told])}
    for one in told:
        photo = kept.get(UUID(one["id"]))
        if photo is None:
            raise LedgerBroken(f"Photo {one['id']}, which entry {entry.number} tells, is no longer kept.")
        if any(getattr(photo, column) != one[name] for name, column in TOLD.items()) or _is_elsewhere(photo, entry):
            raise LedgerBroken(f"Photo {one['id']} is not as entry {entry.number} tells it.")


def _is_elsewhere(photo: Photo, entry: Entry) -> bool:
    """Return whether a photo hangs on another engine, run or inspection than the entry that tells it."""
    if photo.engine_id != entry.engine_id:
        return True
    if entry.kind in Entry.RUNS:
        return photo.run_id != entry.run_id
    return photo.inspection_id != entry.inspection_id
