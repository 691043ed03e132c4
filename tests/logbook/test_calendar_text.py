"""What comes due as a calendar: whole days, an end that is not included, names that stay."""

from datetime import UTC, date, datetime, timedelta, timezone

from icalendar import Calendar

from logbook.calendar_text import Appointment, calendar_bytes

AT = datetime(2026, 5, 4, 1, 30, 15, 123456, tzinfo=timezone(timedelta(hours=2)))
# RFC 5545, 3.6.1: the festival from 28 June to 8 July 2007 begins on 20070628 and ends, not included, on 20070709.
JAZZ = Appointment(
    "x@y", date(2007, 6, 28), date(2007, 7, 8), "Festival", "Line one\nLine two; with, signs", "http://a/b"
)


def made(*appointments: Appointment) -> bytes:
    return calendar_bytes(appointments, name="Coming due, Prüfholm", at=AT)


def test_the_end_is_the_day_after_the_last() -> None:
    text = made(JAZZ).decode()
    assert "DTSTART;VALUE=DATE:20070628\r\n" in text
    assert "DTEND;VALUE=DATE:20070709\r\n" in text


def test_it_is_stamped_in_utc_and_the_sequence_rises_by_the_day() -> None:
    text = made(JAZZ).decode()
    assert "DTSTAMP:20260503T233015Z\r\n" in text
    assert f"SEQUENCE:{(date(2026, 5, 3) - date(2020, 1, 1)).days}\r\n" in text


def test_it_is_read_back_as_it_was_written() -> None:
    (event,) = Calendar.from_ical(made(JAZZ)).walk("VEVENT")
    assert (str(event["uid"]), str(event["summary"])) == ("x@y", "Festival")
    assert str(event["description"]) == "Line one\nLine two; with, signs"
    assert str(event["url"]) == "http://a/b"


def test_no_line_is_longer_than_the_standard_allows() -> None:
    # RFC 5545, 3.1: lines of text should not be longer than 75 octets, and end with CRLF.
    text = made(Appointment("u", date(2026, 5, 4), date(2026, 5, 4), "ü" * 200, "y" * 500))
    lines = text.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert lines[-1] == b"" and b"\n" not in text.replace(b"\r\n", b"")


def test_an_empty_calendar_is_one() -> None:
    calendar = Calendar.from_ical(made())
    assert (str(calendar["version"]), calendar.walk("VEVENT")) == ("2.0", [])
    assert AT.astimezone(UTC).tzinfo is UTC
