"""Correcting on the screen: what stands is in the boxes, why is asked, and the text is read before it is signed."""

import re
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.evidence import ReadingFacts, ReasonFacts, RunFacts
from engines.models import Engine, Run, RunCorrection
from inspections.actions import finding_add
from logbook.actions import inspection_sign, run_enter
from logbook.models import Entry, Person
from tests.factories import STARTED_AT
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import PASSWORD, signed_in, words
from tests.signed import run_signed, signing_of

WHY = "A digit was lost in copying."


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a signed run, begun not on a whole minute, with a run time of not a whole hundredth of an hour."""
    facts = RunFacts(
        id=Run().pk,
        kind=Run.Kind.GROUND_RUN,
        started_at=STARTED_AT.replace(second=17),
        typed_run_time_s=1441,
        typed_starts=6,
        typed_meter_h=100.4,
        readings=(ReadingFacts("ITT, running", 770.0, None), ReadingFacts("ITT, running", 705.0, 1.0)),
        reasons=(
            ReasonFacts(
                "Starts", "6", "6 starts are many for one run. Is it the number of this run alone?", "Wet starts"
            ),
        ),
    )
    run = run_enter(engine=engine, facts=facts, by=mechanic)
    run_signed(run, mechanic)
    return Run.objects.get(pk=run.pk)


def address(run: Run, name: str = "run_correct") -> str:
    return reverse(name, args=[run.pk])


def input_sent(tag: str) -> dict[str, str]:
    """Return what an input would send as it stands: its value by its name, or nothing."""
    said = dict(re.findall(r'\s(type|name|value)="([^"]*)"', tag))
    kind, name = said.get("type"), said.get("name")
    is_ticked = kind not in ("radio", "checkbox") or "checked" in tag
    if not name or not is_ticked or name == "csrfmiddlewaretoken":
        return {}
    return {name: said.get("value", "on" if kind == "checkbox" else "")}


def boxes_of(page: str) -> dict[str, str]:
    """Return what the boxes of a page would send as they stand."""
    sent: dict[str, str] = {}
    for tag in re.findall(r"<input\b[^>]*>", page):
        sent |= input_sent(tag)
    for name, text in re.findall(r'<textarea[^>]*name="(\w+)"[^>]*>\s*([^<]*)</textarea>', page):
        sent[name] = text
    for name, options in re.findall(r'<select[^>]*name="(\w+)"[^>]*>(.*?)</select>', page, re.S):
        chosen = re.search(r'value="([^"]+)"[^>]*selected', options)
        if name == "certificate":
            chosen = chosen or re.search(r'value="(\d+)"', options)
        sent[name] = chosen[1] if chosen else ""
    return {name: unescape(text) for name, text in sent.items()}


def read(client: Client, at: str, **changes: str) -> Any:
    """Send the sheet as it stands, with changes, and return the page on which the text is read."""
    return client.post(at, boxes_of(client.get(at).content.decode()) | {"why": WHY} | changes)


def sign(client: Client, at: str, page: Any, password: str = PASSWORD) -> Any:
    return client.post(at, boxes_of(page.content.decode()) | {"stage": "sign", "password": password})


def test_r_cor_2_a_run_is_put_right_read_and_signed(client: Client, run: Run, mechanic: Person) -> None:
    """R-COR-2: who, when, why and a new signature; what is left as it is stays to the second."""
    signed_in(client, mechanic)
    page = read(client, address(run), run_time="4.0")
    assert page.status_code == 200, words(page)
    text = words(page)
    assert "This entry stands in the place of entry 1" in text
    assert "Run time, as written down 0.40 h 4.00 h" in text
    assert (Entry.objects.count(), RunCorrection.objects.count()) == (1, 0)
    response = sign(client, address(run), page)
    assert response["Location"] == reverse("entry_detail", args=[2])
    now = Run.objects.get()
    assert (now.typed_run_time_s, now.started_at, now.typed_meter_h) == (14400, run.started_at, 100.4)
    assert [(r.peak, r.seconds) for r in now.standing_readings] == [(770.0, None), (705.0, 1.0)]
    assert [said.reason for said in now.reasons.filter(correction=1)] == ["Wet starts"]


def test_r_cor_5_the_old_text_is_struck_through_beside_the_correction(
    client: Client, run: Run, mechanic: Person, auditor: Person
) -> None:
    """R-COR-5 and R-COR-3, on the screen."""
    signed_in(client, mechanic)
    sign(client, address(run), read(client, address(run), run_time="4.0", peak_0="710", peak_0_unknown=""))
    signed_in(client, auditor)
    old = client.get(reverse("entry_detail", args=[1]))
    assert "Superseded by entry 2" in words(old)
    assert "The signature under this text no longer stands" in words(old)
    assert "run time <del>0.40 h</del>" in old.content.decode()
    assert "began <del>" not in old.content.decode()
    assert "Versions of this entry This entry, 1" in words(old)
    new = client.get(reverse("entry_detail", args=[2]))
    assert "This entry stands in the place of entry 1" in words(new)
    assert "<del>0.40 h</del>" in new.content.decode()
    assert "<strong>4.00 h</strong>" in new.content.decode()
    listed = words(client.get(reverse("entry_list")))
    assert "Superseded by entry 2" in listed
    assert "corrects entry 1" in listed
    record = words(client.get(reverse("engine_record", args=[run.engine_id])))
    assert "Times corrected on" in words(client.get(reverse("engine_detail", args=[run.engine_id])))
    assert f"Times corrected on {RunCorrection.objects.get().at:%Y-%m-%d} :" in record


def test_an_unlikely_figure_is_asked_about_as_on_the_sheet(client: Client, run: Run, mechanic: Person) -> None:
    signed_in(client, mechanic)
    asked = read(client, address(run), starts="7")
    assert asked.status_code == 422
    assert "7 starts are many for one run." in words(asked)
    answered = boxes_of(asked.content.decode()) | {"reason_starts": "Counted twice over"}
    page = client.post(address(run), answered)
    assert page.status_code == 200
    assert sign(client, address(run), page).status_code == 302
    assert [said.reason for said in Run.objects.get().reasons.filter(correction=1)] == ["Counted twice over"]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"why": " "}, "Say why it is corrected."),
        ({}, "Nothing is stated otherwise than before."),
        ({"run_time": "four"}, "“four”"),
        ({"started_at": "2999-01-01T00:00"}, "That is still to come."),
    ],
)
def test_what_can_not_stand_is_said_on_the_sheet(
    client: Client, run: Run, mechanic: Person, *, changes: dict[str, str], said: str
) -> None:
    page = read(signed_in(client, mechanic), address(run), **changes)
    assert page.status_code == 422
    assert said in words(page)
    assert RunCorrection.objects.count() == 0


def test_a_wrong_password_corrects_nothing(client: Client, run: Run, mechanic: Person) -> None:
    signed_in(client, mechanic)
    page = read(client, address(run), run_time="4.0")
    response = sign(client, address(run), page, "guess")
    assert (response.status_code, Entry.objects.count(), Run.objects.get().run_time_s) == (422, 1, 1441)
    again = sign(client, address(run), response)
    assert again.status_code == 302, words(again)


def test_a_run_is_made_void(client: Client, run: Run, mechanic: Person, auditor: Person) -> None:
    signed_in(client, mechanic)
    at = address(run, "run_void")
    assert "Inspection 1 : Hot section inspection, Open" in words(client.get(at))
    page = read(client, at, why="It was TB-0002 that ran.")
    assert "Void: this run never took place on this engine." in words(page)
    assert sign(client, at, page).status_code == 302
    signed_in(client, auditor)
    assert "Void by entry 2" in words(client.get(reverse("entry_detail", args=[1])))
    assert "Void: this run never took place" in words(client.get(reverse("run_detail", args=[run.pk])))
    signed_in(client, mechanic)
    for name in ("run_correct", "run_void"):
        assert "nothing of it is left to be corrected" in words(client.get(address(run, name)))
        assert client.post(address(run, name), {"why": WHY}).status_code == 422


def test_r_cor_4_another_person_is_told_who_corrects(client: Client, run: Run, inspector: Person) -> None:
    """R-COR-4: amendments only by authorised personnel."""
    told = words(signed_in(client, inspector).get(address(run)))
    assert f"{run.recorded_by} recorded this run and corrects it" in told
    assert "Correct it" not in words(client.get(reverse("entry_detail", args=[1])))
    led = client.get(reverse("entry_correct", args=[1]))
    assert "What was run is corrected on the sheet of the run." in words(led)
    assert address(run) in led.content.decode()


@pytest.mark.parametrize(
    ("state", "numbers"), [("current", ["2", "4"]), ("superseded", ["1"]), ("void", ["3"]), ("", ["1", "2", "3", "4"])]
)
def test_entries_are_found_by_their_state(
    client: Client, run: Run, mechanic: Person, *, state: str, numbers: list[str]
) -> None:
    signed_in(client, mechanic)
    sign(client, address(run), read(client, address(run), run_time="4.0", why='Said "how":"void" by mistake.'))
    other = run_enter(engine=run.engine, facts=RunFacts(Run().pk, Run.Kind.FLIGHT, STARTED_AT), by=mechanic)
    run_signed(other, mechanic)
    sign(client, address(other, "run_void"), read(client, address(other, "run_void")))
    page = client.get(reverse("entry_list"), {"state": state})
    assert sorted(re.findall(r'rowheader"><a href="/entries/(\d+)/"', page.content.decode())) == numbers


@pytest.fixture
def ended(run: Run, mechanic: Person) -> Entry:
    """Return the entry of an inspection that was not approved."""
    inspection = run.inspections.get()
    finding_add(inspection=inspection, text="Blade 3 is burnt", by=mechanic)
    return inspection_sign(
        inspection=inspection,
        by=mechanic,
        signing=signing_of(mechanic),
        outcome="not_approved",
        extent="Borescope of the turbine.",
        completed_on=STARTED_AT.date(),
        given_to="Test Owner",
    )


def test_r_cor_2_what_was_stated_of_an_inspection_is_put_right(client: Client, ended: Entry, mechanic: Person) -> None:
    """R-COR-2, of an inspection: its outcome has no box."""
    signed_in(client, mechanic)
    at = reverse("entry_correct", args=[ended.number])
    assert at in client.get(reverse("entry_detail", args=[ended.number])).content.decode()
    sheet = client.get(at)
    assert "It ended: Not approved for return to service." in words(sheet)
    assert "outcome" not in boxes_of(sheet.content.decode())
    page = read(client, at, extent="Borescope of both stages.")
    assert "Extent Borescope of the turbine. Borescope of both stages." in words(page)
    assert sign(client, at, page)["Location"] == reverse("entry_detail", args=[ended.number + 1])
    old = client.get(reverse("entry_detail", args=[ended.number])).content.decode()
    assert "Extent: <del>Borescope of the turbine.</del>" in old
    assert f"Entry {ended.number + 1} stands in the place of this one" in words(client.get(at))


def test_r_cor_3_rest_links_both_and_names_their_states(
    client: Client, ended: Entry, mechanic: Person, run: Run
) -> None:
    """R-COR-3: linked in both directions, by REST too."""
    signed_in(client, mechanic)
    sign(client, address(run), read(client, address(run), run_time="4.0"))
    listed = client.get("/api/v1/entries/").json()["results"]
    told = {row["number"]: (row["corrects"], row["corrected_by"], row["state"]) for row in listed}
    assert told == {
        1: (None, 3, "superseded"),
        ended.number: (None, None, "current"),
        3: (1, None, "current"),
    }
    stands = client.get(f"/api/v1/runs/{run.pk}/").json()
    assert (stands["correction"], stands["is_void"], len(stands["readings"])) == (1, False, 2)


def test_r_cor_5_the_print_has_both(client: Client, run: Run, mechanic: Person) -> None:
    """R-COR-5: on paper."""
    signed_in(client, mechanic)
    sign(client, address(run), read(client, address(run), run_time="4.0"))
    for number in (1, 2):
        text = " ".join(pages_of(client.get(reverse("entry_print", args=[number])).content))
        assert "SUPERSEDED by entry 2." in text
        assert "This entry corrects entry 1" in text
        assert WHY in text


def test_a_void_run_says_so_where_runs_are_listed(client: Client, run: Run, mechanic: Person) -> None:
    signed_in(client, mechanic)
    at = address(run, "run_void")
    sign(client, at, read(client, at))
    for name in ("engine_detail", "engine_times"):
        assert "round run, void" in words(client.get(reverse(name, args=[run.engine_id])))
    record = words(client.get(reverse("engine_record", args=[run.engine_id])))
    assert "Times corrected on" in record
