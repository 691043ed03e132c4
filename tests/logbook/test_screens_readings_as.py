"""Readings typed in the unit of the engine's own instrument: kept as read, judged by the engine's calibration."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.errors import DomainError
from engines.evidence import ReadingFacts, RunFacts
from engines.latest import latest_of
from engines.models import Engine, EngineCalibration, Run
from inspections.queries import judgement_of
from logbook.actions import run_enter
from logbook.models import Entry, Person
from logbook.shown_units import units_choose
from tests.factories import STARTED_AT
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import signed_in, words
from tests.power import indicated_document
from tests.signed import run_signed

DAY = STARTED_AT.date()
SENT = {"kind": "ground_run", "started_at": STARTED_AT.strftime("%Y-%m-%dT%H:%M")}


@pytest.fixture
def calibrated(engine: Engine, mechanic: Person) -> Engine:
    """Return an engine whose torque is read in psi, with its own calibration: 22 psi are 100 %."""
    revision = engine.engine_type.revisions.get()
    revision.document = indicated_document(name=engine.engine_type.name)
    revision.save(update_fields=["document"])
    row: dict[str, Any] = {"channel": "torque", "reads": "psi", "unit": "percent", "source": "Bench sheet 12"}
    pairs = [[0, 0], [10, 40], [22, 100]]
    EngineCalibration.objects.create(engine=engine, pairs=pairs, begins_on=DAY, by=mechanic, **row)
    return engine


def entered(engine: Engine, by: Person, *readings: ReadingFacts, began: Any = STARTED_AT) -> Run:
    return run_enter(engine=engine, facts=RunFacts(Run().pk, "ground_run", began, readings=readings), by=by)


def test_a_reading_in_psi_is_judged_by_the_engines_own_calibration(calibrated: Engine, mechanic: Person) -> None:
    run = entered(calibrated, mechanic, ReadingFacts("Torque", 23.0, 6.0, "psi"))
    reading = run.readings.get()
    # Raw values never change; 23 psi is 1 beyond 22 at 5 % a psi, along the last piece of the line.
    assert (reading.peak, reading.unit) == (23.0, "psi")
    assert reading.converted == pytest.approx(105.0) and reading.converted_unit == "percent"
    judgement = judgement_of(run)
    assert judgement is not None
    (excursion,) = judgement.verdict["excursions"]
    assert (excursion["area"], excursion["unit"]) == ("A", "percent") and excursion["peak"] == pytest.approx(105.0)
    assert latest_of(calibrated)["Torque"].value == 105


def test_without_a_calibration_of_that_day_psi_is_refused(calibrated: Engine, mechanic: Person) -> None:
    with pytest.raises(DomainError, match=r"readings\[0\].unit") as refused:
        entered(calibrated, mechanic, ReadingFacts("Torque", 23.0, 6.0, "psi"), began=STARTED_AT - timedelta(days=1))
    assert refused.value.code == "run_impossible"
    assert not Run.objects.exists()


def test_the_sheet_asks_in_which_unit_and_the_echo_shows_both(
    client: Client, calibrated: Engine, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    page = client.get(reverse("run_record", args=[calibrated.pk]))
    assert '<option value="psi">psi</option>' in page.content.decode()
    assert page.context["judging"]["read_as"]["Torque"]["psi"] == [[0, 0], [10, 40], [22, 100]]
    n = [chart.name for chart in page.context["form"].engine_type.charts].index("Torque")
    sent = SENT | {"id": str(Run().pk), f"peak_{n}": "23", f"read_in_{n}": "psi", f"seconds_{n}": "6"}
    assert client.post(reverse("run_record", args=[calibrated.pk]), sent).status_code == 302
    run = Run.objects.get()
    said = "23 psi (judged as 105 %, by the engine's own calibration of"
    assert said in words(client.get(reverse("run_detail", args=[run.pk])))
    run_signed(run, mechanic)
    entry = Entry.objects.get()
    assert said in words(client.get(reverse("entry_detail", args=[entry.number])))
    printed = " ".join(pages_of(client.get(reverse("entry_print", args=[entry.number])).content))
    assert "peak 23 psi (judged as 105 %, by the engine's own calibration of" in printed
    shown = client.get(reverse("api:run-detail", args=[run.pk])).json()["readings"][0]
    assert (shown["peak"], shown["unit"], shown["converted_unit"]) == (23.0, "psi", "percent")


def test_a_reading_within_the_limit_needs_no_seconds_in_any_unit(
    client: Client, calibrated: Engine, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    form = client.get(reverse("run_record", args=[calibrated.pk])).context["form"]
    n = [chart.name for chart in form.engine_type.charts].index("Torque")
    # 1400 of 1480 lbf·ft is within; the bare number would be far beyond a limit of 100 %.
    sent = SENT | {"id": str(Run().pk), f"peak_{n}": "1400", f"read_in_{n}": "lbf*ft"}
    assert client.post(reverse("run_record", args=[calibrated.pk]), sent).status_code == 302
    reading = Run.objects.get().readings.get()
    assert (reading.peak, reading.unit, reading.seconds) == (1400, "lbf*ft", 0)
    assert reading.converted == pytest.approx(100 * 1400 / 1480)
    assert reading.converted_by == "100 % is 1480 lbf·ft by the type"


def test_a_reading_far_off_is_asked_about_in_both_units(client: Client, calibrated: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    form = client.get(reverse("run_record", args=[calibrated.pk])).context["form"]
    n = [chart.name for chart in form.engine_type.charts].index("Torque")
    sent = SENT | {"id": str(Run().pk), f"peak_{n}": "230", f"read_in_{n}": "psi", f"seconds_{n}": "6"}
    page = words(client.post(reverse("run_record", args=[calibrated.pk]), sent))
    assert "230 psi, which is 1140 %, is far from the limit of 100 %" in page
    before = SENT | {"started_at": "2026-01-01T10:00", "id": str(Run().pk), f"peak_{n}": "23", f"read_in_{n}": "psi"}
    refused = client.post(reverse("run_record", args=[calibrated.pk]), before)
    assert refused.status_code == 422 and "psi" in words(refused)


def test_a_person_who_chose_fahrenheit_finds_it_chosen(client: Client, calibrated: Engine, mechanic: Person) -> None:
    units_choose(person=mechanic, chosen={"": "degF"})
    form = signed_in(client, mechanic).get(reverse("run_record", args=[calibrated.pk])).context["form"]
    assert form["read_in_0"].initial == "degF"


def test_a_correction_shows_the_reading_as_it_was_typed(client: Client, calibrated: Engine, mechanic: Person) -> None:
    run = entered(calibrated, mechanic, ReadingFacts("Torque", 23.0, 6.0, "kPa"))
    run_signed(run, mechanic)
    form = signed_in(client, mechanic).get(reverse("run_correct", args=[run.pk])).context["form"]
    n = [chart.name for chart in form.engine_type.charts].index("Torque")
    assert (form.initial[f"peak_{n}"], form.initial[f"read_in_{n}"]) == ("23", "kPa")
    assert ("kPa", "kPa") in form.fields[f"read_in_{n}"].choices
