"""On which scales a person sees the channels of an engine; what is recorded, judged and signed stays as it is."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from engines.calibration import Calibration
from engines.charts import Channel, EngineTypeData
from engines.models import Engine, EngineCalibration
from engines.queries import calibrations_on
from engines.scales import TEMPERATURES, Scale, scale_chosen, scales_of
from engines.units import symbol_of, unit_known
from inspections.shown import excursion_on, trace_on, type_on
from logbook.models import Person
from logbook.pictures import JudgedRun

OWN = "own"  # of a channel: as it is kept, whatever is chosen of all temperatures


def choices_of(person: Person) -> dict[str, str]:
    """Return the units that a person chose, by channel; "" is every temperature."""
    return {str(channel): str(unit) for channel, unit in person.shown_units.items()}


def units_choose(*, person: Person, chosen: Mapping[str, str]) -> None:
    """Keep what a person chose of each channel; "" is no choice."""
    person.shown_units = {channel: unit for channel, unit in chosen.items() if unit}
    person.save(update_fields=["shown_units"])


def unit_for(channel: Channel, chosen: Mapping[str, str]) -> str:
    """Return the unit that a person chose to see a channel in, "" where none."""
    own = chosen.get(channel.name)
    if own is not None:
        return "" if own == OWN else own
    return chosen.get("", "") if unit_known(channel.unit) in TEMPERATURES else ""


def temperature_for(person: Person) -> str:
    """Return the unit in which a person sees every temperature, "" where they chose none."""
    chosen = choices_of(person).get("", "")
    return chosen if chosen in TEMPERATURES else ""


def scales_for(person: Person, engine: Engine, data: EngineTypeData, on: date) -> dict[str, Scale]:
    """Return the scales on which a person sees an engine's channels, by channel; calibrations of that day."""
    chosen = choices_of(person)
    wanted = {c.name: unit for c in data.channels if (unit := unit_for(c, chosen)) and unit != c.unit}
    calibrations: dict[str, Calibration] = calibrations_on(engine, on) if wanted else {}
    found = {}
    for name, unit in wanted.items():
        scales = scales_of(data.channel(name), data.indication(name), calibrations.get(name))
        if scale := scale_chosen(scales, unit):
            found[name] = scale
    return found


def judged_on(judged: JudgedRun, scales: Mapping[str, Scale]) -> JudgedRun:
    """Return a judged run on the scales that a person sees."""
    if not scales:
        return judged
    limits = {chart.name: chart.limit for chart in judged.data.charts}
    return replace(
        judged,
        data=type_on(judged.data, scales),
        excursions=tuple(
            excursion_on(e, limits[e.chart], scales[e.channel]) if e.channel in scales else e for e in judged.excursions
        ),
        trace=None if judged.trace is None else trace_on(judged.trace, scales),
    )


def shown_words(data: EngineTypeData, scales: Mapping[str, Scale]) -> list[str]:
    """Return what is shown otherwise than it was recorded, in sentences."""
    return [
        f"{data.channel(name).label} is shown in {symbol_of(scale.shown)}, as you chose; "
        f"it is kept and judged in {symbol_of(scale.unit)}."
        for name, scale in scales.items()
    ]


def offered(types: Iterable[EngineTypeData], rows: Iterable[EngineCalibration]) -> dict[str, tuple[str, list[str]]]:
    """Return the channels that may be shown otherwise, by name: label and the units that there are."""
    calibrations = {row.channel: row.data for row in rows}
    found: dict[str, tuple[str, list[str]]] = {}
    for data in types:
        for channel in data.channels:
            scales = scales_of(channel, data.indication(channel.name), calibrations.get(channel.name))
            label, units = found.setdefault(channel.name, (channel.label, []))
            units += [scale.shown for scale in scales if scale.shown not in units]
    return {name: told for name, told in found.items() if told[1]}
