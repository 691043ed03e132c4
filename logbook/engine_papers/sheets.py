"""What documents about an engine share: how it is named, its entries that stand, a signature and times in words."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from engines.models import Engine
from engines.times import Times, hours_text
from logbook.maintenance.rules import rules_of
from logbook.models import Entry, Person
from logbook.printing.engine_sheet import EngineSheet, Listing
from logbook.printing.retention import keep_words
from logbook.printing.wording import given, moment_text
from logbook.queries import entry_list

AT_ONCE = 100  # entries that are read together


def plain_sheet(
    engine: Engine, title: str, about: Sequence[tuple[str, Any]], listings: Sequence[Listing], *, columns: int = 1
) -> EngineSheet:
    """Return a document about an engine, its facts in so many columns."""
    operator = engine.operator
    return EngineSheet(
        title=title,
        operator=operator.name,
        place=operator.place,
        is_demo=operator.is_demo,
        engine=engine.named,
        about=about,
        listings=listings,
        columns=columns,
    )


def sheet_of(
    engine: Engine, title: str, about: Sequence[tuple[str, Any]], listings: Sequence[Listing], record: str
) -> EngineSheet:
    """Return a document about an engine, which says how long such a record has to be kept at least."""
    rules = rules_of(engine.operator_id)
    keep = ("Keep at least", keep_words(record, None if rules is None else rules.ruleset))
    return plain_sheet(engine, title, [*about, keep], listings)


def standing_entries(user: Person, engine: Engine, **narrowed: Any) -> Iterator[Entry]:
    """Yield an engine's entries that no other stands in the place of, by the day of completion."""
    entries = entry_list(user).filter(engine=engine, corrected_by__isnull=True, **narrowed)
    return entries.order_by("completed_on", "number").iterator(AT_ONCE)


def signer_words(body: Mapping[str, Any]) -> str:
    """Return who signed an entry, under which certificate, and when."""
    signed: Mapping[str, Any] = body.get("signed") or {}
    certificate = " ".join(str(signed.get(f"certificate_{part}") or "") for part in ("kind", "number")).strip()
    return f"{given(signed.get('name'))}, {certificate or 'no certificate'}, {moment_text(signed.get('at'))}"


def life_words(times: Mapping[str, Any]) -> str:
    """Return what an engine had used at a point, in one cell."""
    hours = [times.get(name) for name in ("time_in_service_s", "run_time_s")]
    told = [given(None) if amount is None else f"{hours_text(amount)} h" for amount in hours]
    return (
        f"{told[0]} in service, {told[1]} run, {given(times.get('starts'))} starts, {given(times.get('cycles'))} cycles"
    )


def times_cells(times: Times) -> list[str]:
    """Return times as cells of a table: in service, run time, starts, cycles."""
    return [
        f"{hours_text(times.time_in_service_s)} h",
        f"{hours_text(times.run_time_s)} h",
        str(times.starts),
        str(times.cycles),
    ]
