"""The units that a person chooses: what they see changes, what is kept, judged, signed and printed does not."""

import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.evidence import RunFacts
from engines.models import Engine, EngineCalibration, Run
from inspections.queries import judgement_of
from logbook.actions import run_enter, trace_enter
from logbook.models import Person
from logbook.shown_units import choices_of, units_choose
from tests.factories import STARTED_AT
from tests.logbook.maintenance.test_calibrating import INDICATION
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import recording_csv, signed_in, words


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a run that was beyond a limit."""
    revision = engine.engine_type.revisions.get()
    revision.document = revision.document | {"calibration": INDICATION}
    revision.save(update_fields=["document"])
    made = run_enter(engine=engine, facts=RunFacts(Run().pk, "ground_run", STARTED_AT), by=mechanic)
    trace_enter(run=made, file=io.BytesIO(recording_csv(peak=710.0)), name="run.csv", by=mechanic)
    return made


def test_a_run_is_shown_in_the_units_that_were_chosen(client: Client, run: Run, auditor: Person) -> None:
    signed_in(client, auditor)
    before = words(client.get(reverse("run_detail", args=[run.pk])))
    assert "710 °C" in before and "°F" not in before
    units_choose(person=auditor, chosen={"": "degF"})
    page = words(client.get(reverse("run_detail", args=[run.pk])))
    assert "Interstage turbine temperature is shown in °F, as you chose; it is kept and judged in °C." in page
    assert "1310 °F" in page and "1292 °F" in page
    # 10 °C short of area A at once: a difference, so 18 °F and not 50.
    assert "10.0 °C" in before and "18.0 °F" in page
    judgement = judgement_of(run)
    assert judgement is not None
    assert judgement.verdict["excursions"][0]["unit"] == "degC"


def test_others_see_what_they_chose(client: Client, run: Run, auditor: Person, mechanic: Person) -> None:
    units_choose(person=auditor, chosen={"": "degF"})
    assert "°F" not in words(signed_in(client, mechanic).get(reverse("run_detail", args=[run.pk])))


def test_one_channel_may_be_chosen_otherwise(client: Client, run: Run, auditor: Person) -> None:
    units_choose(person=auditor, chosen={"": "degF", "itt": "own", "torque": "N*m"})
    page = words(signed_in(client, auditor).get(reverse("run_detail", args=[run.pk])))
    assert "710 °C" in page
    assert "Torque is shown in N·m, as you chose; it is kept and judged in %." in page


def test_the_year_of_starts_follows_and_its_print_does_not(client: Client, run: Run, auditor: Person) -> None:
    units_choose(person=auditor, chosen={"": "degF"})
    signed_in(client, auditor)
    asked = {"to": STARTED_AT.date().isoformat()}
    page = words(client.get(reverse("engine_starts", args=[run.engine_id]), asked))
    assert "None went beyond the limit of 1472 °F" in page and "1112 °F 360 °F short of the limit" in page
    printed = " ".join(pages_of(client.get(reverse("starts_print", args=[run.engine_id]), asked).content))
    assert "°F" not in printed and "800 °C" in printed


def test_they_are_chosen_on_a_screen_that_offers_what_there_is(client: Client, run: Run, auditor: Person) -> None:
    pairs = [[0, 0], [22, 100]]
    row: dict[str, Any] = {"channel": "torque", "reads": "psi", "unit": "percent", "pairs": pairs, "source": "Sheet"}
    EngineCalibration.objects.create(engine=run.engine, begins_on=STARTED_AT.date(), by=auditor, **row)
    signed_in(client, auditor)
    page = words(client.get(reverse("units_set")))
    assert "Every temperature" in page
    assert "Torque No choice of its own As recorded lbf·ft N·m psi" in page
    sent = {"every_temperature": "degF", "channel_itt": "", "channel_torque": "psi"}
    assert client.post(reverse("units_set"), sent).status_code == 302
    auditor.refresh_from_db()
    assert choices_of(auditor) == {"": "degF", "torque": "psi"}
    assert "Torque is shown in psi" in words(client.get(reverse("run_detail", args=[run.pk])))
    client.post(reverse("units_set"), {"every_temperature": ""})
    auditor.refresh_from_db()
    assert choices_of(auditor) == {}


def test_a_unit_that_is_not_offered_is_refused(client: Client, run: Run, auditor: Person) -> None:
    response = signed_in(client, auditor).post(reverse("units_set"), {"every_temperature": "flurb"})
    assert response.status_code == 422
    auditor.refresh_from_db()
    assert choices_of(auditor) == {}
