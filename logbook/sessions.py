"""When a session ends, and what of it is kept for the same person until they have signed in again."""

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest
from django.utils import timezone

from logbook.traces_waiting import SESSION_KEY as TRACES_WAITING

CAME_AT, SEEN_AT, KEPT = "came_at", "seen_at", "kept_for_person"
# Being seen is noted no more often than this, so that not every page writes.
SEEN_NOTED_EVERY = timedelta(minutes=1)


def idle_limit(role: str) -> timedelta:
    """Return for how long a person of a role may send nothing and stay signed in."""
    limit: timedelta = settings.SESSION_IDLE_BY_ROLE.get(role, settings.SESSION_IDLE)
    return limit


def has_ended(request: HttpRequest, now: datetime) -> bool:
    """Return whether the session of a signed-in person has been idle, or has lasted, for too long."""
    session, role = request.session, getattr(request.user, "role", "")
    idle = now - _moment(session.get(SEEN_AT), now)
    lasted = now - _moment(session.get(CAME_AT), now)
    return idle >= idle_limit(role) or lasted >= settings.SESSION_LONGEST


def note_seen(request: HttpRequest, now: datetime) -> None:
    """Note that a person is here; one whose session began before it was noted begins now."""
    session = request.session
    session.setdefault(CAME_AT, now.timestamp())
    if SEEN_AT not in session or now - _moment(session[SEEN_AT], now) >= SEEN_NOTED_EVERY:
        session[SEEN_AT] = now.timestamp()


def end(request: HttpRequest) -> None:
    """Sign a person out, and keep aside the files that wait for their columns."""
    waiting, person = request.session.get(TRACES_WAITING), request.user.pk
    logout(request)
    if waiting:
        request.session[KEPT] = {str(person): waiting}


def begun(sender: object, request: HttpRequest, user: Any, **_: object) -> None:
    """Begin to count when a person signs in, and give back what was kept for them, and for nobody else."""
    session = request.session
    session[CAME_AT] = session[SEEN_AT] = timezone.now().timestamp()
    kept = session.pop(KEPT, {}).get(str(user.pk))
    if kept:
        session[TRACES_WAITING] = {**kept, **session.get(TRACES_WAITING, {})}


def _moment(stamp: float | None, otherwise: datetime) -> datetime:
    return otherwise if stamp is None else datetime.fromtimestamp(stamp, tz=otherwise.tzinfo)
