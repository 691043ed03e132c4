"""Photos of an entry as they are printed: no larger than paper shows, and only those that were signed."""

from hashlib import sha256
from typing import Final

from logbook.models import Entry
from logbook.photos.images import photo_scaled
from logbook.photos.queries import photos_named
from logbook.photos.storing import photo_bytes

PRINTED_EDGE: Final = 900  # some 300 to the inch in a column [px]


def entry_photos(entry: Entry) -> dict[str, bytes]:
    """Return the photos that an entry tells, by SHA-256; none that is not what was signed."""
    if not entry.body.get("photos"):
        return {}
    found = {digest: _printed(digest, name) for digest, name in photos_named([entry]).items()}
    return {digest: data for digest, data in found.items() if data is not None}


def _printed(digest: str, name: str) -> bytes | None:
    try:
        data = photo_bytes(name)
        return photo_scaled(data, PRINTED_EDGE) if sha256(data).hexdigest() == digest else None
    except (OSError, ValueError):
        return None
