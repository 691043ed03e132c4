"""Photos of a received record: each as it was kept, with a small picture of it made here."""

from logbook.models import Photo
from logbook.photos.images import photo_opened, preview_of
from logbook.photos.storing import photo_store


def photo_received(photo: Photo, data: bytes) -> None:
    """Store the file of a photo that a record names; ValueError where it is no picture as photos are kept.

    A file that is left where the taking in fails lies under its own hash, and nothing names it.
    """
    picture = photo_opened(data)
    photo.width, photo.height = picture.size
    photo.size = len(data)
    photo.file.name, photo.sha256 = photo_store(photo.operator_id, data)
    photo.preview.name, photo.preview_sha256 = photo_store(photo.operator_id, preview_of(picture))
