"""What leaves the site about what is due: the calendar of a person, and the daily mail."""

import secrets
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import Final

from django.conf import settings
from django.core import signing
from django.core.mail import EmailMessage
from django.urls import reverse
from django.utils import timezone

from engines.coming_due import DueLine, due_lines
from engines.part_queries import component_list, components_off
from engines.queries import engines_here
from engines.standing import part_tasks_of, with_tasks
from inspections.queries import inspection_open_list
from logbook.calendar_text import Appointment, calendar_bytes
from logbook.list_columns import due_words
from logbook.models import CalendarAddress, DigestChoice, Person
from logbook.queries import concern_list
from logbook.tokens import TOKEN_BYTES, token_digest

CALENDAR_D: Final = 365
MAIL_D: Final = 30
MOST_LISTED: Final = 40  # of each part of a mail; the list on the site has all
READ_NOTED_EVERY: Final = timedelta(minutes=1)
SALT: Final = "logbook.digest"
FOOT: Final = "Worked out from what was recorded by now; a person decides and signs."


def calendar_issue(*, person: Person) -> str:
    """Revoke a person's calendar address, make a new one, and return its secret, which is never shown again."""
    calendar_revoke(person=person)
    secret = secrets.token_urlsafe(TOKEN_BYTES)
    CalendarAddress.objects.create(person=person, digest=token_digest(secret))
    return secret


def calendar_revoke(*, person: Person) -> int:
    """End a person's calendar address; return how many ended."""
    return person.calendar_addresses.filter(revoked_at=None).update(revoked_at=timezone.now())


def calendar_known(secret: str) -> CalendarAddress | None:
    """Return the row of a calendar address: none once it is revoked or its person's account is closed."""
    found = CalendarAddress.objects.filter(digest=token_digest(secret), revoked_at=None, person__is_active=True)
    row = found.select_related("person__operator").first()
    now = timezone.now()
    if row is not None and (row.last_read_at is None or now - row.last_read_at >= READ_NOTED_EVERY):
        CalendarAddress.objects.filter(pk=row.pk).update(last_read_at=now)
    return row


def calendar_of(person: Person, address: str) -> bytes:
    """Return what comes due within a year as a person's calendar; ``address`` is the site's."""
    lines = [line for line in lines_of(person) if line.is_within(CALENDAR_D)]
    kept = [appointment_of(line, address) for line in lines]
    return calendar_bytes(kept, name=f"Coming due, {person.operator}", at=timezone.now())


def lines_of(person: Person) -> list[DueLine]:
    """Return everything that comes due on the engines that a person sees."""
    return due_lines(with_tasks(engines_here(person)), off=part_tasks_of(components_off(component_list(person))))


def appointment_of(line: DueLine, address: str) -> Appointment:
    """Return a line as an appointment: on its day, or on the first on which it may be reached."""
    first = line.today if line.is_overdue else line.earliest_on or line.today
    is_sure = line.is_overdue or line.earliest_on == line.latest_on
    said = f"{line.where}: {line.what}"
    of = f"engine-{line.engine.pk}" if line.engine else "part"
    opens = reverse("engine_due", args=[line.engine.pk]) if line.engine else reverse("due_list")
    thing = line.key or f"part-{line.component.pk if line.component else 0}-{line.kind.lower().replace(' ', '-')}"
    return Appointment(
        uid=f"{of}-{thing}@embermark",
        first=first,
        last=first,
        summary=f"{said} overdue"
        if line.is_overdue
        else f"{said} due"
        if is_sure
        else f"{said} may be due from here on",
        description="\n".join([", ".join(line.left_words), f"Reached: {line.when_words}", line.assumption, FOOT]),
        address=f"{address.rstrip('/')}{opens}",
    )


def digests_due(today: date) -> Iterator[DigestChoice]:
    """Yield who is to get a mail on a day and has not got it."""
    choices = DigestChoice.objects.exclude(when=DigestChoice.When.NEVER).exclude(sent_on=today)
    for choice in choices.filter(person__is_active=True).exclude(person__email="").select_related("person__operator"):
        if choice.when == DigestChoice.When.DAILY or today.weekday() == 0:
            yield choice


def digest_text(choice: DigestChoice) -> str:
    """Return the text of a person's mail; nothing where there is nothing to say."""
    person, parts = choice.person, []
    if choice.of_due:
        parts.append(
            _part(
                "Overdue, or due within 30 days",
                (_due_line(line) for line in lines_of(person) if line.is_within(MAIL_D)),
            )
        )
    if choice.of_inspections:
        rows = inspection_open_list(person).order_by("-before_next_flight", "opened_at")
        parts.append(
            _part("Open inspections", (f"{i.engine.serial}: {i.number}, {i.summary}, {due_words(i)}" for i in rows))
        )
    if choice.of_concerns:
        open_ones = concern_list(person).filter(settlement=None)
        parts.append(_part("To settle", (str(concern) for concern in open_ones)))
    said = [part for part in parts if part]
    return "\n\n".join([*said, FOOT]) if said else ""


def _due_line(line: DueLine) -> str:
    return f"{line.where}: {line.what}, {', '.join(line.left_words)}; reached {line.when_words}"


def _part(title: str, lines: Iterable[str]) -> str:
    rows = list(lines)
    if not rows:
        return ""
    more = [f"… and {len(rows) - MOST_LISTED} more"] if len(rows) > MOST_LISTED else []
    return "\n".join([f"{title} ({len(rows)})", *(f"- {row}" for row in rows[:MOST_LISTED]), *more])


def digest_send(choice: DigestChoice, today: date) -> bool:
    """Send a person's mail of a day, and note it; return whether there was anything to say."""
    text = digest_text(choice)
    if text:
        site = settings.ADDRESS.rstrip("/")
        stop = f"{site}{reverse('digest_stop', args=[stop_key(choice.person)])}"
        body = f"{text}\n\nThe lists: {site}{reverse('due_list')}\nNo more of these mails: {stop}\n"
        headers = {"List-Unsubscribe": f"<{stop}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}
        subject = f"{choice.person.operator}: what is due and open on {today}"
        EmailMessage(subject, body, to=[choice.person.email], headers=headers).send()
    choice.sent_on = today
    choice.save(update_fields=["sent_on"])
    return bool(text)


def stop_key(person: Person) -> str:
    """Return what in an address says whose mails are to stop, signed so that nobody makes one up."""
    return signing.Signer(salt=SALT).sign(str(person.pk)).replace(":", "~")


def stop_known(key: str) -> DigestChoice | None:
    """Return the choice of the person whom a signed key names; None for a key that nobody was sent."""
    try:
        pk = signing.Signer(salt=SALT).unsign(key.replace("~", ":"))
    except signing.BadSignature:
        return None
    return DigestChoice.objects.filter(person=int(pk)).select_related("person").first()
