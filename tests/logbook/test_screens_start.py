"""One start and how an engine's starts drift: on screen, on paper, by REST, and to settle."""

import io
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, Run
from inspections.actions import run_judge
from inspections.models import ShutdownRecord, StartRecord
from logbook.actions import run_enter, trace_enter
from logbook.concerns import concerns_raise
from logbook.drift import series_of
from logbook.models import Concern, Person
from logbook.shown_units import scales_for, units_choose
from tests.engines.starts_kit import ITT, N1
from tests.factories import STARTED_AT
from tests.logbook.screen_kit import signed_in, words

RULES = {
    "hot_above": 700,
    "idle_within_s": 60,
    "residual_most": 150,
    "run_down": {"from": 45, "to": 5},
    "envelope": {"temperature": [{"at_s": 0, "value": 300}, {"at_s": 3, "value": 640}, {"at_s": 30, "value": 640}]},
    "drift": {"baseline": 5},
    "source": "invented for the tests, page 4",
}
DOWN = [44, 30, 20, 12, 7, 3, 0]


@pytest.fixture
def told(engine: Engine) -> Engine:
    """Return an engine whose type says how its starts are told."""
    revision = engine.engine_type.revisions.get()
    revision.document["starts"] = RULES
    revision.save(update_fields=["document"])
    return engine


def start_csv(hotter: float = 0.0) -> bytes:
    """Return a start, some idle, and a shutdown, a row a second, the temperature moved above 100 °C."""
    n1 = [*N1, *[60] * 30, *DOWN]
    itt = [value + (hotter if value > 100 else 0) for value in [*ITT, *[550] * 30, *[400] * len(DOWN)]]
    rows = (f"{t},{a:g},{b:g},5,60" for t, (a, b) in enumerate(zip(itt, n1, strict=True)))
    return "\n".join(["time_s,itt,n1,torque,oil_press", *rows, ""]).encode()


def started(engine: Engine, by: Person, day: int, hotter: float = 0.0) -> Run:
    facts = RunFacts(id=uuid4(), kind="ground_run", started_at=STARTED_AT + timedelta(days=day))
    run = run_enter(engine=engine, facts=facts, by=by)
    trace_enter(run=run, file=io.BytesIO(start_csv(hotter)), name="run.csv", by=by)
    return run


def pdf_words(response: Any) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(response.content)).pages)


def test_a_start_is_kept_with_the_judgement_that_stands(told: Engine, mechanic: Person) -> None:
    run = started(told, mechanic, 0)
    start, shutdown = StartRecord.objects.get(), ShutdownRecord.objects.get()
    assert (start.outcome, start.figures["peak"], start.place) == ("started", 655.0, 1)
    assert str(start) == "start 1 of 2026-05-04 07:30: started"
    assert str(shutdown).startswith("shutdown 1 of 2026-05-04 07:30")
    assert shutdown.figures["run_down_s"] == pytest.approx(4.5 + 1 / 16)
    run_judge(run=run)
    assert StartRecord.objects.count() == 2
    assert StartRecord.objects.get(judgement__is_current=True).figures == start.figures


