"""What every screen asks of the database, kept as data: a change is seen, and none asks for more than ten things."""

import json
import os

import pytest

from tests.layers import ROOT
from tests.stage import Stage, stage_set
from tests.walk import opened, screens, unlisted

# A walk over every address: what it passes, the tests of its own must cover.
pytestmark = pytest.mark.no_cover

KEPT = ROOT / "tests" / "query_counts.json"
RECORD = "EMBERMARK_RECORD_COUNTS"
MOST = 10


@pytest.fixture
def stage(db: None) -> Stage:
    """Return the stage with enough rows of everything."""
    return stage_set()


def counted(stage: Stage, name: str) -> dict[str, int | None]:
    """Return how many queries a screen takes, by role; None where a role that may open it gets no page."""
    return {visit.role: visit.queries for visit in opened(stage, name)}


def kept() -> dict[str, dict[str, int]]:
    """Return the counts as they are committed."""
    counts: dict[str, dict[str, int]] = json.loads(KEPT.read_text(encoding="utf8"))
    return counts


def test_every_address_is_walked() -> None:
    assert unlisted() == set()


def test_every_screen_asks_of_the_database_what_it_did(stage: Stage) -> None:
    counts = {name: counted(stage, name) for name in screens()}
    if os.environ.get(RECORD) == "1":
        KEPT.write_text(json.dumps(counts, indent=2, sort_keys=True) + "\n", encoding="utf8")
    assert [name for name, roles in counts.items() if None in roles.values()] == []
    assert {name: roles for name, roles in counts.items() if max(n or 0 for n in roles.values()) > MOST} == {}
    assert counts == kept()
