"""Parts with a limit on paper: their status, and one part's history with the arithmetic."""

import datetime
import re

from django.test import Client
from django.urls import reverse

from engines.actions import LimitFacts, limit_add, part_fit
from engines.models import Component, Engine
from logbook.models import Person
from tests.factories import STARTED_AT, ComponentFactory, RunFactory
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import signed_in


def printed(client: Client, name: str, pk: int) -> str:
    """Return the words of a print."""
    return re.sub(r"\s+", " ", text_of(client.get(reverse(name, args=[pk])).content))


def test_status_and_history_say_used_and_left_by_which_source(client: Client, engine: Engine, mechanic: Person) -> None:
    part: Component = ComponentFactory.create(
        operator=engine.operator, part_number="D-1", serial="7", brought_starts=90, opening_basis="Log card 4"
    )
    facts = LimitFacts(100, "count", "Invented chapter 5", "3")
    limit_add(operator=engine.operator, part_number="D-1", kind="life", parameter="starts", facts=facts, by=mechanic)
    part_fit(component=part, engine=engine, position="disc", at=STARTED_AT, by=mechanic)
    RunFactory.create(engine=engine, started_at=STARTED_AT + datetime.timedelta(days=1), starts=12)
    signed_in(client, mechanic)
    status = printed(client, "parts_print", engine.pk)
    assert "Status of parts with a limit" in status
    assert "Invented chapter 5" in status
    assert "102 -2 Overrun" in status
    history = printed(client, "part_print", part.pk)
    assert "Log card 4" in history
    assert "starts: (12 − 0) 12 102" in history


def test_an_engine_without_such_parts_says_so(client: Client, engine: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    assert "No part with a limit runs with this engine" in printed(client, "parts_print", engine.pk)
