"""What a phone kept is taken once, in its author's name, and never lost to what happened meanwhile."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.models import Engine, Run
from inspections import actions, states
from inspections.actions.handover import HandoverFacts
from inspections.models import Finding, Handover, Inspection, Step
from logbook.models import Arrival, Concern, Person
from logbook.outbox import taking
from tests.logbook.outbox.kit import DOOR, answer_item, hot_item, item, run_item, sent
from tests.logbook.screen_kit import inspection_opened, signed_in


@pytest.fixture
def phone(client: Client, mechanic: Person) -> Client:
    """Return a client with the mechanic signed in."""
    return signed_in(client, mechanic)


@pytest.fixture
def job(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection in the mechanic's hands."""
    return actions.inspection_assign(inspection=inspection_opened(engine, mechanic), to=mechanic, by=mechanic)


def test_a_run_is_taken_and_judged_and_waits_to_be_signed(phone: Client, engine: Engine, mechanic: Person) -> None:
    body = hot_item(engine, mechanic)
    answer = sent(phone, body)
    run, arrival = Run.objects.get(), Arrival.objects.get()
    assert answer.status_code == 201
    assert answer.json() | {"received_at": ""} == {
        "id": body["id"],
        "receipt": arrival.pk,
        "received_at": "",
        "is_late": False,
        "words": "The run is recorded.",
        "link": f"/runs/{run.pk}/",
        "made": f"run/{body['id']}",
        "sign": f"/runs/{run.pk}/sign/",
        "clock": "",
        "differs": "",
    }
    assert str(run.pk) == body["id"]
    assert run.unsigned.recorded_by == mechanic
    assert run.inspections.count() == 1
    assert (arrival.author, arrival.kind, arrival.kept_offset_min) == (mechanic, "run", 120)


def test_the_same_item_gets_the_same_receipt(phone: Client, engine: Engine, mechanic: Person) -> None:
    body = run_item(engine, mechanic)
    first = sent(phone, body)
    again = [sent(phone, {**body, "sent_at": datetime.now(UTC).isoformat()}) for _ in range(3)]
    assert [answer.status_code for answer in again] == [200, 200, 200]
    assert [answer.json() for answer in again] == [first.json()] * 3
    assert (Run.objects.count(), Arrival.objects.count()) == (1, 1)


