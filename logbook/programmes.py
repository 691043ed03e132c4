"""The inspection programme of an engine's aircraft: selected, corrected and signed, and how it stands."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.db.models import JSONField, OuterRef, QuerySet, Subquery
from django.db.models.functions import JSONObject
from django.utils import timezone

from engines import actions
from engines.errors import DomainError
from engines.lives import OVERRUN, REACHED
from engines.models import PartLimit, ProgrammeSelection
from engines.part_queries import components_on, statuses_of
from engines.programmes import AIRCRAFT, OPTIONS, shown_against
from logbook.actions import certificate_check, entry_add
from logbook.corrections import Correcting, signed_fault
from logbook.entry_bodies import corrected_body
from logbook.ledger.answers import SUPERSEDED
from logbook.maintenance.bodies import times_on
from logbook.models import Entry, Person
from logbook.part_words import limit_words
from logbook.programme_rows import ProgrammeEntry
from logbook.signing import Signing

if TYPE_CHECKING:
    from collections.abc import Iterable

    from engines.models import Engine
    from engines.part_queries import PartStatus
    from engines.programmes import Selection

SELECTS: Final = (
    "I select, for the owner or operator, the programme under which this aircraft is inspected. "
    "It approves nothing for return to service."
)
# Signed here, and not corrected since: what an earlier owner selected does not stand.
STANDING: Final[dict[str, Any]] = {"replaced_by": None, "signed__isnull": False}
NONE: Final = "none"
NOT_ASKED: Final = "not asked for"
PASSED: Final = (REACHED, OVERRUN)
NOT_HERE: Final = "This entry states no selection that could be corrected."


@dataclass(frozen=True)
class Gate:
    """How an engine stands to what 14 CFR 91.409(e) asks: a programme selected, and replacement times kept."""

    selection: ProgrammeSelection | None
    lives: int
    passed: tuple[str, ...]

    @property
    def against(self) -> list[str]:
        """Return what in the record stands against operating the aircraft, in words."""
        return shown_against(self.selection.said if self.selection else None, self.passed)

    @property
    def parts_words(self) -> str:
        """Return how the replacement times of life-limited parts stand."""
        if not self.lives:
            return "No life limit of a part is kept in this record."
        if self.passed:
            return f"Past its replacement time: {'; '.join(self.passed)}."
        return f"{self.lives} kept in this record, none past."


def selection_list(engine: Engine) -> QuerySet[ProgrammeSelection]:
    """Return what was selected for an engine, the newest first; corrected ones and those of earlier owners too."""
    rows = ProgrammeSelection.objects.filter(engine=engine).select_related("by", "signed__entry", "replaced_by")
    return rows.order_by("-from_on", "-pk")


def selection_on(engine: Engine, day: date) -> ProgrammeSelection | None:
    """Return the selection that stands on a day, None where none was signed here."""
    standing = selection_list(engine).filter(**STANDING, from_on__lte=day)
    return standing.first()


def with_programme(engines: QuerySet[Engine]) -> QuerySet[Engine]:
    """Return engines with the selection that stands today, as :func:`programme_told` reads it."""
    standing = ProgrammeSelection.objects.filter(engine=OuterRef("pk"), **STANDING, from_on__lte=timezone.localdate())
    facts = JSONObject(**{name: name for name in ("option", "title", "revision", "from_on")})
    newest = standing.order_by("-from_on", "-pk").values(json=facts)[:1]
    return engines.annotate(programme_json=Subquery(newest, output_field=JSONField()))


def programme_told(engine: Any) -> ProgrammeSelection | None:
    """Return the selection that came with an engine, not to be kept; None where none stands."""
    facts = engine.programme_json
    return None if facts is None else ProgrammeSelection(**facts | {"from_on": date.fromisoformat(facts["from_on"])})


def gate_of(engine: Engine, parts: Iterable[PartStatus] | None = None) -> Gate:
    """Return how an engine stands to what 14 CFR 91.409(e) asks, today; ``parts`` where they were read already."""
    today = timezone.localdate()
    if parts is None:
        parts = statuses_of(list(components_on(engine)), today).values()
    rows = [(part.component, limit, status) for part in parts for limit, status in part.rows]
    lives = [(part, limit, status) for part, limit, status in rows if limit.kind == PartLimit.Kind.LIFE]
    passed = (f"{part}, {limit_words(limit)}" for part, limit, status in lives if status.state in PASSED)
    return Gate(selection_on(engine, today), len(lives), tuple(passed))


@transaction.atomic
def programme_sign(*, engine: Engine, said: Selection, by: Person, signing: Signing, read: str = "") -> Entry:
    """Record under which programme an engine's aircraft is inspected, and sign that.

    Raises what ``programme_select`` raises, DomainError "certificate_not_valid" and "text_changed".
    """
    before = selection_on(engine, said.from_on)
    row = actions.programme_select(engine=engine, said=said, by=by)
    return _sealed(row, programme_body(row, before), Correcting(by, "", signing, read), None)


@transaction.atomic
def programme_corrected(*, entry: Entry, said: Selection, correcting: Correcting) -> Entry:
    """State a selection anew, and sign that in the place of its entry.

    Raises what ``programme_correct`` raises, "not_correctable", "corrected_before", "not_yours",
    "certificate_not_valid" and "text_changed".
    """
    row = selection_of(entry)
    if row is None:
        raise DomainError(NOT_HERE, code="not_correctable")
    if fault := signed_fault(entry, correcting.by):
        raise fault
    made = actions.programme_correct(row=row, said=said, by=correcting.by)
    body = programme_body(made, _before(made))
    body = corrected_body(entry, body, how=SUPERSEDED, why=correcting.why)
    return _sealed(made, body, correcting, entry)


def selection_of(entry: Entry) -> ProgrammeSelection | None:
    """Return the selection that an entry states, None where it states none."""
    signed = ProgrammeEntry.objects.filter(entry=entry).select_related("selection__engine__engine_type").first()
    return None if signed is None else signed.selection


def _before(row: ProgrammeSelection) -> ProgrammeSelection | None:
    """Return the selection in whose place a corrected one came."""
    standing = selection_list(row.engine).filter(**STANDING, from_on__lte=row.from_on)
    return standing.filter(pk__lt=row.replaces_id or row.pk).first()


def _sealed(row: ProgrammeSelection, body: dict[str, Any], correcting: Correcting, corrects: Entry | None) -> Entry:
    """Sign the body of a selection, in the place of an entry where it corrects one."""
    by, signing = correcting.by, replace(correcting.signing, meaning=SELECTS)
    certificate_check(by, signing.certificate, timezone.localdate())
    about = {"kind": Entry.Kind.PROGRAMME, "corrects": corrects, "completed_on": row.from_on}
    entry = entry_add(engine=row.engine, body=body, by=by, signing=signing, read=correcting.read, **about)
    ProgrammeEntry.objects.create(selection=row, entry=entry)
    return entry


def programme_body(row: ProgrammeSelection, before: ProgrammeSelection | None) -> dict[str, Any]:
    """Return the body of the entry of a selection, without its signature."""
    engine = row.engine
    return {
        "kind": Entry.Kind.PROGRAMME,
        "title": "Inspection programme selected",
        **engine.operator.named,
        "engine": engine.named,
        "times": vars(times_on(engine, row.from_on)),
        "completed_on": row.from_on.isoformat(),
        "programme": [list(line) for line in (*programme_rows(row), *_in_place_of(before))],
    }


def programme_rows(row: ProgrammeSelection) -> list[tuple[str, str]]:
    """Return what a selection says, in words."""
    option = OPTIONS[row.option]
    return [
        ("Aircraft", row.aircraft),
        ("Kind of aircraft", AIRCRAFT[row.kind]),
        ("Inspected under", option.title),
        ("Programme", row.title or NOT_ASKED),
        ("Revision", row.revision or NOT_ASKED),
        ("Its inspections are scheduled by", row.responsible or NOT_ASKED),
        ("From", row.from_on.isoformat()),
    ]


def _in_place_of(before: ProgrammeSelection | None) -> list[tuple[str, str]]:
    if before is None:
        return [("In place of", NONE)]
    carried = "time in service, calendar time and cycles under it count on under this one (14 CFR 91.409(h))"
    return [("In place of", f"{before.words}, from {before.from_on.isoformat()}; {carried}")]
