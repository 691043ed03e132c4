"""How far a device's clock is from the server's: measured at sending, and never used to change what was stated."""

from datetime import datetime, timedelta
from typing import Final

SHOWN_FROM: Final = timedelta(minutes=2)
FLAGGED_FROM: Final = timedelta(minutes=10)


def offset_of(device_now: datetime, server_now: datetime) -> timedelta:
    """Return how far a device's clock is ahead.

    Parameters
    ----------
    device_now : datetime
        What the device's clock showed when it sent, with its offset from UTC.
    server_now : datetime
        When that arrived here, with its offset from UTC.

    Returns
    -------
    timedelta
        Positive where the device is ahead, negative where it is behind; it includes the time of the sending.
    """
    return device_now - server_now


def offset_words(offset: timedelta) -> str:
    """Return what is said of a device's clock.

    Parameters
    ----------
    offset : timedelta
        How far it is ahead.

    Returns
    -------
    str
        A sentence, or "" for less than two minutes, which is nothing.
    """
    if abs(offset) < SHOWN_FROM:
        return ""
    minutes = round(abs(offset).total_seconds() / 60)
    hours, minutes = divmod(minutes, 60)
    far = f"{hours} h {minutes} min" if hours else f"{minutes} min"
    return f"The phone's clock was {far} {'ahead' if offset > timedelta(0) else 'behind'}."


def is_flagged(offset: timedelta) -> bool:
    """Return whether a device's clock is so far off that the director is told.

    Parameters
    ----------
    offset : timedelta
        How far it is ahead.

    Returns
    -------
    bool
        True from ten minutes on, either way.
    """
    return abs(offset) >= FLAGGED_FROM
