"""A draft is adopted when every changed chart was keyed a second time and agrees."""

import datetime

import pytest

from engines.actions import chart_key, charts_left, revision_adopt, revision_enter
from engines.errors import DomainError
from engines.models import Engine, TypeRevision
from logbook.models import Person
from tests.documents import type_document
from tests.keying import draft_keyed


@pytest.fixture
def draft(engine: Engine, inspector: Person) -> TypeRevision:
    """Return a draft of the inspector's that changes two charts."""
    document = type_document(name=engine.engine_type.name)
    for place, limit in ((1, 690), (2, 41)):
        document["charts"][place]["limit"] = limit
    day = datetime.date(2026, 6, 1)
    return revision_enter(
        engine_type=engine.engine_type, document=document, source="Bulletin", in_force_from=day, by=inspector
    )


def refusal(**keyed: object) -> str:
    """Return the code by which a keying is refused."""
    with pytest.raises(DomainError) as caught:
        chart_key(**({"chart": "ITT, running", "figures": {}} | keyed))
    return caught.value.code


def test_each_changed_chart_has_to_agree(draft: TypeRevision, director: Person) -> None:
    assert charts_left(draft) == ["ITT, running", "Oil pressure, running"]
    chart_key(revision=draft, chart="ITT, running", figures={"limit": 690.0, "nonsense": 1.0}, by=director)
    row = draft.keyed_charts.get()
    assert (row.figures, row.agrees, str(row)) == ({"limit": 690.0}, False, f"ITT, running, keyed by {director}")
    with pytest.raises(DomainError, match="ITT, running; Oil pressure, running"):
        revision_adopt(revision=draft, by=director)


def test_what_cannot_be_keyed_is_refused(draft: TypeRevision, director: Person, inspector: Person) -> None:
    assert refusal(revision=draft, by=inspector) == "second_person_needed"
    assert refusal(revision=draft, by=director, chart="ITT, starting") == "chart_unknown"
    chart_key(revision=draft, chart="ITT, running", figures={}, by=director)
    assert refusal(revision=draft, by=director, settled_against=" ") == "source_missing"
    TypeRevision.objects.filter(pk=draft.pk).update(is_adopted=True)
    assert refusal(revision=draft, by=director) == "already_adopted"


def test_the_newest_keying_counts(draft: TypeRevision, director: Person) -> None:
    draft_keyed(draft, director)
    assert charts_left(draft) == []
    chart_key(revision=draft, chart="ITT, running", figures={}, by=director)
    assert charts_left(draft) == ["ITT, running"]
