"""Inspection programmes in tests: invented ones, selected and signed as a director does."""

from datetime import date
from typing import Any

from django.utils import timezone

from engines.models import Engine
from engines.programmes import MULTI, Selection
from logbook.models import Entry, Person
from logbook.programmes import SELECTS, programme_sign
from tests.signed import signing_of

TITLE = "Programme for twins (invented)"


def chosen(**changes: Any) -> Selection:
    """Return what is selected, from today on unless another day is given."""
    facts: dict[str, Any] = {
        "aircraft": "TB-99",
        "kind": MULTI,
        "option": "maker",
        "from_on": timezone.localdate(),
        "title": TITLE,
        "revision": "4",
        "responsible": "Test Owner, Testholm",
    }
    return Selection(**facts | changes)


def selected(engine: Engine, by: Person, **changes: Any) -> Entry:
    """Return the entry by which a programme was selected."""
    return programme_sign(engine=engine, said=chosen(**changes), by=by, signing=signing_of(by, SELECTS))


def boxes(by: Person, **changes: Any) -> dict[str, Any]:
    """Return what a director types into the sheet."""
    said = vars(chosen()) | {"certificate": by.certificates.get().pk} | changes
    return {name: value.isoformat() if isinstance(value, date) else value for name, value in said.items()}