def test_a_start_is_shown_with_its_figures_and_pictures(
    client: Client, told: Engine, mechanic: Person, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    for day in range(3):
        started(told, mechanic, day, hotter=5.0 * day)
    run = started(told, mechanic, 3, hotter=50.0)
    signed_in(client, auditor)
    with django_assert_max_num_queries(10):
        response = client.get(reverse("start_detail", args=[run.pk, 1]))
    page = words(response)
    assert "Hot start; it reached idle." in page
    assert "Peak temperature 705 °C, not as asked no more than 700 °C 660 °C, half of 3 from 658 to 662 °C" in page
    assert "lay above the type's envelope from" in page
    assert "From turning to idle 14.0 s no more than 60.0 s" in page
    assert "Starter engaged not recorded" in page
    assert "Fuel flow is not recorded." in page
    assert "The shutdown after it" in page
    assert response.content.decode().count('class="picture"') == 4
    assert "Start of 07:30:04 : Hot start; it reached idle." in words(client.get(reverse("run_detail", args=[run.pk])))


def test_a_start_is_printed(client: Client, told: Engine, mechanic: Person, auditor: Person) -> None:
    run = started(told, mechanic, 0)
    printed = signed_in(client, auditor).get(reverse("start_print", args=[run.pk, 1]), {"paper": "a4"})
    text = pdf_words(printed)
    assert "Peak temperature 655 °C" in text
    assert "invented for the tests, page 4" in text
    assert "End of the start." in text


def test_a_start_that_there_is_not_or_of_others_is_not_found(
    client: Client, told: Engine, mechanic: Person, stranger: Person
) -> None:
    run = started(told, mechanic, 0)
    signed_in(client, mechanic)
    assert client.get(reverse("start_detail", args=[run.pk, 2])).status_code == 404
    signed_in(client, stranger)
    assert client.get(reverse("start_detail", args=[run.pk, 1])).status_code == 404


def test_what_was_written_down_shows_a_start_without_a_picture(
    client: Client, told: Engine, mechanic: Person, auditor: Person
) -> None:
    reading = ReadingFacts("ITT, starting", 810.0, 2.0)
    facts = RunFacts(id=uuid4(), kind="start_attempt", started_at=STARTED_AT, readings=(reading,))
    run = run_enter(engine=told, facts=facts, by=mechanic)
    response = signed_in(client, auditor).get(reverse("start_detail", args=[run.pk, 1]))
    page = words(response)
    assert "Hot start." in page
    assert "Written down by a person, with no trace." in page
    assert "Read from what was timed and written down" in page
    assert 'class="picture"' not in response.content.decode()


def drifting(engine: Engine, by: Person) -> list[Run]:
    """Record five starts that set the target, one like them, and three that grow hotter."""
    return [started(engine, by, day, hotter) for day, hotter in enumerate([0, 4, 0, 4, 0, 2, 8, 16, 24])]


def test_a_drift_is_put_to_the_director_where_it_begins(told: Engine, mechanic: Person) -> None:
    runs = drifting(told, mechanic)
    concerns = list(Concern.objects.filter(kind=Concern.Kind.DRIFT, about="Peak temperature"))
    assert [concern.run_id for concern in concerns] == [runs[7].pk]
    assert concerns[0].text.startswith("drifts higher: 671 °C at the newest start; EWMA")
    concerns_raise(runs[7], runs[7].judgements.get(is_current=True), mechanic)
    assert Concern.objects.filter(kind=Concern.Kind.DRIFT, about="Peak temperature").count() == 1


def test_drift_is_shown_with_its_parameters(
    client: Client, told: Engine, mechanic: Person, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    drifting(told, mechanic)
    signed_in(client, auditor)
    with django_assert_max_num_queries(10):
        response = client.get(reverse("start_drift", args=[told.pk]))
    page = words(response)
    assert "from the first 5 starts since the last overhaul that is entered; EWMA with weight 0.3" in page
    assert "Peak temperature Drifts higher 679 °C" in page
    assert "Peak temperature: EWMA" in page
    assert "Lowest supply Too few starts: 0 kept not recorded" in page
    chosen = words(client.get(reverse("start_drift", args=[told.pk]), {"figure": "to_idle"}))
    assert "From turning to idle: CUSUM" in chosen
    assert client.get(reverse("start_drift", args=[told.pk]), {"figure": "soul"}).status_code == 404
    printed = pdf_words(client.get(reverse("drift_print", args=[told.pk]), {"paper": "letter"}))
    assert "Peak temperature: EWMA" in printed
    assert "End of the drift." in printed


def test_the_starters_duty_cycle_counts_starts_and_motoring_alike(
    client: Client, told: Engine, mechanic: Person, auditor: Person, time_machine: Any
) -> None:
    revision = told.engine_type.revisions.get()
    revision.document["starts"] = RULES | {"starter": {"channel": "torque", "above": 50}}
    revision.document["starter"] = {"duty_cycle": [{"most_s": 12, "rest_s": 60}, {"most_s": 9, "rest_s": 1800}]}
    revision.save(update_fields=["document"])
    runs = []
    for minutes in (0, 1):
        facts = RunFacts(id=uuid4(), kind="motoring", started_at=STARTED_AT + timedelta(minutes=minutes))
        runs.append(run_enter(engine=told, facts=facts, by=mechanic))
        n1 = [0, 0, 0, 6, 10, 13, 13, 13, 13, 13, 13, 13, 9, 6, 4, 2]
        rows = (f"{t},40,{speed},{80 if 2 <= t < 12 else 0},0" for t, speed in enumerate(n1))
        text = "\n".join(["time_s,itt,n1,torque,oil_press", *rows, ""])
        trace_enter(run=runs[-1], file=io.BytesIO(text.encode()), name="run.csv", by=mechanic)
    signed_in(client, auditor)
    first, second = (words(client.get(reverse("start_detail", args=[run.pk, 1]))) for run in runs)
    assert "Turn 1 of the starter's duty cycle: engaged for 10.0 s, and the type asks for no more than 12 s." in first
    assert "engaged for 10.0 s, and the type asks for no more than 9 s. It had rested 50 s" in second
    assert "at least 60 s. Not as asked." in second
    assert not any(run.starts for run in Run.objects.all())
    revision.document["checks"] = {"before_start": [{"name": "Levers and fuel off"}]}
    revision.save(update_fields=["document"])
    time_machine.move_to(STARTED_AT + timedelta(minutes=10), tick=False)
    signed_in(client, auditor)
    page = words(client.get(reverse("check_add", args=[told.pk])))
    assert "The type asks for rest until 08:01:12." in page
    time_machine.move_to(STARTED_AT + timedelta(minutes=40), tick=False)
    signed_in(client, auditor)
    assert "asks for rest" not in words(client.get(reverse("check_add", args=[told.pk])))


def test_an_overhaul_begins_the_series_anew(told: Engine, mechanic: Person) -> None:
    runs = drifting(told, mechanic)
    told.overhauled_on = runs[6].started_at.date()
    data = told.engine_type.revisions.get().data
    peak = next(series for series in series_of(told, data) if series.key == "peak")
    assert (peak.values, peak.verdict, peak.drift) == ((663.0, 671.0, 679.0), "Too few starts: 3 kept", None)


def test_a_type_without_segmentation_has_no_drift(client: Client, told: Engine, auditor: Person) -> None:
    revision = told.engine_type.revisions.get()
    revision.document = revision.document | {"segmentation": None, "starts": None}
    revision.save(update_fields=["document"])
    assert "there is nothing to show" in words(signed_in(client, auditor).get(reverse("start_drift", args=[told.pk])))


def test_starts_judged_before_they_were_kept_are_read_by_command(
    told: Engine, mechanic: Person, capsys: pytest.CaptureFixture[str]
) -> None:
    started(told, mechanic, 0)
    StartRecord.objects.all().delete()
    call_command("starts_rebuild")
    assert "The starts of 1 judgements were read." in capsys.readouterr().out
    assert StartRecord.objects.get().figures["peak"] == 655.0


def test_a_start_and_its_drift_are_shown_in_the_unit_that_a_person_chose(
    client: Client, told: Engine, mechanic: Person, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    for day in range(6):
        started(told, mechanic, day, hotter=5.0 * (day % 3))
    run = started(told, mechanic, 6, hotter=50.0)
    units_choose(person=auditor, chosen={"": "degF"})
    signed_in(client, auditor)
    with django_assert_max_num_queries(10):
        response = client.get(reverse("start_detail", args=[run.pk, 1]))
    page = words(response)
    # 705 °C is 1301 °F and 700 °C is 1292 °F: readings.
    assert "Peak temperature 1301 °F, not as asked no more than 1292 °F" in page
    assert "Interstage turbine temperature is shown in °F, as you chose; it is kept and judged in °C." in page
    # The steepest rise and how far the course lay outside are differences: times 1.8, without 32.
    slope, slope_f = start_figures(run)["temperature_slope"], response.context["page"].lines
    assert f"{1.8 * slope:.1f} °F/s" in next(line.value for line in slope_f if line.key == "temperature_slope")
    assert "°C" not in " ".join(response.context["page"].outside)
    drift = words(client.get(reverse("start_drift", args=[told.pk])))
    assert "°F; SD" in drift and "°C; SD" not in drift
    # Print stays as it is recorded.
    assert "705 °C" in pdf_words(client.get(reverse("start_print", args=[run.pk, 1])))
    assert "°F" not in pdf_words(client.get(reverse("drift_print", args=[told.pk])))


def test_drift_signals_alike_in_both_units(told: Engine, mechanic: Person, auditor: Person) -> None:
    for day in range(9):
        started(told, mechanic, day, hotter=(day % 2) + (8.0 if day > 6 else 0.0))
    data = told.engine_type.revisions.get().data
    units_choose(person=auditor, chosen={"": "degF"})
    scales = scales_for(auditor, told, data, STARTED_AT.date())
    kept, shown = (
        next(one for one in series_of(told, data, None, scales) if one.key == "peak") for scales in ({}, scales)
    )
    assert kept.drift is not None and shown.drift is not None
    assert shown.unit == "°F" and shown.values[0] == pytest.approx(kept.values[0] * 1.8 + 32)
    # A standard deviation is a difference.
    assert shown.drift.sigma == pytest.approx(1.8 * kept.drift.sigma)
    assert shown.drift.ewma.signals == kept.drift.ewma.signals and shown.drift.cusum.signals == kept.drift.cusum.signals


def start_figures(run: Run) -> dict[str, Any]:
    return StartRecord.objects.get(judgement__run=run, judgement__is_current=True).figures
