"""What is unlikely on a run's sheet is asked about: taken with a typed reason, which is kept; never taken without."""

import json
import re
import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.models import Engine, Reading, Run, TypedReason
from logbook.models import Person
from tests.factories import RunFactory
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import recording_file, signed_in, words
from tests.signed import run_signed

RUNNING = 1
ASKED = re.compile(r'name="(asked_\w+)" value="(\w+)"')


@pytest.fixture
def earlier(engine: Engine, inspector: Person) -> Run:
    """Return a run of the day before, its hour meter read."""
    began = "2026-05-03T07:30Z"
    return RunFactory.create(
        engine=engine, started_at=began, typed_meter_h=4311.2, typed_run_time_s=3600, recorded_by=inspector
    )


@pytest.fixture
def sheet(engine: Engine, mechanic: Person, client: Client) -> dict[str, Any]:
    """Return a complete sheet of a mechanic who is signed in."""
    signed_in(client, mechanic)
    return {"id": str(uuid.uuid4()), "kind": "flight", "started_at": "2026-05-04T07:30", "run_time": "1.4"}


def send(client: Client, engine: Engine, sheet: dict[str, Any]) -> Any:
    """Send a sheet."""
    return client.post(reverse("run_record", args=[engine.pk]), sheet)


def marks(response: Any) -> dict[str, str]:
    """Return the marks of the questions on a page, as the browser sends them back."""
    return dict(ASKED.findall(response.content.decode()))


def test_the_last_reading_stands_beside_the_box_and_never_in_it(
    client: Client, engine: Engine, mechanic: Person, earlier: Run
) -> None:
    response = signed_in(client, mechanic).get(reverse("run_record", args=[engine.pk]))
    box = response.context["form"]["meter"]
    assert box.value() is None
    assert f"Last: 4311.2 h, 2026-05-03, {earlier.recorded_by}." in words(response)
    assert 'data-last="4311.2" data-since="2026-05-03"' in str(box)
    assert f"Last: 1 h, 2026-05-03, {earlier.recorded_by}." in words(response)


def test_a_likely_meter_is_kept_without_a_question(
    client: Client, engine: Engine, sheet: dict[str, Any], earlier: Run, mechanic: Person
) -> None:
    assert send(client, engine, sheet | {"meter": "4312,6"}).status_code == 302
    assert Run.objects.get(pk=sheet["id"]).typed_meter_h == 4312.6
    assert not TypedReason.objects.exists()
    assert run_signed(Run.objects.get(pk=sheet["id"]), mechanic).body["run"]["typed"]["meter_h"] == 4312.6


def test_a_swap_is_named_and_nothing_is_stored(
    client: Client, engine: Engine, sheet: dict[str, Any], earlier: Run
) -> None:
    response = send(client, engine, sheet | {"meter": "4321.6"})
    assert (response.status_code, Run.objects.filter(pk=sheet["id"]).exists()) == (422, False)
    page = words(response)
    assert "Did you mean 4312.6? Put it right, or say why it is so." in page
    assert "Why hour meter is so" in page
    assert 'value="4321.6"' in response.content.decode()


def test_a_reason_is_kept_with_the_question_and_the_figure(
    client: Client, engine: Engine, mechanic: Person, *, sheet: dict[str, Any], earlier: Run
) -> None:
    sheet |= {"meter": "4321.6", "reason_meter": "Two runs were not written down"}
    asked = send(client, engine, sheet)
    assert asked.status_code == 422
    response = send(client, engine, sheet | marks(asked))
    assert response.status_code == 302
    kept = TypedReason.objects.get()
    assert (kept.run_id, kept.field, kept.value, kept.by) == (
        uuid.UUID(sheet["id"]),
        "Hour meter",
        "4321.6 h",
        mechanic,
    )
    assert kept.reason == "Two runs were not written down"
    assert kept.question.endswith("Did you mean 4312.6?")
    body = run_signed(kept.run, mechanic).body
    assert body["reasons"] == [
        {"field": "Hour meter", "value": "4321.6 h", "question": kept.question, "reason": kept.reason}
    ]
    assert "Two runs were not written down" in words(client.get(response["Location"]))
    assert "Two runs were not written down" in words(client.get(reverse("entry_detail", args=[1])))
    printed = text_of(client.get(reverse("entry_print", args=[1])).content)
    assert "Hour meter at the end 4321.6 h" in printed
    assert "Two runs were not written down" in printed


def test_a_reason_for_one_figure_is_none_for_another(
    client: Client, engine: Engine, sheet: dict[str, Any], earlier: Run
) -> None:
    sheet |= {"meter": "4321.6", "reason_meter": "Two runs were not written down"}
    answered = sheet | marks(send(client, engine, sheet)) | {"meter": "4921.6"}
    response = send(client, engine, answered)
    assert response.status_code == 422
    assert "Two runs were not written down" in response.content.decode()


