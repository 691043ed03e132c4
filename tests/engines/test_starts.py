"""What a trace shows of a start, worked by hand from the rows, a second apart."""

from typing import Any

import pytest

from engines.documents import engine_type_read
from engines.starts import StartFigures, starts_of
from engines.traces import Trace
from tests.engines.starts_kit import FUEL, ITT, N1, NAN, VOLTS, document_with, trace_with, type_with


def the_start(trace: Trace, **rules: Any) -> StartFigures:
    """Return the one start of a trace."""
    (found,) = starts_of(trace, type_with(**rules))
    return found


def test_a_whole_start() -> None:
    found = the_start(trace_with())
    # The voltage falls from its highest, 25.5, by 8.0 at row 3; the speed is at turning, 5, from row 4 on.
    assert (found.starter_s, found.turning_s) == (3, 4)
    assert found.starter_off_s == 17  # at 23 V it lies 2.5 below the highest, less than the 3 that tell the starter
    assert (found.fuel_s, found.speed_at_fuel) == (6, 11)
    # 140 at row 8 is 100 above the lowest since turning: 4 s after turning, 2 s after fuel.
    assert (found.light_off_s, found.speed_at_light_off, found.to_light_off, found.fuel_to_light_off) == (8, 14, 4, 2)
    assert (found.peak, found.peak_s) == (655, 11)
    # Over two seconds the steepest is from 140 at row 8 to 600 at row 10: 230 a second.
    assert found.temperature_slope == pytest.approx((600 - 140) / 2)
    assert found.speed_at_fall == 26  # at row 11, after which the temperature falls by more than 5
    assert found.acceleration == pytest.approx((60 - 14) / 10)
    assert (found.idle_s, found.to_idle) == (18, 14)
    assert found.idle_temperature == 551.5  # the middle of 554, 552, 551, 550 from 20 s to 23 s
    assert (found.supply_rest, found.supply_lowest, found.supply_dip) == (25.5, 17.5, 8.0)
    assert found.to_oil_pressure == 5  # 21 at row 9
    assert found.residual == 40
    assert found.limiting == ((13, 13),)  # 70 at row 13 is 20 below both sides
    assert (found.outcome, found.also, found.notes) == ("started", (), ())


def test_what_the_trace_does_not_show_is_not_guessed() -> None:
    found = the_start(trace_with({"n1": N1}))
    shown = {name for name, value in vars(found).items() if value is not None}
    assert shown == {"turning_s", "end_s", "idle_s", "to_idle", "outcome", "also", "notes"}
    assert found.outcome == "started"
    assert found.notes == ("The temperature is not recorded.", "Fuel flow is not recorded.")


def test_a_type_that_says_nothing_of_it_shows_only_speed_and_temperature() -> None:
    found = the_start(trace_with(), rules={})
    assert (found.peak, found.speed_at_fall, found.outcome) == (655, 26, "started")
    assert found.notes == ("Fuel flow is not recorded.",)
    unknown = (found.starter_s, found.fuel_s, found.supply_rest, found.to_oil_pressure, found.limiting)
    assert unknown == (None,) * 5
    assert found.idle_temperature is None


def test_a_record_that_begins_with_the_engine_turning_tells_nothing_of_its_rest() -> None:
    cut = {name: values[7:] for name, values in {"n1": N1, "itt": ITT, "fuel": FUEL, "volts": VOLTS}.items()}
    found = the_start(trace_with(cut))
    assert (found.starter_s, found.fuel_s, found.residual, found.supply_rest, found.supply_dip) == (None,) * 5
    assert (found.to_light_off, found.to_idle, found.fuel_to_light_off) == (None,) * 3
    assert found.supply_lowest == 19
    assert (found.peak, found.outcome) == (655, "started")
    assert found.notes == ("The record begins with the engine turning, so what came before is not recorded.",)


def test_a_gap_in_the_temperature_is_named() -> None:
    gapped = [*ITT[:10], NAN, NAN, NAN, *ITT[13:]]
    found = the_start(trace_with(itt=gapped))
    assert found.peak == 640  # the highest that was recorded
    assert found.notes == ("The temperature has a gap of 4.0 s within the start; its peak may have been higher.",)


def test_a_late_idle_is_a_start_with_a_note() -> None:
    found = the_start(trace_with(), idle_within_s=13)
    assert found.outcome == "started"
    assert found.notes == ("Idle was reached after 14.0 s, and the type asks for it within 13 s.",)


@pytest.mark.parametrize(("limit", "outcome"), [(655, "started"), (654.9, "hot")])
def test_a_hot_start_is_above_the_value_of_the_type(limit: float, outcome: str) -> None:
    found = the_start(trace_with(), hot_above=limit)
    assert found.outcome == outcome
    assert found.also == (("started",) if outcome == "hot" else ())


# Lit at row 8, then stays near 30 % until fuel goes off after row 20; below turning again at row 26.
HUNG_N1 = [0, 0, 0, 2, 6, 9, 11, 12, 14, 18, 22, 26, 29, 30, 30, 30.5, 30.5, 31, 31, 31, 31, 24, 18, 13, 9, 6, 4, 2]
HUNG_ITT = [40] * 8 + [
    140,
    400,
    600,
    700,
    705,
    710,
    715,
    720,
    722,
    724,
    726,
    728,
    730,
    600,
    500,
    450,
    400,
    380,
    360,
    350,
]
HUNG_FUEL = [0] * 6 + [90] * 15 + [0] * 7


