"""The sorts of run there are, as courses: flight, ground run, hung start, dry motoring; and what may go amiss."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from logbook.demo.course import CRANKING_N1, IDLE_ITT, IDLE_N1, Course, Knots
from logbook.demo.draws import Draws

IDLE_NP, TAXI_NP, TAKE_OFF_NP, CLIMB_NP, CRUISE_NP = 1150.0, 1250.0, 1860.0, 1800.0, 1700.0  # rpm
LIGHT_UP_S = 3.0  # from light-off to the top of the temperature
COLD_C = -350.0  # what the flame lacks of its idle temperature as it lights
ROLL_OUT_S = 45.0  # recorded after the fuel is cut
TAXI_S = 190.0  # before a flight leaves the surface, and after it touches down
HELD_S = 60.0  # at the cruise setting before the propeller is brought back
CRUISE_TORQUE = 72.8  # about what is read there [%]
TAKE_OFF_S = 75.0  # at take-off power

Scenario = Mapping[str, Any]


def course_of(scenario: Scenario, draws: Draws) -> Course:
    """Return the course of a scenario.

    Parameters
    ----------
    scenario : mapping
        ``course`` names the sort of run, ``minutes`` its length [min], ``air_temp`` the outside air [degC],
        ``start_peak`` the top of the start [degC]; each of ``excess`` raises or lowers a channel for a while,
        ``outage`` takes one away, both from ``after_s`` after take-off power was set. [s]
    draws : Draws
        What varies from run to run.

    Returns
    -------
    Course
        With everything in the order in which it happens.

    Raises
    ------
    ValueError
        If there is no sort of run of that name.
    """
    build = COURSES.get(scenario["course"])
    if build is None:
        raise ValueError(f"course must be one of {', '.join(COURSES)}, not {scenario['course']!r}")
    course = build(scenario, draws)
    for excess in scenario.get("excess", ()):
        course = _with_excess(course, excess)
    if "outage" in scenario:
        outage = scenario["outage"]
        start_s = course.mark_s + outage["after_s"]
        course = replace(course, outage=(outage["channel"], start_s, start_s + outage["seconds"]))
    return course


def _with_excess(course: Course, excess: Mapping[str, Any]) -> Course:
    """Return the course with a channel raised, or lowered, for a while after all that happened to it before."""
    rise = course.mark_s + excess["after_s"]
    top = rise + excess["rise_s"]
    fall = top + excess["hold_s"]
    knots = ((rise, 0.0), (top, excess["add"]), (fall, excess["add"]), (fall + excess["rise_s"], 0.0))
    before = course.extra.get(excess["channel"], ())
    return replace(course, extra={**course.extra, excess["channel"]: before + knots})


def start_only(scenario: Scenario, draws: Draws) -> Course:
    """Return a start and idle until shutdown: rest, starter, light-off, the top of the temperature, idle.

    Parameters
    ----------
    scenario : mapping
        As for :func:`course_of`; ``start_hold_s`` is how long the temperature stays at its top [s],
        ``weak_battery`` how much lower it cranks [V], ``limiting`` how often the fuel is held back for a moment.
    draws : Draws
        What varies from run to run.

    Returns
    -------
    Course
    """
    rest = draws.between(8.0, 20.0)
    light_off = rest + draws.between(9.0, 11.0)
    idle_s = light_off + draws.between(22.0, 26.0)
    seconds = scenario["minutes"] * 60.0
    top_s = light_off + LIGHT_UP_S
    over = scenario.get("start_peak", draws.between(640.0, 690.0)) - IDLE_ITT
    hold_s = scenario.get("start_hold_s", 2.0)
    speeds = ((light_off, CRANKING_N1), (light_off + 6.0, 22.0), (light_off + 14.0, 42.0), (idle_s, IDLE_N1))
    heat = ((light_off, COLD_C), (top_s, over), (top_s + hold_s, over), (idle_s + 4.0, 0.0))
    return Course(
        seconds=seconds,
        starter=(rest, idle_s - 5.0),
        air_temp=scenario["air_temp"],
        lit=(light_off, seconds - ROLL_OUT_S),
        idle_s=idle_s,
        starting=speeds,
        propeller=((idle_s - 14.0, 0.0), (idle_s, IDLE_NP)),
        extra={
            "itt": heat,
            "bus_volts": _dips(((rest, idle_s - 6.0),), scenario.get("weak_battery", 0.0)),
            "fuel_flow": _dips(
                [(top_s + 2.0 * k, top_s + 2.0 * k + 0.75) for k in range(scenario.get("limiting", 0))], 45.0
            ),
        },
    )


def _dips(spans: Iterable[tuple[float, float]], depth: float) -> Knots:
    """Return what is taken from a channel between some times; nothing where there is no depth."""
    edges = 0.25
    if not depth:
        return ()
    return tuple(
        knot
        for start, end in spans
        for knot in ((start - edges, 0.0), (start, -depth), (end, -depth), (end + edges, 0.0))
    )


def flight_times(seconds: float) -> tuple[float, float]:
    """Return when a flight leaves the surface and when it touches down.

    Parameters
    ----------
    seconds : float
        Its whole length, from the first row to the last. [s]

    Returns
    -------
    tuple of (float, float)
        From the first row. [s]
    """
    return TAXI_S, seconds - TAXI_S


def flight(scenario: Scenario, draws: Draws) -> Course:
    """Return a flight: start, taxi, take-off, climb, cruise, descent, approach, landing, cooling down, shutdown.

    Parameters
    ----------
    scenario : mapping
        As for :func:`course_of`.
    draws : Draws
        What varies from run to run.

    Returns
    -------
    Course
    """
    course = start_only(scenario, draws)
    off, down = flight_times(course.seconds)
    climb = off + TAKE_OFF_S
    cruise, descent, approach = (climb + part * (down - climb) for part in (0.16, 0.68, 0.86))
    idle = course.idle_s
    power = (
        *((idle + 40.0, 0.0), (idle + 45.0, 0.08), (off - 12.0, 0.05), (off - 4.0, 0.1)),
        *((off + 4.0, draws.between(0.96, 1.0)), (climb, 0.96)),
        *((climb + 10.0, draws.between(0.84, 0.88)), (cruise, 0.84)),
        *_rough_air(cruise + 10.0, descent, draws),
        *((descent + 10.0, 0.36), (approach, 0.32), (down - 8.0, 0.26), (down, 0.03)),
        *((down + 4.0, 0.03), (down + 6.0, 0.2), (down + 12.0, 0.2), (down + 15.0, 0.04), (down + 70.0, 0.0)),
    )
    propeller = (
        *((idle + 40.0, IDLE_NP), (idle + 45.0, TAXI_NP), (off - 6.0, TAXI_NP)),
        *((off + 3.0, TAKE_OFF_NP), (climb, TAKE_OFF_NP), (climb + 10.0, CLIMB_NP), (cruise, CLIMB_NP)),
        *((cruise + 10.0, CRUISE_NP), (approach, CRUISE_NP), (approach + 10.0, CLIMB_NP)),
        *((down + 14.0, CLIMB_NP), (down + 20.0, TAXI_NP)),
    )
    return replace(course, power=power, propeller=course.propeller + propeller, mark_s=off)


def cruise_set(scenario: Scenario, draws: Draws) -> Course:
    """Return a flight in which cruise power is set step by step, on a recorder that has the air's channels.

    Parameters
    ----------
    scenario : mapping
        As for :func:`course_of`; ``altitude`` is the pressure altitude of the cruise. [ft]
    draws : Draws
        What varies from run to run.

    Returns
    -------
    Course
        Full power, climb, the power lever back to cruise, then the propeller brought back, upon which torque rises as
        the power stays.
    """
    course = start_only(scenario, draws)
    off, down = flight_times(course.seconds)
    climb = off + TAKE_OFF_S
    level, descent = (climb + part * (down - climb) for part in (0.22, 0.74))
    idle, cruise, back = course.idle_s, draws.between(0.71, 0.75), level + HELD_S
    power = (
        *((idle + 40.0, 0.0), (idle + 45.0, 0.08), (off - 4.0, 0.1), (off + 4.0, 0.97), (climb, 0.97)),
        *((climb + 8.0, 0.86), (level, 0.86), (level + 8.0, cruise), (descent, cruise), (descent + 10.0, 0.34)),
        *((down - 8.0, 0.26), (down, 0.03), (down + 6.0, 0.2), (down + 15.0, 0.04), (down + 70.0, 0.0)),
    )
    propeller = (
        *((idle + 40.0, IDLE_NP), (idle + 45.0, TAXI_NP), (off - 6.0, TAXI_NP), (off + 3.0, TAKE_OFF_NP)),
        *((back, TAKE_OFF_NP), (back + 6.0, CRUISE_NP), (down - 40.0, CRUISE_NP), (down - 30.0, CLIMB_NP)),
        *((down + 14.0, CLIMB_NP), (down + 20.0, TAXI_NP)),
    )
    rise = CRUISE_TORQUE * (TAKE_OFF_NP / CRUISE_NP - 1.0)
    torque = ((back, 0.0), (back + 6.0, rise), (descent, rise), (descent + 10.0, 0.0))
    field = scenario.get("field", 600.0)
    return replace(
        course,
        power=power,
        propeller=course.propeller + propeller,
        extra={**course.extra, "torque": torque},
        mark_s=off,
        altitude=((off, field), (level, scenario["altitude"]), (descent, scenario["altitude"]), (down, field)),
    )


def _rough_air(start_s: float, end_s: float, draws: Draws) -> Knots:
    """Return cruise power with the small changes that air and hand make."""
    level, at = draws.between(0.70, 0.75), start_s
    knots = []
    while at < end_s:
        knots.append((at, level + draws.between(-0.012, 0.012)))
        at += draws.between(12.0, 26.0)
    return tuple(knots)


def ground_run(scenario: Scenario, draws: Draws) -> Course:
    """Return a ground run: start, warming up, power in steps to take-off, cooling down, shutdown.

    Parameters
    ----------
    scenario : mapping
        As for :func:`course_of`.
    draws : Draws
        What varies from run to run.

    Returns
    -------
    Course
    """
    course = start_only(scenario, draws)
    length = course.seconds - ROLL_OUT_S - course.idle_s
    up, high, top, back = (course.idle_s + part * length for part in (0.25, 0.38, 0.52, 0.66))
    power = (
        *((up, 0.0), (up + 5.0, 0.4), (high, 0.4), (high + 5.0, 0.7), (top, 0.7)),
        *((top + 6.0, draws.between(0.94, 0.98)), (back, 0.95), (back + 6.0, 0.0)),
    )
    propeller = (
        *((up, IDLE_NP), (up + 8.0, CRUISE_NP), (top, CRUISE_NP)),
        *((top + 6.0, CLIMB_NP), (back, CLIMB_NP), (back + 8.0, IDLE_NP)),
    )
    return replace(course, power=power, propeller=course.propeller + propeller, mark_s=top)


def hung_start(scenario: Scenario, draws: Draws) -> Course:
    """Return a start that lights but hangs below idle, given up after a while, the starter left on to cool.

    Parameters
    ----------
    scenario : mapping
        As for :func:`course_of`; ``hang_at`` is the speed it does not get beyond [%], ``hang_s`` when the fuel
        is cut after light-off [s].
    draws : Draws
        What varies from run to run.

    Returns
    -------
    Course
    """
    course = start_only(scenario, draws)
    light_off = course.starting[0][0]
    cut, hang = light_off + scenario["hang_s"], scenario["hang_at"]
    over = scenario["start_peak"] - IDLE_ITT
    return replace(
        course,
        starter=(course.starter[0], cut + 14.0),
        lit=(light_off, cut),
        idle_s=course.seconds,
        starting=((light_off, CRANKING_N1), (light_off + 6.0, 22.0), (light_off + 16.0, hang), (cut, hang + 1.5)),
        propeller=((light_off + 10.0, 0.0), (cut, 0.4 * IDLE_NP)),
        extra={"itt": ((light_off, COLD_C), (light_off + LIGHT_UP_S, 0.72 * over), (cut - 4.0, over))},
        mark_s=light_off,
    )


def motoring(scenario: Scenario, draws: Draws) -> Course:
    """Return a dry motoring run: the starter turns the engine without fuel.

    Parameters
    ----------
    scenario : mapping
        As for :func:`course_of`; ``crank_s`` is how long the starter turns [s].
    draws : Draws
        What varies from run to run.

    Returns
    -------
    Course
    """
    rest = draws.between(15.0, 25.0)
    return Course(
        seconds=scenario["minutes"] * 60.0,
        starter=(rest, rest + scenario["crank_s"]),
        air_temp=scenario["air_temp"],
        mark_s=rest,
    )


COURSES: Mapping[str, Callable[[Scenario, Draws], Course]] = {
    "start_only": start_only,
    "flight": flight,
    "cruise_set": cruise_set,
    "ground_run": ground_run,
    "hung_start": hung_start,
    "motoring": motoring,
}
