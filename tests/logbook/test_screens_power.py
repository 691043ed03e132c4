"""Power on screens, on paper and by REST: checks, cruise settings, fuel, and the engine's condition."""

import io
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import CheckFacts, fuel_add, power_check_add, setting_keep
from engines.errors import DomainError
from engines.evidence import RunFacts
from engines.models import CruiseSetting, Engine, EngineCalibration, FuelFigures, PowerCheckRecord, Run
from logbook.actions import run_enter, trace_enter
from logbook.models import Person
from logbook.shown_units import units_choose
from tests.factories import STARTED_AT, EngineFactory
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import run_with_inspection, signed_in, words
from tests.power import READ
from tests.stage_power import power_rules_set

SENT = {
    "at": "2026-05-04T10:00", "air_c": "15", "altitude_ft": "0", "torque": "70", "propeller": "1700",
    "temperature": "590", "speed": "91,5", "fuel_flow": "290",
}  # fmt: skip


@pytest.fixture
def powered(engine: Engine) -> Engine:
    """Return an engine whose type says what there is to say of power."""
    power_rules_set(engine)
    return engine


def flight_csv() -> bytes:
    """Return a flight at one row a second in which cruise power is set, with ten seconds of fuel flow missing."""
    parts = [(40, 5, 20, 300), (40, 95, 1860, 384), (40, 84, 1860, 345), (40, 70, 1860, 300), (200, 76.5, 1700, 301)]
    seconds = [part[0] for part in parts]
    torque, propeller, flow = (np.repeat([float(part[k]) for part in parts], seconds) for k in (1, 2, 3))
    texts = [f"{value:.0f}" for value in flow]
    texts[300:310] = [""] * 10
    rows = [
        f"{t},600,92,{q:.1f},{n:.0f},{f},2,{8000 if t > 119 else 4000}"
        for t, (q, n, f) in enumerate(zip(torque, propeller, texts, strict=True))
    ]
    return "\n".join(["time_s,itt,n1,torque,np,fuel_flow,oat,altitude", *rows, ""]).encode()


def flown(engine: Engine, by: Person, days: int = 0) -> Run:
    run = run_enter(engine=engine, facts=RunFacts(Run().pk, "flight", STARTED_AT + timedelta(days=days)), by=by)
    trace_enter(run=run, file=io.BytesIO(flight_csv()), name="flight.csv", by=by)
    return run


def text_of(response: Any) -> str:
    return " ".join(" ".join(pages_of(response.content)).split())


def checks(engine: Engine, by: Person, count: int = 8) -> None:
    for k in range(count):
        readings = READ.__class__(**{**vars(READ), "temperature": 570.0 + k})
        facts = CheckFacts(STARTED_AT + timedelta(days=10 * k - 100), readings)
        power_check_add(engine=engine, facts=facts, by=by)