def test_a_hung_start() -> None:
    found = the_start(trace_with({"n1": HUNG_N1, "itt": HUNG_ITT, "fuel": HUNG_FUEL}))
    assert (found.outcome, found.also) == ("hung", ())
    assert (found.idle_s, found.acceleration, found.peak, found.end_s) == (None, None, 730, 26)
    assert found.speed_at_fall == 31
    assert found.idle_temperature is None


def test_a_hung_start_may_be_hot_besides() -> None:
    found = the_start(trace_with({"n1": HUNG_N1, "itt": HUNG_ITT, "fuel": HUNG_FUEL}), hot_above=725)
    assert (found.outcome, found.also) == ("hot", ("hung",))


def test_without_a_record_of_fuel_a_start_hangs_up_to_its_highest_speed() -> None:
    # From 30 % at row 13 to its highest, 31 % at row 17, it rose by a quarter of a percent a second.
    assert the_start(trace_with({"n1": HUNG_N1, "itt": HUNG_ITT})).outcome == "hung"
    never_on = {"n1": HUNG_N1, "itt": HUNG_ITT, "fuel": [0] * len(HUNG_N1)}
    assert the_start(trace_with(never_on)).outcome == "hung"
    rising = [*N1[:14], 30, 24, 18, 13, 9, 6, 4]
    assert the_start(trace_with({"n1": rising, "itt": ITT[:21]})).outcome == "aborted"


def test_a_start_given_up_while_it_still_accelerates_is_aborted() -> None:
    n1, fuel = [*N1[:14], 30, 24, 18, 13, 9, 6, 4], [*FUEL[:13], *[0] * 8]
    assert the_start(trace_with({"n1": n1, "itt": ITT[:21], "fuel": fuel})).outcome == "aborted"
    assert the_start(trace_with({"n1": n1, "itt": ITT[:21], "fuel": fuel}), hung=None).outcome == "aborted"


def test_a_record_that_ends_before_idle_is_cut_off() -> None:
    short = {"n1": N1[:12], "itt": ITT[:12], "fuel": FUEL[:12]}
    assert the_start(trace_with(short), hung=None).outcome == "cut"
    assert the_start(trace_with({name: values[:8] for name, values in short.items()})).outcome == "cut"


TURNED = [0, 0, 0, 6, 10, 12, 13, 13, 13, 13, 13, 13, 9, 6, 4, 2]
COLD = [40.0] * 16


@pytest.mark.parametrize(
    ("channels", "outcome"),
    [
        ({"fuel": [0] * 16}, "motoring"),
        ({"fuel": [0] * 5 + [90] * 6 + [0] * 5}, "no_light_off"),  # fuel from 5 s to 10 s, as long as the type gives
        ({"fuel": [0] * 5 + [90] * 5 + [0] * 6}, "aborted"),  # a second less
        ({"fuel": [0] * 5 + [90] * 6 + [0] * 5, "ign": [0] * 16}, "wet_motoring"),
        ({"fuel": [0] * 5 + [90] * 6 + [0] * 5, "ign": [0] * 4 + [1] * 8 + [0] * 4}, "no_light_off"),
        ({}, "unknown"),  # fuel is not recorded: motoring and no light-off can't be told apart
        ({"fuel": [0] * 16, "itt": None}, "unknown"),  # it may have lit
    ],
)
def test_a_turning_without_light_off(channels: dict[str, Any], outcome: str) -> None:
    assert the_start(trace_with({"n1": TURNED, "itt": COLD, **channels})).outcome == outcome


def test_a_turning_seen_from_its_middle_on_is_not_told() -> None:
    found = the_start(trace_with({"n1": [14, 40, 60, 60, 2], "itt": [300, 600, 550, 540, 400], "fuel": [90] * 5}))
    assert (found.fuel_s, found.outcome) == (None, "started")


def test_each_start_of_a_record_has_its_own_figures() -> None:
    columns = {"n1": TURNED + N1, "itt": [float(v) for v in COLD + ITT], "fuel": [0] * 16 + FUEL}
    first, second = starts_of(trace_with(columns), type_with())
    assert (first.outcome, second.outcome) == ("motoring", "started")
    assert (first.end_s, second.turning_s, second.peak_s) == (14, 20, 27)
    assert second.residual == 40


def test_where_the_type_says_nothing_of_starts_its_segmentation_tells_what_it_can() -> None:
    (found,) = starts_of(trace_with(), engine_type_read(document_with(None)))
    assert (found.peak, found.to_idle, found.outcome) == (655, 14, "started")
    assert starts_of(trace_with(), engine_type_read(document_with(None, segmentation=None))) == ()
    assert starts_of(trace_with({"n1": [NAN] * 3}), type_with()) == ()
    assert starts_of(trace_with({"n1": [60, 60, 60]}), type_with()) == ()  # it ran before the record began
