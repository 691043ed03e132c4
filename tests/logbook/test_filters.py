import pytest

from engines.models import Engine
from logbook.filters import EntryFilter
from logbook.models import Entry, Person


@pytest.mark.parametrize(
    ("query", "numbers"),
    [
        ({}, [1, 2]),
        ({"from": "2026-05-05"}, [2]),
        ({"to": "2026-05-04"}, [1]),
        ({"kind": "inspection"}, [2]),
    ],
)
def test_entries_are_narrowed(query: dict[str, str], numbers: list[int], engine: Engine, mechanic: Person) -> None:
    for number, kind in ((1, "run"), (2, "inspection")):
        Entry.objects.create(
            operator=engine.operator,
            number=number,
            kind=kind,
            engine=engine,
            completed_on=f"2026-05-0{number + 3}",
            body={},
            signed_by=mechanic,
        )
    assert [entry.number for entry in EntryFilter(query, Entry.objects.all()).qs] == numbers