def test_a_power_check_is_written_down_and_worked_out(client: Client, powered: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    sheet = words(client.get(reverse("power_check_add", args=[powered.pk])))
    assert "Outside air temperature" in sheet and "lb/h" in sheet
    assert client.post(reverse("power_check_add", args=[powered.pk]), SENT).status_code == 302
    row = PowerCheckRecord.objects.get()
    assert (row.readings["speed"], row.by, row.run) == (91.5, mechanic, None)
    page = words(client.get(reverse("engine_power", args=[powered.pk])))
    assert "2026-05-04 10:00 15 °C, 0 ft 250 kW, 250 kW corrected" in page
    assert "Temperature 590 °C: 10.6 °C left" in page and "Fuel flow 290 lb/h: not on the chart" in page
    with pytest.raises(TypeError, match="only ever added"):
        row.save()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"torque": ""}, "Give the reading"),
        ({"air_c": "99"}, "The air is between -80 and 70 °C."),
        ({"at": ""}, "Give the moment"),
        ({"at": "2999-01-01T00:00"}, "still to come"),
        ({"begins_baseline": "on"}, "Say after which change"),
        ({"fuel_flow": "1.234,5"}, "1.234,5"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_box(
    client: Client, powered: Engine, mechanic: Person, changes: dict[str, str], said: str
) -> None:
    response = signed_in(client, mechanic).post(reverse("power_check_add", args=[powered.pk]), SENT | changes)
    assert response.status_code == 422
    assert said in words(response)
    assert not PowerCheckRecord.objects.exists()


def test_a_margin_beyond_the_chart_is_said_in_words(client: Client, powered: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic).post(reverse("power_check_add", args=[powered.pk]), SENT | {"temperature": "610"})
    assert "-9.4 °C, beyond the chart" in words(client.get(reverse("engine_power", args=[powered.pk])))


def test_without_rules_of_power_screens_say_so(client: Client, engine: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    for name in ("engine_power", "engine_trend", "power_check_add"):
        assert "say nothing of power" in words(client.get(reverse(name, args=[engine.pk])))
    for name in ("settings_print", "trend_print", "power_print"):
        assert "say nothing of power" in text_of(client.get(reverse(name, args=[engine.pk])))
    assert client.post(reverse("power_check_add", args=[engine.pk]), SENT).status_code == 422
    run = flown_without(engine, mechanic)
    assert "say nothing of power" in words(client.get(reverse("run_power", args=[run.pk])))


def flown_without(engine: Engine, by: Person) -> Run:
    return run_enter(engine=engine, facts=RunFacts(Run().pk, "flight", STARTED_AT), by=by)


def test_a_flight_shows_how_cruise_power_was_set_and_it_is_kept_on_the_card(
    client: Client, powered: Engine, mechanic: Person
) -> None:
    run = flown(powered, mechanic)
    signed_in(client, mechanic)
    page = words(client.get(reverse("run_power", args=[run.pk])))
    assert "the propeller brought back by 160 rpm, upon which torque rose by 6.5" in page
    assert "full power" in page and "reduced to" in page and "propeller brought back" in page
    assert client.post(reverse("setting_keep", args=[run.pk])).status_code == 302
    assert client.post(reverse("setting_keep", args=[run.pk])).status_code == 302
    kept = CruiseSetting.objects.get()
    assert (kept.facts["altitude_ft"], kept.facts["air_c"], kept.facts["torque_rise"]) == (8000, 2, 6.5)
    assert "On the engine's card since" in words(client.get(reverse("run_power", args=[run.pk])))
    card = words(client.get(reverse("engine_power", args=[powered.pk])))
    assert (
        "8,000 ft, 2 °C 95 %, 1860 rpm 70 %, 1860 rpm 76.5 %, 1700 rpm, 600 °C 6.5 % as it came back by 160 rpm" in card
    )
    printed = text_of(client.get(reverse("settings_print", args=[powered.pk])))
    for said in ("About 8,000 ft", "301 lb/h", "They are no approved data", "2026-05-04"):
        assert said in printed


def test_a_run_that_shows_none_keeps_none(powered: Engine, mechanic: Person) -> None:
    with pytest.raises(DomainError) as refused:
        setting_keep(run=flown_without(powered, mechanic), by=mechanic)
    assert refused.value.code == "no_cruise_setting"


def test_a_steady_setting_is_used_as_a_power_check(client: Client, powered: Engine, mechanic: Person) -> None:
    run = flown(powered, mechanic)
    address = f"{reverse('power_check_add', args=[powered.pk])}?run={run.pk}&setting=4"
    signed_in(client, mechanic)
    markup = client.get(address).content.decode()
    for shown in ('value="76.5"', 'value="1700.0"', 'value="8000"', 'value="2"'):
        assert shown in markup
    assert client.post(address, SENT).status_code == 302
    assert PowerCheckRecord.objects.get().run == run


@pytest.mark.parametrize("asked", ["?run=x&setting=1", "?run={run}&setting=9", "?run={run}&setting=x", "?run={run}"])
def test_a_setting_that_is_not_there_is_not_found(
    client: Client, powered: Engine, mechanic: Person, asked: str
) -> None:
    run = flown(powered, mechanic)
    address = reverse("power_check_add", args=[powered.pk]) + asked.format(run=run.pk)
    assert signed_in(client, mechanic).get(address).status_code == 404


def test_a_setting_of_another_engines_run_is_not_taken(client: Client, powered: Engine, mechanic: Person) -> None:
    run = flown(powered, mechanic)
    other = EngineFactory.create(operator=powered.operator, engine_type=powered.engine_type, serial="TB-0009")
    address = f"{reverse('power_check_add', args=[other.pk])}?run={run.pk}&setting=1"
    assert signed_in(client, mechanic).get(address).status_code == 404


def test_fuel_is_added_up_and_held_against_totaliser_and_uplift(
    client: Client, powered: Engine, mechanic: Person
) -> None:
    run = flown(powered, mechanic)
    signed_in(client, mechanic)
    page = words(client.get(reverse("run_power", args=[run.pk])))
    # 359 s in all, 11 of them between the samples beside what is missing.
    assert "lb over 5:48. It was not seen for 0:11; that is not guessed." in page
    assert client.post(reverse("run_power", args=[run.pk]), {}).status_code == 422
    refused = client.post(reverse("run_power", args=[run.pk]), {"totaliser": "x"})
    assert refused.status_code == 422
    assert client.post(reverse("run_power", args=[run.pk]), {"totaliser": "30", "uplift": "32"}).status_code == 302
    page = words(client.get(reverse("run_power", args=[run.pk])))
    assert "Against the totaliser, 30 lb:" in page and "Against what was uplifted, 32 lb:" in page
    assert FuelFigures.objects.get().by == mechanic
    printed = text_of(client.get(reverse("run_power_print", args=[run.pk])))
    for said in ("lb over 5:48, not seen for 0:11.", "the totaliser 30 lb", "what was uplifted 32 lb", "Full power"):
        assert said in printed
    flown_only = flown_without(powered, mechanic)
    bare = text_of(client.get(reverse("run_power_print", args=[flown_only.pk])))
    assert "No fuel flow was recorded." in bare and "The trace does not show it." in bare


def test_fuel_and_the_cruise_setting_are_kept_by_rest(client: Client, powered: Engine, mechanic: Person) -> None:
    run = flown(powered, mechanic)
    signed_in(client, mechanic)
    address = reverse("api:run-power", args=[run.pk])
    assert client.get(address).json()["figures"] is None
    sent = {"totaliser": 30, "uplift": 32, "remarks": "After landing", "keep_setting": True}
    answer = client.post(address, sent, content_type="application/json")
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["figures"]["uplift"], told["figures"]["by"]) == (32, str(mechanic))
    (totaliser, _) = told["compared"]
    assert totaliser["difference"] == pytest.approx(told["fuel"]["amount"] - 30)
    assert totaliser["percent"] == pytest.approx(100 * totaliser["difference"] / 30)
    assert CruiseSetting.objects.get().run == run
    for body in ({}, {"totaliser": -1}):
        assert client.post(address, body, content_type="application/json").status_code in (400, 422)
    assert FuelFigures.objects.count() == 1


def test_the_power_checks_print_with_their_margins(client: Client, powered: Engine, mechanic: Person) -> None:
    checks(powered, mechanic)
    printed = text_of(signed_in(client, mechanic).get(reverse("power_print", args=[powered.pk])))
    assert "Power checks 8" in printed and "ISO 2533 standard atmosphere" in printed
    assert "invented for the tests, page 4" in printed and "kW corrected" in printed and " left" in printed


def test_calibrations_are_read_by_rest(client: Client, powered: Engine, mechanic: Person, stranger: Person) -> None:
    row: dict[str, Any] = {"channel": "torque", "reads": "psi", "unit": "percent", "source": "Bench sheet 12"}
    day = STARTED_AT.date()
    for later in (0, 1):
        pairs = [[0, 0], [22 + later, 100]]
        begins_on = day + timedelta(days=later)
        EngineCalibration.objects.create(engine=powered, pairs=pairs, begins_on=begins_on, by=mechanic, **row)
    address = reverse("api:engine-calibrations", args=[powered.pk])
    newest, _ = signed_in(client, mechanic).get(address).json()
    assert (newest["pairs"], newest["begins_on"], newest["by"]) == ([[0, 0], [23, 100]], "2026-05-05", str(mechanic))
    assert signed_in(client, stranger).get(address).status_code == 404


@pytest.mark.parametrize(("totaliser", "uplift"), [(None, None), (-1.0, None), (1.0, -2.0)])
def test_figures_of_fuel_that_cannot_be(
    powered: Engine, mechanic: Person, totaliser: float | None, uplift: float | None
) -> None:
    run = flown_without(powered, mechanic)
    with pytest.raises(DomainError) as refused:
        fuel_add(run=run, totaliser=totaliser, uplift=uplift, by=mechanic)
    assert refused.value.code == "run_impossible"


def test_a_void_run_takes_no_figures_and_shows_nothing(client: Client, powered: Engine, mechanic: Person) -> None:
    run = flown(powered, mechanic)
    run.is_void = True
    run.save()
    with pytest.raises(DomainError) as refused:
        fuel_add(run=run, totaliser=1.0, uplift=None, by=mechanic)
    assert refused.value.code == "run_void"
    page = words(signed_in(client, mechanic).get(reverse("run_power", args=[run.pk])))
    assert "No fuel flow was recorded." in page and "Keep these figures" not in page


def test_the_condition_is_shown_with_its_trend_and_what_happened_beside_it(
    client: Client, powered: Engine, mechanic: Person, django_assert_max_num_queries: Any
) -> None:
    checks(powered, mechanic)
    run_with_inspection(powered, mechanic)
    signed_in(client, mechanic)
    with django_assert_max_num_queries(10):
        response = client.get(reverse("engine_trend", args=[powered.pk]))
    page = words(response)
    assert "Interstage turbine temperature: 8 comparable checks since the first check." in page
    assert "In 100 days it changes by -10 °C (between -10 and -10)." in page
    assert (
        "At the soonest in 236 days, by the line in 236, at the latest in 236; if it goes on as in these checks."
        in page
    )
    assert "ITT, running: area B, to 770 °C, 0:20 beyond the limit" in page
    assert response.content.decode().count('<svg xmlns="http://www.w3.org/2000/svg" class="picture"') == 4
    printed = text_of(client.get(reverse("trend_print", args=[powered.pk])))
    for said in (
        "Condition and trend",
        "236 to 236",
        "The operator's own limits: passed",
    ):
        assert said in printed
    assert "page 1 of 1" in printed


def test_a_person_sees_margins_in_the_unit_they_chose(client: Client, powered: Engine, mechanic: Person) -> None:
    checks(powered, mechanic)
    units_choose(person=mechanic, chosen={"": "degF"})
    page = words(signed_in(client, mechanic).get(reverse("engine_trend", args=[powered.pk])))
    # A difference of 10 °C is one of 18 °F.
    assert "In 100 days it changes by -18 °F (between -18 and -18)." in page
    assert "at the latest in 236" in page


def test_an_engine_without_checks_says_so(client: Client, powered: Engine, auditor: Person) -> None:
    signed_in(client, auditor)
    assert "No power check of this engine has a margin" in words(client.get(reverse("engine_trend", args=[powered.pk])))
    page = words(client.get(reverse("engine_power", args=[powered.pk])))
    assert page.count("None recorded.") == 1 and "Record a power check" not in page
    assert "None recorded." in text_of(client.get(reverse("settings_print", args=[powered.pk])))


def test_by_rest(client: Client, powered: Engine, mechanic: Person, stranger: Person) -> None:
    signed_in(client, mechanic)
    body = {"at": STARTED_AT.isoformat(), "readings": vars(READ)}
    address = reverse("api:engine-power", args=[powered.pk])
    answer = client.post(address, body, content_type="application/json")
    assert answer.status_code == 201, answer.content
    (check,) = answer.json()["checks"]
    assert check["theta"] == pytest.approx(1)
    assert check["power_kw"] == pytest.approx(250.05, abs=0.05)
    assert [q["channel"] for q in check["quantities"]] == ["itt", "n1", "fuel_flow"]
    assert client.get(address).json()["settings"] == []
    late = (timezone.now() + timedelta(days=2)).isoformat()
    refused = client.post(address, body | {"at": late}, content_type="application/json")
    assert (refused.status_code, refused.json()["code"]) == (422, "power_check_impossible")
    checks(powered, mechanic)
    run_with_inspection(powered, mechanic)
    told = client.get(reverse("api:engine-trend", args=[powered.pk])).json()
    assert told["beyond"][0]["words"] == "ITT, running: area B, to 770 °C, 0:20 beyond the limit"
    trends = {trend["quantity"]: trend for trend in told["trends"]}
    assert set(trends) == {"temperature", "speed"}
    assert trends["temperature"]["points"][0]["is_counted"] is True
    run = flown(powered, mechanic)
    setting_keep(run=run, by=mechanic)
    shown = client.get(reverse("api:run-power", args=[run.pk])).json()
    assert shown["cruise"]["torque_rise"] == 6.5
    assert shown["fuel"]["unseen_s"] == 11
    assert client.get(address).json()["settings"][0]["facts"]["propeller_fall"] == 160
    signed_in(client, stranger)
    for name, key in (("engine-power", powered.pk), ("engine-trend", powered.pk), ("run-power", run.pk)):
        assert client.get(reverse(f"api:{name}", args=[key])).status_code == 404
