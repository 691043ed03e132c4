"""Reads of power: checks worked out, settings found in a run's trace, fuel added up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from django.utils import timezone

from engines.fuel_used import FuelCompared, FuelUsed, fuel_compared, fuel_used
from engines.models import FuelFigures, PowerCheckRecord
from engines.power_assurance import PowerCheck, power_check
from engines.queries import newest_trace, recording_of, revision_in_force
from engines.settled import CruiseFound, Setting, cruise_found, settings_of
from engines.units import convert

if TYPE_CHECKING:
    from collections.abc import Iterable

    from engines.charts import EngineTypeData
    from engines.models import Engine, Run
    from engines.traces import Trace

NO_RULES: Final = "The limits of this engine's type say nothing of power."
LEAST_TORQUE: Final = 0.25  # of the run's highest: below it no power is set


def rules_of(engine: Engine) -> EngineTypeData | None:
    """Return what an engine's type says today, where it has rules of power; else None."""
    data = revision_in_force(engine.engine_type, timezone.localdate()).data
    return None if data.power is None else data


@dataclass(frozen=True)
class CheckedPower:
    """A power check with what it comes to by the type's rules of today."""

    row: PowerCheckRecord
    check: PowerCheck


def checks_worked(rows: Iterable[PowerCheckRecord], data: EngineTypeData) -> list[CheckedPower]:
    """Return power checks worked out, in the order given."""
    rules = data.power
    return [] if rules is None else [CheckedPower(row, power_check(row.data, data, rules)) for row in rows]


@dataclass(frozen=True)
class RunPower:
    """What a run's trace shows of power: steady settings, how cruise power was set, and the fuel used."""

    settings: list[Setting]
    cruise: CruiseFound | None
    fuel: FuelUsed | None
    figures: FuelFigures | None
    compared: list[FuelCompared]


def run_power_of(run: Run, data: EngineTypeData) -> RunPower:
    """Return what a run's newest trace shows of power; nothing where it has none."""
    stored = newest_trace(run)
    trace = recording_of(stored).trace if stored is not None and not run.is_void else None
    figures = run.fuel_figures.select_related("by").last()
    if trace is None or data.power is None:
        return RunPower([], None, None, figures, [])
    settings = _settings(trace, data)
    flow = data.power.fuel_flow
    fuel = fuel_used(trace.times, trace.channels[flow], data.gap_of(flow)) if flow in trace.channels else None
    known = {"the totaliser": figures.totaliser, "what was uplifted": figures.uplift} if figures else {}
    compared = fuel_compared(fuel, known) if fuel else []
    return RunPower(settings, cruise_found(settings, data.power), fuel, figures, compared)


def _settings(trace: Trace, data: EngineTypeData) -> list[Setting]:
    rules = data.power
    if rules is None or rules.torque not in trace.channels:
        return []
    torque = trace.channels[rules.torque]
    highest = float(torque[torque == torque].max(initial=0.0))
    return settings_of(trace, rules, LEAST_TORQUE * highest, data.gap_of(rules.torque))


def cruise_facts(run: Run) -> dict[str, Any] | None:
    """Return how cruise power was set in a run as plain data, or None where its trace does not show it."""
    data = revision_in_force(run.engine.engine_type, run.started_at.date()).data
    found = run_power_of(run, data).cruise
    if found is None or data.power is None:
        return None
    means, rules = found.cruise.means, data.power
    air = {
        "altitude_ft": (rules.altitude, "ft"),
        "air_c": (rules.air_temperature, "degC"),
    }
    outside = {
        name: convert(means[channel], data.channel(channel).unit, unit) if channel in means else None
        for name, (channel, unit) in air.items()
    }
    settings = {"full": found.full.means, "reduced": found.reduced.means, "cruise": means}
    return {**settings, **outside, "torque_rise": found.torque_rise, "propeller_fall": found.propeller_fall}
