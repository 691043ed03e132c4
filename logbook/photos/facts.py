"""What an entry holds of photos: each by its SHA-256, with what it shows, who added it and when."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.utils import timezone

from logbook.photos.queries import Shown


def photos_part(photos: Iterable[Shown]) -> dict[str, Any]:
    """Return the part of an entry's body that tells its photos, none that was struck; nothing where there are none."""
    told = [photo_facts(photo) for photo in photos if photo.struck is None]
    return {"photos": told} if told else {}


def photo_facts(photo: Shown) -> dict[str, Any]:
    """Return what an entry tells of one photo."""
    return {
        "id": str(photo.id),
        "sha256": photo.sha256,
        "of": photo.of,
        "caption": photo.caption,
        "width": photo.width,
        "height": photo.height,
        "by": photo.added_name,
        "at": _moment(photo.added_at),
        "kept_at": _moment(photo.kept_at),
    }


def _moment(moment: datetime | None) -> str | None:
    return None if moment is None else timezone.localtime(moment).isoformat(timespec="seconds")
