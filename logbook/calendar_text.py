"""What comes due as a calendar that other programs subscribe to (RFC 5545)."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final

from icalendar import Calendar, Event

EPOCH: Final = date(2020, 1, 1)
MAKER: Final = "-//Embermark//What comes due//EN"


@dataclass(frozen=True)
class Appointment:
    """Some whole days in a calendar, both included, known by ``uid`` whatever else of it changes."""

    uid: str
    first: date
    last: date
    summary: str
    description: str
    address: str = ""


def calendar_bytes(appointments: Iterable[Appointment], *, name: str, at: datetime) -> bytes:
    """Return appointments as a calendar.

    Parameters
    ----------
    appointments : iterable of Appointment
        What stands in it.
    name : str
        What the calendar is called.
    at : datetime
        When it is made, with its offset from UTC.

    Returns
    -------
    bytes
        Events of whole days without a time zone, the end on the day after the last as the standard has it; the
        sequence number rises from day to day, so that a moved day takes the place of the earlier one.

    References
    ----------
    RFC 5545, 3.6.1, 3.8.2.2 and 3.8.7.4; RFC 7986, 5.1 for the calendar's name.
    """
    calendar = Calendar()
    for key, value in (("prodid", MAKER), ("version", "2.0"), ("name", name), ("x-wr-calname", name)):
        calendar.add(key, value)
    moment = at.astimezone(UTC).replace(microsecond=0)
    for one in appointments:
        calendar.add_component(_event(one, moment))
    text: bytes = calendar.to_ical()
    return text


def _event(one: Appointment, moment: datetime) -> Event:
    event = Event()
    event.add("uid", one.uid)
    event.add("dtstamp", moment)
    event.add("sequence", (moment.date() - EPOCH).days)
    event.add("dtstart", one.first)
    event.add("dtend", one.last + timedelta(days=1))
    event.add("summary", one.summary)
    event.add("description", one.description)
    event.add("transp", "TRANSPARENT")
    if one.address:
        event.add("url", one.address)
    return event
