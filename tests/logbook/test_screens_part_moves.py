"""A part or a module goes from one engine to another in one act: two entries, read together, signed together."""

import datetime

import pytest
from django.test import Client
from django.urls import reverse

from engines.actions import LimitFacts, limit_add, part_fit
from engines.models import Component, Engine, PartMovement
from engines.part_queries import component_times, fitted_at
from logbook.models import Entry, Person
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory, RunFactory
from tests.logbook.screen_kit import PASSWORD, act, signed_in, words

DAY = datetime.timedelta(days=1)
SENT = {"at": "2026-05-08T10:00", "position": "hot section", "remarks": "Exchange of modules"}


@pytest.fixture
def module(engine: Engine, mechanic: Person) -> Component:
    """Return a module of the engine, with a disc of a limited life in it."""
    held: Component = ComponentFactory.create(operator=engine.operator, part_number="M-1", serial="4")
    disc = ComponentFactory.create(operator=engine.operator, part_number="D-1", serial="7")
    part_fit(component=held, engine=engine, position="hot section", at=STARTED_AT, by=mechanic)
    part_fit(component=disc, parent=held, position="disc", at=STARTED_AT, by=mechanic)
    return held


@pytest.fixture
def other(engine: Engine) -> Engine:
    """Return a second engine of the type."""
    found: Engine = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    return found


def test_a_module_moves_with_what_sits_in_it_by_two_entries(
    client: Client, engine: Engine, other: Engine, module: Component, mechanic: Person
) -> None:
    """By hand: 2 starts on the first engine until it moved, 3 on the second after; nothing of one on the other."""
    RunFactory.create(engine=engine, started_at=STARTED_AT + DAY, starts=2)
    for host, starts in ((engine, 50), (other, 3)):
        RunFactory.create(engine=host, started_at=datetime.datetime(2026, 5, 9, tzinfo=datetime.UTC), starts=starts)
    signed_in(client, mechanic)
    shown = words(client.get(reverse("part_detail", args=[module.pk])))
    assert "Move it to another engine or module" in shown
    answer = act(client, "part_move", [module.pk], **SENT, host=f"engine:{other.pk}")
    assert answer.status_code == 302
    first, second = Entry.objects.filter(component=module).order_by("number")
    assert [(e.kind, e.engine) for e in (first, second)] == [("part_removed", engine), ("part_fitted", other)]
    assert dict(first.body["part"])["Where it is now"] == "moved to engine TB-0002"
    assert first.completed_on == second.completed_on
    assert fitted_at(module).engine == other
    disc = Component.objects.get(part_number="D-1")
    assert (component_times(module).starts, component_times(disc).starts) == (5, 5)


def test_both_texts_are_read_on_one_page_and_neither_is_signed_alone(
    client: Client, other: Engine, module: Component, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    address, sent = reverse("part_move", args=[module.pk]), SENT | {"host": f"engine:{other.pk}"}
    page = client.post(address, sent)
    shown = words(page)
    assert "It is 2 entries; you sign all of them or none." in shown
    assert shown.index("1. M-1 4 removed") < shown.index("2. M-1 4 fitted")
    assert Entry.objects.count() == 0
    signing = {"stage": "sign", "password": PASSWORD}
    changed = client.post(address, sent | signing | {"read": page.context["read"], "remarks": "Otherwise"})
    assert "It has changed since you read it" in words(changed)
    assert (Entry.objects.count(), PartMovement.objects.count()) == (0, 2)
    assert client.post(address, sent | signing | {"read": page.context["read"]}).status_code == 302
    assert Entry.objects.count() == 2


def test_a_moved_part_with_a_life_limit_needs_a_method_and_none_is_for_a_time_only(
    client: Client, other: Engine, module: Component, mechanic: Person
) -> None:
    facts = LimitFacts(100, "count", "Invented chapter 5", "3")
    limit_add(operator=other.operator, part_number="M-1", kind="life", parameter="starts", facts=facts, by=mechanic)
    signed_in(client, mechanic)
    sent = SENT | {"host": f"engine:{other.pk}"}
    page = act(client, "part_move", [module.pk], **sent)
    assert "Choose the method; a part that goes elsewhere is not removed for a time only." in words(page)
    assert "removed for a time only. It goes back" not in words(page)
    assert act(client, "part_move", [module.pk], **sent, control="1").status_code == 302
    entry = Entry.objects.get(kind="part_removed")
    assert dict(entry.body["part"])["Control method"].startswith("(1) Record system")


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"host": ""}, "Choose the engine or the module that it was fitted to."),
        ({"fitted_at": "2026-05-07T10:00"}, "this must come after"),
        ({"fitted_at": "2096-05-07T10:00"}, "That is still to come"),
        ({"at": ""}, "Give the day and the time at which it was removed."),
    ],
)
def test_what_does_not_follow_moves_nothing(
    *, client: Client, other: Engine, module: Component, mechanic: Person, changes: dict[str, str], says: str
) -> None:
    signed_in(client, mechanic)
    page = act(client, "part_move", [module.pk], **(SENT | {"host": f"engine:{other.pk}"} | changes))
    assert says in words(page)
    assert (Entry.objects.count(), fitted_at(module).engine_id) == (0, module.movements.get().engine_id)


def test_a_part_moves_between_modules_and_what_is_off_moves_nowhere(
    client: Client, module: Component, mechanic: Person
) -> None:
    disc = Component.objects.get(part_number="D-1")
    loose = ComponentFactory.create(operator=module.operator, part_number="M-1", serial="5")
    part_fit(component=ComponentFactory.create(operator=module.operator), parent=loose, at=STARTED_AT, by=mechanic)
    signed_in(client, mechanic)
    sent = {"at": "2026-05-08T10:00", "fitted_at": "2026-05-08T12:00", "host": f"part:{loose.pk}"}
    assert act(client, "part_move", [disc.pk], **sent).status_code == 302
    assert (fitted_at(disc).parent, fitted_at(disc).at.hour) == (loose, 12)
    assert client.get(reverse("part_move", args=[loose.pk])).status_code == 404
