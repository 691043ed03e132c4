"""The second look at work, 14 CFR 135.427(b) and 135.429(c): designated, refused with a reason, done again."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.errors import DomainError
from engines.models import Engine
from logbook.maintenance.actions import work_change, work_drop
from logbook.maintenance.correcting import work_corrected
from logbook.maintenance.looks import (
    is_required,
    required_list,
    required_set,
    work_refuse,
    work_rework,
    work_second,
)
from logbook.maintenance.rows import Work
from logbook.models import Entry, LookLine, Person, RequiredItem
from tests.factories import PersonFactory
from tests.logbook.maintenance.kit import SAID, opened, signed, today
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_corrections import correcting

MANUAL = SAID["data_document"]
WHY = "Operations manual 7, invented"


@pytest.fixture
def marked(engine: Engine, mechanic: Person) -> Work:
    """Return work that its writer marked as a required inspection item."""
    return opened(engine, mechanic, is_required_item=True)


def refused(code: str, act: Any, *args: Any, **kwargs: Any) -> str:
    """Do what is refused with a code, and return the sentence."""
    with pytest.raises(DomainError) as found:
        act(*args, **kwargs)
    assert found.value.code == code
    return found.value.message


def test_r_135_427_b_it_is_refused_done_again_and_accepted_on_the_screen(
    client: Client, marked: Work, mechanic: Person, inspector: Person
) -> None:
    """The refusal is kept with its reason, and so is what was done again; the entry tells all of it."""
    detail = reverse("work_detail", args=[marked.pk])
    signed_in(client, inspector)
    assert "I do not accept it" in words(client.get(detail))
    client.post(reverse("work_refuse", args=[marked.pk]), {"why": " "})
    assert not LookLine.objects.exists()
    client.post(reverse("work_refuse", args=[marked.pk]), {"why": "Lock wire is on backwards."})
    signed_in(client, mechanic)
    shown = words(client.get(detail))
    assert f"{inspector} did not accept it on {today()}: Lock wire is on backwards. Write down what was done" in shown
    assert refused("work_refused", signed, marked, mechanic).startswith(f"{inspector} did not accept it")
    client.post(reverse("work_rework", args=[marked.pk]), {"words": "Lock wire renewed."})
    assert "Done again" in words(client.get(detail))
    assert "needs a second, different person" in refused("work_refused", signed, marked, mechanic)
    signed_in(client, inspector)
    client.post(reverse("work_second", args=[marked.pk]))
    entry = signed(Work.objects.get(), mechanic)
    told = [(look["outcome"], look["words"], look["by"]) for look in entry.body["work"]["looks"]]
    assert told == [
        ("Not accepted", "Lock wire is on backwards.", str(inspector)),
        ("Done again", "Lock wire renewed.", str(mechanic)),
        ("Accepted", "", str(inspector)),
    ]
    printed = text_of(client.get(reverse("entry_print", args=[entry.number])).content)
    for said in ("The second look at a required inspection item", "Lock wire is on backwards.", "Lock wire renewed."):
        assert said in printed


def test_r_135_427_b_nobody_else_overrules_the_inspector(
    marked: Work, mechanic: Person, inspector: Person, director: Person
) -> None:
    """Not by accepting it as it is, by writing it anew, or by dropping it; the director is over both functions."""
    other = _inspector_of(inspector, "other")
    work_refuse(work=marked, why="Torque not recorded", by=inspector)
    assert "Torque not recorded" in refused("refusal_stands", work_second, work=marked, by=other)
    refused("refusal_stands", work_drop, work=marked, why="Written twice", by=mechanic)
    work_change(work=marked, facts=marked.facts | {"description": "Nozzle 4"}, by=mechanic)
    refused("refusal_stands", work_second, work=marked, by=other)
    refused("work_refused", signed, marked, mechanic)
    assert work_second(work=marked, by=director).second_by == director


def _inspector_of(person: Person, name: str) -> Person:
    made: Person = PersonFactory.create(operator=person.operator, username=name, role=person.role)
    return made


def test_r_135_427_b_who_refused_accepts_it_as_it_is_and_another_once_it_was_done_again(
    marked: Work, mechanic: Person, inspector: Person
) -> None:
    work_refuse(work=marked, why="Torque not recorded", by=inspector)
    assert work_second(work=marked, by=inspector).second_by == inspector
    work_refuse(work=marked, why="Looked at again: torque too low", by=inspector)
    assert Work.objects.get().second_by is None
    work_rework(work=marked, words="Tightened to 12 N·m", by=mechanic)
    assert work_second(work=marked, by=_inspector_of(inspector, "other")).second_by is not None


def test_r_135_429_c_whoever_did_it_again_does_not_look_at_it(
    marked: Work, inspector: Person, director: Person
) -> None:
    work_refuse(work=marked, why="Torque not recorded", by=director)
    refused("text_missing", work_rework, work=marked, words=" ", by=inspector)
    work_rework(work=marked, words="Tightened to 12 N·m", by=inspector)
    refused("second_person_needed", work_second, work=marked, by=inspector)
    refused("not_required", work_rework, work=marked, words="Once more", by=inspector)


@pytest.mark.parametrize("act", ["work_second", "work_refuse"])
def test_r_135_429_c_only_a_second_person_looks(marked: Work, engine: Engine, mechanic: Person, act: str) -> None:
    look: dict[str, Any] = {
        "work_second": lambda work: work_second(work=work, by=mechanic),
        "work_refuse": lambda work: work_refuse(work=work, why="Own work", by=mechanic),
    }
    refused("second_person_needed", look[act], marked)
    refused("not_required", look[act], opened(engine, mechanic))


def test_r_135_427_b_the_mark_is_never_taken_away_silently(
    client: Client, marked: Work, mechanic: Person, director: Person, inspector: Person
) -> None:
    """By the mechanic not at all; by the director with a reason, which stands in the entry."""
    without = marked.facts | {"is_required_item": False}
    refused("mark_stays", work_change, work=marked, facts=without, by=mechanic)
    refused("mark_stays", work_change, work=marked, facts=without, by=director)
    change = reverse("work_change", args=[marked.pk])
    page = signed_in(client, mechanic).post(change, SAID)
    assert (page.status_code, is_required(Work.objects.get())) == (422, True)
    assert "only the director of maintenance takes that mark away" in words(page)
    signed_in(client, director)
    lifted = {"completed_on": today(), "required_why": "Nozzles are on no list of ours"}
    assert client.post(change, SAID | lifted).status_code == 302
    work = Work.objects.get()
    assert not is_required(work)
    entry = signed(work, mechanic)
    (look,) = entry.body["work"]["looks"]
    assert (look["outcome"], look["words"]) == (
        "No longer a required inspection item",
        "Nozzles are on no list of ours",
    )
    assert entry.body["release"]["required_inspection_item"] is False


def test_r_135_427_b_what_the_operator_designated_takes_a_second_look_whatever_the_sheet_says(
    client: Client, engine: Engine, mechanic: Person, director: Person, inspector: Person
) -> None:
    signed_in(client, director)
    sent = {"document": MANUAL, "section": "Task 4", "why": WHY, "what": "on"}
    assert client.post(reverse("required_list"), sent).status_code == 302
    assert f"{MANUAL} Task 4 {WHY}" in words(client.get(reverse("required_list")))
    work = opened(engine, mechanic)
    assert "By the operator's list" in words(client.get(reverse("work_detail", args=[work.pk])))
    assert "needs a second, different person" in refused("work_refused", signed, work, mechanic)
    entry = signed(work_second(work=work, by=inspector), mechanic)
    assert entry.body["release"]["required_inspection_item"] is True
    assert "looks" not in entry.body["work"], "that it was accepted is told by the signature block"
    assert not is_required(opened(engine, mechanic, data_section="task 5"))
    # What is signed stays what it was, also once the list says otherwise.
    assert client.post(reverse("required_list"), sent | {"what": "off"}).status_code == 302
    assert (list(required_list(engine.operator_id)), RequiredItem.objects.count()) == ([], 2)
    assert is_required(Work.objects.get(entry=entry))
    facts = Work.objects.get(entry=entry).facts | {"description": "Nozzle 5"}
    newer = work_corrected(entry=Entry.objects.get(), facts=facts, correcting=correcting(mechanic))
    assert newer.body["release"]["required_inspection_item"] is True


def test_a_whole_document_is_designated_and_a_line_wants_its_reason(
    client: Client, engine: Engine, mechanic: Person, director: Person
) -> None:
    refused("text_missing", required_set, document="", section="", why="", by=director)
    required_set(document=MANUAL.upper(), section="", why=WHY, by=director)
    assert is_required(opened(engine, mechanic, data_section="any"))
    assert not is_required(opened(engine, mechanic, "meter"))
    page = signed_in(client, mechanic).get(reverse("required_list"))
    assert "all of it" in words(page) and "Change the list" not in words(page)
    assert client.post(reverse("required_list"), {"document": "x", "why": "y"}).status_code == 403
