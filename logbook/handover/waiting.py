"""A package between its upload and its signature: kept for a day, part of no record."""

import secrets
from typing import Any, BinaryIO, Final, cast

from django.core.files.storage import storages
from django.core.files.uploadedfile import UploadedFile

from engines.web import ScreenRequest
from logbook.traces_waiting import FOLDER, sweep

SESSION_KEY: Final = "packages_waiting_with_key"


def waiting_keep(request: ScreenRequest, file: "UploadedFile[Any]", key: str) -> str:
    """Keep a package until it is signed for, with the key that the owner gave; only whoever sent it can reach it.

    Return its random name.
    """
    sweep()
    token = secrets.token_urlsafe(16)
    storages["traces"].save(f"{FOLDER}/{token}", file)
    request.session[SESSION_KEY] = {**request.session.get(SESSION_KEY, {}), token: key}
    return token


def waiting_key(request: ScreenRequest, token: str) -> str:
    """Return the key that the owner gave for a package, "" for none."""
    return str(request.session.get(SESSION_KEY, {}).get(token, ""))


def waiting_open(request: ScreenRequest, token: str) -> BinaryIO | None:
    """Return a package that was sent from this session, or None where it is gone."""
    if token not in request.session.get(SESSION_KEY, {}) or not storages["traces"].exists(f"{FOLDER}/{token}"):
        return None
    return cast("BinaryIO", storages["traces"].open(f"{FOLDER}/{token}", "rb"))


def waiting_drop(request: ScreenRequest, token: str) -> None:
    """Forget a package that waited."""
    storages["traces"].delete(f"{FOLDER}/{token}")
    waiting = request.session.get(SESSION_KEY, {})
    request.session[SESSION_KEY] = {one: key for one, key in waiting.items() if one != token}