def test_a_reason_stays_while_something_else_is_put_right(
    client: Client, engine: Engine, sheet: dict[str, Any], earlier: Run
) -> None:
    sheet |= {"meter": "4321.6", "reason_meter": "Two runs were not written down"}
    answered = sheet | marks(send(client, engine, sheet))
    response = send(client, engine, answered | {"starts": "one"})
    assert "Two runs were not written down" in response.content.decode()
    assert send(client, engine, answered | marks(response)).status_code == 302


def test_the_trace_in_the_same_sheet_is_the_run_timer(
    client: Client, engine: Engine, sheet: dict[str, Any], earlier: Run
) -> None:
    sheet |= {"run_time": "", "meter": "4312.6"}
    response = send(client, engine, sheet | {"trace": recording_file()})
    assert "The meter and the run time disagree" in words(response)
    assert send(client, engine, sheet | {"meter": "4311.2", "trace": recording_file()}).status_code == 302


def test_runs_in_between_count_for_the_meter(
    client: Client, engine: Engine, sheet: dict[str, Any], earlier: Run
) -> None:
    RunFactory.create(engine=engine, started_at="2026-05-03T12:00Z", run_time_s=7200, recorded_by=earlier.recorded_by)
    assert send(client, engine, sheet | {"meter": "4312.6"}).status_code == 422
    assert send(client, engine, sheet | {"meter": "4314.6"}).status_code == 302


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"run_time": "14"}, "14.00 h is long for one run."),
        ({"time_in_service": "1.5"}, "1.50 h in service is more than the run time of 1.40 h."),
        ({"starts": "1", "cycles": "2"}, "More cycles than starts: 2 and 1."),
        ({"peak_1": "7700", "seconds_1": "2"}, "7700 °C is far from the limit of 700 °C."),
    ],
)
def test_other_unlikely_figures_are_asked_about(
    changes: dict[str, str], says: str, client: Client, engine: Engine, sheet: dict[str, Any]
) -> None:
    response = send(client, engine, sheet | changes)
    assert says in words(response)
    reasons = {name.replace("asked", "reason"): "So it was" for name in marks(response)}
    assert send(client, engine, sheet | changes | marks(response) | reasons).status_code == 302
    assert TypedReason.objects.get().reason == "So it was"


def timed(seconds: float, chart: str = "ITT, running") -> str:
    """Return what the event timer hands over for one stretch."""
    at = "2026-05-04T07:31:05.250+00:00"
    stretch = {"chart": chart, "began_at": at, "ended_at": at, "seconds": seconds, "clocks_apart_s": 0.0}
    marks = [{"name": "light_off", "at": at}]
    return json.dumps({"stretches": [stretch], "marks": marks, "taken_back": 0})


def test_timed_seconds_are_the_readings_seconds(client: Client, engine: Engine, sheet: dict[str, Any]) -> None:
    response = send(client, engine, sheet | {"peak_1": "770", "timed": timed(12.3)})
    reading = Reading.objects.get()
    assert (reading.seconds, reading.timed_seconds) == (12.3, 12.3)
    page = words(client.get(response["Location"]))
    assert "Timed: 12.3 s" in page
    assert "Light-off pressed at 07:31:05." in page


def test_a_correction_stands_beside_what_was_timed(
    client: Client, engine: Engine, sheet: dict[str, Any], mechanic: Person
) -> None:
    sheet |= {"peak_1": "770", "seconds_1": "9", "timed": timed(12.3)}
    response = send(client, engine, sheet)
    assert "The timer measured 12.3 s, and 9 s is typed." in words(response)
    assert "Timed: 12.3 s." in words(response)
    sent = sheet | marks(response) | {"reason_seconds_1": "Pressed late"}
    assert send(client, engine, sent).status_code == 302
    reading = Reading.objects.get()
    assert (reading.seconds, reading.timed_seconds) == (9.0, 12.3)
    evidence = run_signed(reading.run, mechanic).body["evidence"][0]
    assert (evidence["seconds"], evidence["timed_seconds"]) == (9.0, 12.3)


def test_a_timed_limit_needs_its_peak(client: Client, engine: Engine, sheet: dict[str, Any]) -> None:
    response = send(client, engine, sheet | {"timed": timed(12.3)})
    assert "Give the reading, or choose “Not known”" in words(response)


def test_what_the_timer_never_sent_is_refused(client: Client, engine: Engine, sheet: dict[str, Any]) -> None:
    assert "What the timer sent can't be read" in words(send(client, engine, sheet | {"timed": "{"}))


def test_the_timer_has_a_key_for_each_high_limit(client: Client, engine: Engine, mechanic: Person) -> None:
    page = signed_in(client, mechanic).get(reverse("run_timer", args=[engine.pk]))
    assert "For an observer outside the danger area." in words(page)
    assert [key.name for key in page.context["first"]] == ["Over temperature"]
    assert [words for _, words in page.context["marks"]] == ["Starter", "Light-off", "Idle"]
