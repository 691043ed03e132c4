"""Photos added in tests, by the same act as everywhere."""

from typing import Any

from logbook.models import Person, Photo
from logbook.photos.actions import PhotoFacts, photo_add
from logbook.photos.things import thing_for
from tests.logbook.photos.pictures import camera_jpeg


def photo_of(by: Person, thing: str, key: object, *, data: bytes = b"", **facts: Any) -> Photo:
    """Add a photo of something, and return it."""
    return photo_sent(by, thing, key, data=data, **facts)[0]


def photo_sent(by: Person, thing: str, key: object, *, data: bytes = b"", **facts: Any) -> tuple[Photo, bool]:
    """Add a photo of something, and return it and whether it was new."""
    return photo_add(thing=thing_for(by, thing, str(key)), data=data or camera_jpeg(), facts=PhotoFacts(**facts), by=by)
