"""What a list of entries can be narrowed by."""

from datetime import date
from typing import Any

import pytest
from django.test import RequestFactory

from engines.models import Engine
from logbook.filters import EntryFilter, signers_seen
from logbook.models import Entry, Person
from tests.factories import EngineFactory, PersonFactory
from tests.signed import entry_made

TEXTS: tuple[dict[str, Any], ...] = (
    {"title": "Ground run recorded", "sentences": ["Peak 770 °C: area B"], "verdict": {"samples": 7}},
    {"title": "Hot section", "findings": [{"text": "Crack of 0.4 mm in blade 7", "by": "Åse Test"}]},
)


@pytest.fixture
def entries(engine: Engine, mechanic: Person, inspector: Person) -> list[Entry]:
    """Return two entries of two engines by two people."""
    other: Engine = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="ZZ-0009")
    rows = zip((1, 2), ("run", "inspection"), (engine, other), (mechanic, inspector), TEXTS, strict=True)
    return [entry_made(of, body, by, date(2026, 5, number + 3), kind=kind) for number, kind, of, by, body in rows]


@pytest.mark.parametrize(
    ("query", "numbers"),
    [
        ({}, [1, 2]),
        ({"from": "2026-05-05"}, [2]),
        ({"to": "2026-05-04"}, [1]),
        ({"kind": "inspection"}, [2]),
        ({"serial": "zz-"}, [2]),
        ({"serial": "TB-0001"}, [1]),
        ({"number": "2"}, [2]),
        ({"number": "7"}, []),
        ({"words": "770"}, [1]),
        ({"words": "°C area"}, [1]),
        ({"words": "BLADE crack"}, [2]),
        ({"words": "blade 770"}, []),
        ({"words": "samples"}, []),
        ({"words": "Åse"}, [2]),
        ({"words": "  "}, [1, 2]),
    ],
)
def test_entries_are_narrowed(query: dict[str, str], numbers: list[int], entries: list[Entry]) -> None:
    assert [entry.number for entry in EntryFilter(query, Entry.objects.all()).qs] == numbers


@pytest.mark.parametrize("number", ["0", "one", "1.5", str(2**31)])
def test_an_entry_number_that_is_none_is_refused(number: str, db: None) -> None:
    assert list(EntryFilter({"number": number}, Entry.objects.all()).form.errors) == ["number"]


def test_entries_are_found_by_who_signed_them(
    entries: list[Entry], mechanic: Person, stranger: Person, rf: RequestFactory
) -> None:
    request = rf.get("/")
    request.user = mechanic
    PersonFactory.create(operator=mechanic.operator)
    assert set(signers_seen(request)) == {entry.signed_by for entry in entries}
    filtered = EntryFilter({"person": str(mechanic.pk)}, Entry.objects.all(), request=request)
    assert [entry.number for entry in filtered.qs] == [1]
    request.user = stranger
    filtered = EntryFilter({"person": str(mechanic.pk)}, Entry.objects.all(), request=request)
    assert list(filtered.form.errors) == ["person"]