def test_the_same_item_at_one_moment_gets_the_same_receipt(
    phone: Client, engine: Engine, mechanic: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    body = run_item(engine, mechanic)
    first = sent(phone, body)
    looked, really = list[Any](), taking._taken_before

    def not_yet(item: Any, by: Person) -> Any:
        """Find nothing at first, as where the other request has not come to an end."""
        looked.append(item)
        return None if len(looked) == 1 else really(item, by)

    monkeypatch.setattr(taking, "_taken_before", not_yet)
    again = sent(phone, body)
    assert (again.status_code, again.json(), len(looked)) == (200, first.json(), 2)
    assert (Run.objects.count(), Arrival.objects.count()) == (1, 1)


def test_an_id_with_another_body_is_refused(phone: Client, engine: Engine, mechanic: Person) -> None:
    body = run_item(engine, mechanic)
    sent(phone, body)
    answer = sent(phone, {**body, "fields": [*body["fields"], ["remarks", "other"]]})
    assert (answer.status_code, answer.json()["code"]) == (422, "id_used_with_other_body")


def test_what_a_sheet_refuses_comes_back_box_by_box_and_stores_nothing(
    phone: Client, engine: Engine, mechanic: Person
) -> None:
    answer = sent(phone, run_item(engine, mechanic, ["peak_0", "1,234"], ["starts", "-1"]))
    assert (answer.status_code, answer.json()["code"]) == (422, "sheet_refused")
    assert set(answer.json()["fields"]) == {"peak_0", "starts"}
    assert (Run.objects.count(), Arrival.objects.count()) == (0, 0)


def test_an_unlikely_figure_is_asked_about_and_taken_with_a_reason(
    phone: Client, engine: Engine, mechanic: Person
) -> None:
    body = run_item(engine, mechanic, ["starts", "40"])
    asked = sent(phone, body).json()["fields"]
    assert set(asked) == {"starts", "asked_starts"}
    reason = [["reason_starts", "Counted twice"], ["asked_starts", asked["asked_starts"]]]
    assert sent(phone, {**body, "fields": [*body["fields"], *reason]}).status_code == 201
    assert Run.objects.get().reasons.get().reason == "Counted twice"


def test_charts_are_found_by_name(phone: Client, engine: Engine, mechanic: Person) -> None:
    body = run_item(engine, mechanic)
    first, second = body["charts"][:2]
    body |= {"charts": [second, first], "fields": [*body["fields"], ["peak_1", "770"], ["seconds_1", "20"]]}
    assert sent(phone, body).status_code == 201
    assert Run.objects.get().readings.get().chart == first


def test_a_chart_that_is_gone_is_said(phone: Client, engine: Engine, mechanic: Person) -> None:
    body = run_item(engine, mechanic, ["peak_0", "770"], ["seconds_0", "20"])
    answer = sent(phone, {**body, "charts": ["Oil pressure, cold"]})
    assert answer.status_code == 422
    assert "no “Oil pressure, cold” any more" in answer.json()["detail"]


@pytest.mark.parametrize("format_", [1, 2])
def test_items_of_older_formats_are_taken(format_: int, phone: Client, engine: Engine, mechanic: Person) -> None:
    body = run_item(engine, mechanic, format=format_)
    del body["kept_offset_min"]
    if format_ == 1:
        body["boxes"] = dict(body.pop("fields"))
    assert sent(phone, body).status_code == 201
    assert Run.objects.get().typed_run_time_s == 1440


@pytest.mark.parametrize("format_", [0, 4, None, "3"])
def test_items_of_unknown_formats_are_refused(format_: Any, phone: Client, engine: Engine, mechanic: Person) -> None:
    assert sent(phone, run_item(engine, mechanic, format=format_)).status_code == 400


def test_an_item_is_taken_from_its_author_alone(
    client: Client, engine: Engine, mechanic: Person, inspector: Person
) -> None:
    body = run_item(engine, mechanic)
    answer = sent(signed_in(client, inspector), body)
    assert (answer.status_code, answer.json()["code"]) == (422, "not_the_author")
    assert Run.objects.count() == 0


def test_a_session_that_has_ended_and_a_role_that_may_not_are_told_apart(
    client: Client, engine: Engine, mechanic: Person, auditor: Person
) -> None:
    assert sent(client, run_item(engine, mechanic)).status_code == 401
    answer = sent(signed_in(client, auditor), run_item(engine, auditor))
    assert (answer.status_code, answer.json()["code"]) == (422, "role_may_not")


def test_a_missing_token_is_not_a_refusal_of_the_item(engine: Engine, mechanic: Person) -> None:
    client = signed_in(Client(enforce_csrf_checks=True), mechanic)
    body = run_item(engine, mechanic)
    answer = sent(client, body)
    assert (answer.status_code, answer.json()["code"]) == (403, "permission_denied")
    csrf = client.get(DOOR).json()["csrf"]
    assert client.post(DOOR, body, content_type="application/json", headers={"X-CSRFToken": csrf}).status_code == 201


def test_another_operators_engine_is_not_there(client: Client, engine: Engine, stranger: Person) -> None:
    answer = sent(signed_in(client, stranger), run_item(engine, stranger))
    assert (answer.status_code, answer.json()["code"]) == (422, "record_gone")


def test_an_item_of_no_kind_is_refused(phone: Client, mechanic: Person) -> None:
    assert sent(phone, item(mechanic, kind="song", about="1")).json()["code"] == "item_unknown"


def test_steps_findings_and_a_handover_are_taken(
    phone: Client, job: Inspection, mechanic: Person, inspector: Person
) -> None:
    assert sent(phone, answer_item(job, mechanic)).json()["words"] == "Step 1 is answered."
    finding = item(mechanic, kind="finding", about=str(job.pk), fields=[["finding-text", "Nick in blade 7"]])
    assert sent(phone, finding).status_code == 201
    told = [["done", "a"], ["not_done", "b"], ["watch_for", "c"], ["parts_off", "none"], ["told_to", str(inspector.pk)]]
    assert sent(phone, item(mechanic, kind="handover", about=str(job.pk), fields=told)).status_code == 201
    assert Step.objects.get(inspection=job, position=1).answer == "done"
    assert (Finding.objects.get().text, Handover.objects.get().told_to) == ("Nick in blade 7", inspector)


def test_the_rest_of_an_inspections_work_is_taken(
    phone: Client, job: Inspection, mechanic: Person, inspector: Person
) -> None:
    about = str(job.pk)
    for _ in range(2):
        assert sent(phone, item(mechanic, kind="begin", about=about)).json()["words"] == "The work is begun."
    fields = [
        ["action-description", "Blended"],
        ["action-data_reference", "72-00"],
        ["action-completed_on", "2026-05-05"],
    ]
    assert sent(phone, item(mechanic, kind="action", about=about, fields=fields)).status_code == 201
    cause = [["cause-cause", "found"], ["cause-text", "Bird"]]
    assert sent(phone, item(mechanic, kind="cause", about=about, fields=cause)).status_code == 201
    job.refresh_from_db()
    assert (job.state, job.actions.get().description, job.cause_text) == (states.IN_WORK, "Blended", "Bird")
    refused = sent(phone, item(mechanic, kind="action", about=about, fields=fields[:1])).json()
    assert set(refused["fields"]) == {"data_reference", "completed_on"}


def test_a_job_is_taken_by_who_was_told(client: Client, job: Inspection, mechanic: Person, inspector: Person) -> None:
    facts = {"done": "a", "not_done": "b", "watch_for": "c", "parts_off": "none"}
    given = actions.handover_give(inspection=job, facts=HandoverFacts(**facts), told_to=inspector, by=mechanic)
    body = item(mechanic, kind="taking", about=f"{job.pk}/{given.pk}")
    assert sent(signed_in(client, mechanic), body).json()["code"] == "handover_refused"
    body = item(inspector, kind="taking", about=f"{job.pk}/{given.pk}")
    answer = sent(signed_in(client, inspector), body).json()
    assert answer["words"] == f"You have inspection {job.number} now."
    job.refresh_from_db()
    assert job.assigned_to_id == inspector.pk
    gone = item(inspector, kind="taking", about=f"{job.pk}/0")
    assert sent(client, gone).json()["code"] == "record_gone"


def test_a_finding_that_was_recorded_already_is_not_recorded_twice(
    phone: Client, job: Inspection, mechanic: Person
) -> None:
    actions.finding_add(inspection=job, text="Nick in blade 7", by=mechanic)
    finding = item(mechanic, kind="finding", about=str(job.pk), fields=[["finding-text", " Nick in blade 7 "]])
    assert sent(phone, finding).status_code == 201
    assert Finding.objects.count() == 1


def test_what_comes_after_closing_is_stored_and_changes_nothing(
    phone: Client, job: Inspection, mechanic: Person, closed: Any
) -> None:
    closed(job)
    before = Inspection.objects.get(pk=job.pk).state
    answer = sent(phone, answer_item(job, mechanic, answer="not_done")).json()
    assert answer["is_late"] is True
    assert answer["words"].startswith("Stored. Closed by ")
    assert answer["words"].endswith("; the director will settle it.")
    assert Inspection.objects.get(pk=job.pk).state == before
    assert Step.objects.get(inspection=job, position=1).answer == "done"
    concern = Concern.objects.get(kind=Concern.Kind.KEPT_LATE)
    assert (concern.run, concern.raised_by, concern.reason) == (job.run, mechanic, "step1-answer: not_done")
    assert Arrival.objects.get().is_late


def test_a_clock_26_hours_ahead_is_flagged_and_what_was_typed_stays(
    phone: Client, engine: Engine, mechanic: Person
) -> None:
    ahead = (datetime.now(UTC) + timedelta(hours=26)).isoformat()
    answer = sent(phone, run_item(engine, mechanic, kept_at=ahead, sent_at=ahead))
    assert answer.json()["clock"] == "The phone's clock was 26 h 0 min ahead."
    assert Run.objects.get().started_at == datetime(2026, 5, 4, 7, 30, tzinfo=UTC)
    assert Arrival.objects.get().clock_ahead_s == pytest.approx(26 * 3600, abs=60)
    assert Concern.objects.get(kind=Concern.Kind.CLOCK).about == f"Run of {engine.serial}"


def test_a_verdict_that_differs_is_shown_to_both_and_to_the_director(
    phone: Client, engine: Engine, mechanic: Person
) -> None:
    excursions = [{"chart": "ITT, running", "area": None, "area_possible": None}]
    answer = sent(phone, hot_item(engine, mechanic) | {"verdict": {"revision": 1, "excursions": excursions}}).json()
    assert answer["differs"].startswith("The phone, with limits revision 1: ITT, running, no area. The server, with")
    concern = Concern.objects.get(kind=Concern.Kind.VERDICT)
    assert (concern.text, concern.run) == (answer["differs"], Run.objects.get())


def test_a_verdict_that_agrees_is_nobodys_concern(phone: Client, engine: Engine, mechanic: Person) -> None:
    body = hot_item(engine, mechanic)
    wrong = {"revision": 1, "excursions": []}
    differs = sent(phone, body | {"verdict": wrong}).json()["differs"]
    area = differs.rpartition("ITT, running, ")[2].partition(".")[0]
    again = hot_item(engine, mechanic)
    again["fields"][1][1] = "2026-05-05T07:30"
    excursions = [{"chart": "ITT, running", "area": area, "area_possible": area}]
    assert sent(phone, again | {"verdict": {"revision": 1, "excursions": excursions}}).json()["differs"] == ""


def test_the_door_says_who_is_here_and_what_to_keep(client: Client, engine: Engine, mechanic: Person) -> None:
    nobody = client.get(DOOR).json()
    assert (nobody["person"], nobody["pages"]) == (None, [])
    here = signed_in(client, mechanic).get(DOOR).json()
    assert (here["person"], here["name"]) == (mechanic.pk, str(mechanic))
    revision = engine.engine_type.revisions.get()
    work = {reverse("work_add", args=[engine.pk, "work"]), f"/engines/{engine.pk}/checks/", reverse("work_list")}
    assert work | {f"/engines/{engine.pk}/record/", "/engines/", f"/limits/{revision.pk}/"} <= set(here["pages"])
