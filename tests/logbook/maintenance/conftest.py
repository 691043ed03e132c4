"""The rules of the United States, and a mechanic whose certificate covers powerplants."""

import pytest

from logbook.maintenance.rules import rules_choose
from logbook.models import Person
from logbook.statements.coverage import POWERPLANT
from tests.logbook.maintenance.kit import certified


@pytest.fixture(autouse=True)
def rules(director: Person, mechanic: Person) -> None:
    """Choose the rules, and say what the mechanic's certificate covers."""
    rules_choose(by=director, ruleset="us")
    certified(mechanic, POWERPLANT)
