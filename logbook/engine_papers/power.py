"""An engine's power checks, and what one run shows of power and fuel, on paper."""

from collections.abc import Sequence
from typing import Any, Final

from django.utils import timezone

from engines.charts import EngineTypeData
from engines.models import Engine, FuelFigures, Run
from engines.power_assurance import Assured, PowerCheck
from engines.power_queries import NO_RULES, CheckedPower, RunPower, run_power_of
from engines.queries import revision_in_force
from engines.settled import Setting
from engines.units import symbol_of
from inspections.drawing.words import clock_text, figure, quantity
from logbook.condition import condition_of_engine
from logbook.engine_papers.sheets import plain_sheet
from logbook.models import Person
from logbook.printing.engine_sheet import EngineSheet, Listing
from logbook.printing.running import Stamp

CHECKS: Final = "Power checks"
POWER: Final = "Power and fuel of a run"
CHECK_HEADINGS: Final = ("Read at", "Air, altitude", "Shaft power", "Corrected, with its margin", "By")
CHECK_SHARES: Final = (0.15, 0.13, 0.16, 0.39, 0.17)
CORRECTED: Final = (
    "Readings at one steady setting, corrected to standard sea level (ISO 2533 standard atmosphere), against the power "
    "chart of the type: {source}."
)
ADDED_UP: Final = "Added up from the recorded fuel flow by the trapezoidal rule; what was not seen is not guessed."


def _sheet(engine: Engine, title: str, about: Sequence[tuple[str, Any]], listings: Sequence[Listing]) -> EngineSheet:
    return plain_sheet(engine, title, about, listings, columns=2)


def checks_sheet(user: Person, engine: Engine, stamp: Stamp) -> EngineSheet:
    """Return an engine's power checks against the type's chart, the newest first."""
    condition = condition_of_engine(engine)
    if condition.data is None or condition.data.power is None:
        return _sheet(engine, CHECKS, [], [Listing(CHECKS, about=[NO_RULES])])
    source = condition.data.power.source or "source not recorded"
    rows = [_check(one) for one in condition.newest_first]
    about = [CORRECTED.format(source=source)]
    listing = Listing(CHECKS, CHECK_HEADINGS, CHECK_SHARES, rows, about)
    return _sheet(
        engine, CHECKS, [("Last overhaul", engine.overhauled_on), ("Power checks", str(len(rows)))], [listing]
    )


def _check(one: CheckedPower) -> list[str]:
    row, check = one.row, one.check
    said = [_margin(part) for part in check.quantities]
    begins = [f"Begins a baseline: {row.why}"] if row.begins_baseline else []
    return [
        f"{timezone.localtime(row.at):%Y-%m-%d\n%H:%M}",
        f"{quantity(row.data.air_c, 'degC')},\n{quantity(row.data.altitude_ft, 'ft')}",
        _power(check),
        "\n".join([*said, *begins]),
        str(row.by),
    ]


def _power(check: PowerCheck) -> str:
    return f"{check.power:.0f} kW,\n{check.corrected:.0f} kW corrected"


def _margin(part: Assured) -> str:
    read = f"{part.words} {quantity(part.corrected, part.unit)}"
    if part.margin is None:
        return f"{read}: not on the chart"
    return f"{read}: {quantity(part.margin, part.unit)}{', beyond the chart' if part.is_beyond else ' left'}"


def run_power_sheet(run: Run) -> EngineSheet:
    """Return a run's steady settings, how cruise power was set, and its fuel against totaliser and uplift."""
    data = revision_in_force(run.engine.engine_type, run.started_at.date()).data
    if data.power is None:
        return _sheet(run.engine, POWER, [], [Listing(POWER, about=[NO_RULES])])
    power = run_power_of(run, data)
    about = [("Run", run.get_kind_display()), ("Began", f"{timezone.localtime(run.started_at):%Y-%m-%d %H:%M}")]
    return _sheet(run.engine, POWER, about, [_settings(power, data), _cruise(power, data), _fuel(power, data)])


def _settings(power: RunPower, data: EngineTypeData) -> Listing:
    headings = ("From", "To", *(data.channel(name).label for name in _channels(data)))
    shares = (0.12, 0.12, *[0.76 / len(_channels(data))] * len(_channels(data)))
    return Listing("Steady settings", headings, shares, [_setting(one, data) for one in power.settings])


def _channels(data: EngineTypeData) -> tuple[str, ...]:
    rules = data.power
    return () if rules is None else (rules.torque, rules.propeller, rules.temperature, rules.fuel_flow)


def _setting(one: Setting, data: EngineTypeData) -> list[str]:
    return [clock_text(one.start_s), clock_text(one.end_s), *(_mean(one, name, data) for name in _channels(data))]


def _mean(one: Setting, channel: str, data: EngineTypeData) -> str:
    mean = one.means.get(channel)
    return "not recorded" if mean is None else quantity(round(mean, 1), data.channel(channel).unit)


def _cruise(power: RunPower, data: EngineTypeData) -> Listing:
    found, rules = power.cruise, data.power
    if found is None or rules is None:
        return Listing("How cruise power was set", about=["The trace does not show it."])
    named = (("Full power", found.full), ("Reduced to", found.reduced), ("Propeller brought back", found.cruise))
    rows = [[name, *(_mean(one, channel, data) for channel in _channels(data))] for name, one in named]
    headings = ("Setting", *(data.channel(name).label for name in _channels(data)))
    rise = f"{figure(round(found.torque_rise, 1))} {symbol_of(data.channel(rules.torque).unit)}"
    fall = quantity(round(found.propeller_fall), data.channel(rules.propeller).unit)
    shares = (0.24, *[0.76 / len(_channels(data))] * len(_channels(data)))
    about = [f"The torque rose by {rise} as the propeller came back by {fall}."]
    return Listing("How cruise power was set", headings, shares, rows, about)


def fuel_unit(data: EngineTypeData) -> str:
    """Return the unit of an amount of fuel, from that of the flow."""
    flow = "" if data.power is None else data.channel(data.power.fuel_flow).unit
    return flow.removesuffix("/h")


def _fuel(power: RunPower, data: EngineTypeData) -> Listing:
    fuel, unit = power.fuel, fuel_unit(data)
    if fuel is None:
        return Listing("Fuel used", about=["No fuel flow was recorded.", *_figures(power.figures, unit)])
    unseen = f", not seen for {clock_text(fuel.unseen_s)}" if fuel.unseen_s else ""
    about = [
        f"The fuel flow adds up to {quantity(fuel.amount, unit)} over {clock_text(fuel.seen_s)}{unseen}.",
        ADDED_UP,
    ]
    rows = [
        [one.name, quantity(one.figure, unit), quantity(one.difference, unit), _percent(one.percent)]
        for one in power.compared
    ]
    headings = ("Against", "Figure", "Added up is more by", "Of the figure")
    return Listing("Fuel used", headings, (0.34, 0.22, 0.22, 0.22), rows, [*about, *_figures(power.figures, unit)])


def _figures(figures: FuelFigures | None, unit: str) -> list[str]:
    if figures is None:
        return ["Nothing of totaliser or uplift was written down."]
    said = f"Written down by {figures.by}"
    return [f"{said}: {figures.remarks}" if figures.remarks else f"{said}."]


def _percent(share: float | None) -> str:
    return "–" if share is None else f"{figure(share)} %"
