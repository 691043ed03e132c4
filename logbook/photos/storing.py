"""Where the files of photos lie: under their own hashes, one operator's apart from another's, each stored once."""

from hashlib import sha256
from typing import Final

from django.core.files.base import ContentFile

from engines.models.runs import trace_storage

FOLDER: Final = "photos"
ENDING: Final = ".jpg"


def photo_store(operator_id: int, data: bytes) -> tuple[str, str]:
    """Store a file unless it is there, and return its name and its SHA-256.

    One of that name that holds something else was cut off as it was written; it is left, and another name taken.
    """
    digest = sha256(data).hexdigest()
    name, storage = f"{FOLDER}/{operator_id}/{digest[:2]}/{digest}{ENDING}", trace_storage()
    if storage.exists(name):
        with storage.open(name) as file:
            if file.read() == data:
                return name, digest
    return storage.save(name, ContentFile(data)), digest


def photo_bytes(name: str) -> bytes:
    """Return a stored file; OSError where it is not at hand."""
    with trace_storage().open(name) as file:
        data: bytes = file.read()
    return data
