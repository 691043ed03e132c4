"""How records are kept here, in words: made from the settings, the table of access and the rows, not from a leaflet."""

import platform
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

import django
from django.conf import settings
from django.core.files.storage import storages
from django.db import connection
from django.db.models import Exists

from engines.models import Operator
from logbook.access import ACTS, AUDITOR, DIRECTOR, INSPECTOR, MECHANIC
from logbook.backups import OVERDUE_AFTER, backup_newest
from logbook.ledger.rows import Entry
from logbook.sessions import idle_limit
from logbook.signing import FACTORS

ROLES = (MECHANIC, INSPECTOR, DIRECTOR, AUDITOR)
DATABASES = {"sqlite": "SQLite, one file", "postgresql": "PostgreSQL"}
# What each act of the table of access is, for somebody who does not know its names.
ACTS_IN_WORDS = {
    "read": "read",
    "print": "print",
    "run.record": "record runs and sign their own",
    "inspection.work": "work inspections",
    "inspection.second": "give the second look of a required inspection item",
    "inspection.close": "end inspections by signature",
    "limits.enter": "enter limits",
    "limits.adopt": "check limits that another entered",
    "people.keep": "keep people and certificates",
    "concern.settle": "settle what disagrees",
    "record.keep": "make checkpoints and hand records over",
}


@dataclass(frozen=True)
class Section:
    """One part of the description: sentences, and facts by name."""

    title: str
    lines: tuple[str, ...] = ()
    rows: tuple[tuple[str, str], ...] = ()


def described(operator: Operator) -> list[Section]:
    """Return the description of the recordkeeping system that 14 CFR operators are asked for, part by part."""
    return [_facilities(), _records(operator), _preserved(), _complete(), _people(operator), _procedures()]


def _facilities() -> Section:
    return Section(
        "Facilities, hardware and software",
        rows=(
            ("Software", f"Embermark on Django {django.get_version()}, Python {platform.python_version()}"),
            ("Operating system", platform.platform(terse=True)),
            ("Database", f"{DATABASES[connection.vendor]}, version {_database_version()}"),
            ("Recorded files", f"kept by {type(storages['traces']).__name__}"),
            ("Clock", f"the server's, shown in {settings.TIME_ZONE}"),
            ("Reached by", "https" if settings.IS_HTTPS else "http, for one machine or a closed network only"),
        ),
    )


def _database_version() -> str:
    return ".".join(str(part) for part in connection.get_database_version())


def _records(operator: Operator) -> Section:
    asked = {f"has_{kind}": Exists(Entry.objects.filter(operator=operator, kind=kind)) for kind in Entry.Kind.values}
    kinds = Operator.objects.annotate(**asked).get(pk=operator.pk)
    held = [kind.label for kind in Entry.Kind if getattr(kinds, f"has_{kind.value}")]
    return Section(
        "Which records are kept here, and which are signed electronically",
        (
            f"Entries, all signed electronically; of these kinds there are some now: {', '.join(held) or 'none yet'}.",
            "Runs, readings, recorded files, judgements and inspections, which entries rest on and which are not "
            "signed by themselves; limits with their source, entered by one person and checked by another.",
        ),
    )


def _preserved() -> Section:
    factors = "; ".join(words for name, words in FACTORS.items() if name != "demo")
    return Section(
        "How each record is preserved unalterable, and access controlled",
        (
            "A signed entry is canonical JSON (RFC 8785), hashed with SHA-256 into a Merkle tree (RFC 9162); signed "
            "checkpoints (Ed25519) of the tree are made and can be kept elsewhere. The database itself refuses to "
            "change or delete what is kept. A correction is a new entry; the older one stays readable.",
            f"A signature is given by the signer's own account: {factors}. It is bound to the SHA-256 of the text that "
            "was read, the certificate as it stood, the server's time and the device's time.",
            f"A session ends after {_minutes(idle_limit(MECHANIC))} minutes without use "
            f"({_minutes(idle_limit(INSPECTOR))} for an inspector), "
            f"and {_minutes(settings.SESSION_LONGEST) // 60} hours after signing in.",
        ),
        tuple((role.capitalize(), ", ".join(_acts_of(role)) + ".") for role in ROLES),
    )


def _minutes(limit: timedelta) -> int:
    return int(limit.total_seconds() // 60)


def _acts_of(role: str) -> Iterator[str]:
    return (words for act, words in ACTS_IN_WORDS.items() if role in ACTS[act])


def _complete() -> Section:
    return Section(
        "What a complete record says",
        (
            "The kind of event, its date, the place, the persons by name and user code, and the certification: what "
            "was signed in words, under which certificate, when and how. What is missing prints as not recorded.",
        ),
    )


def _people(operator: Operator) -> Section:
    people = operator.people.filter(is_active=True).order_by("last_name", "username")
    return Section(
        "Who may change what here",
        rows=tuple((f"{person} ({person.username})", str(person.get_role_display())) for person in people),
    )


def _procedures() -> Section:
    newest = backup_newest()
    last = f"The last was made {newest.made_at:%Y-%m-%d %H:%M %Z}." if newest else "None has been made from here."
    return Section(
        "Backup, retention, audit and hand-over",
        (
            "Backup: manage.py backup copies database, recorded files and keys while people work; manage.py restore "
            f"puts them back and verifies them. {last} A warning stands where none was made within "
            f"{int(OVERDUE_AFTER.total_seconds() // 3600)} h after the last entry. The operator keeps one copy in "
            "another place.",
            "Retention: nothing is ever purged; the least time that a rule asks for stands beside each kind in prints.",
            "Audit: an account with the role of auditor reads and prints everything, and verifies the record; a "
            "printed entry is checked by its code without an account.",
            "Hand-over: an engine's or a part's whole record leaves as one package that anybody can verify offline.",
        ),
    )
