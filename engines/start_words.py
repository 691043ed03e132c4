"""The figures of a start and of a shutdown in words, beside what the type asks for and what the engine's own were."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from engines.start_curves import FEWEST, middle_half
from engines.start_rules import StartRules

NOT_RECORDED: Final = "not recorded"
NOTHING_ASKED: Final = ""

# What each figure is called, and what it measures: a moment or a length [s], a value of a channel, or a slope.
STARTS: Final[dict[str, tuple[str, str]]] = {
    "residual": ("Temperature before the start", "temperature"),
    "starter_s": ("Starter engaged", "moment"),
    "starter_off_s": ("Starter let go", "moment"),
    "turning_s": ("Turning from", "moment"),
    "fuel_s": ("Fuel on", "moment"),
    "speed_at_fuel": ("Speed when fuel came on", "speed"),
    "light_off_s": ("Light-off", "moment"),
    "speed_at_light_off": ("Speed at light-off", "speed"),
    "fuel_to_light_off": ("From fuel on to light-off", "length"),
    "to_light_off": ("From turning to light-off", "length"),
    "peak": ("Peak temperature", "temperature"),
    "peak_s": ("Peak reached", "moment"),
    "temperature_slope": ("Steepest rise of the temperature", "temperature slope"),
    "speed_at_fall": ("Speed when the temperature began to fall", "speed"),
    "acceleration": ("Acceleration from light-off to idle", "speed slope"),
    "to_idle": ("From turning to idle", "length"),
    "idle_temperature": ("Temperature at settled idle", "temperature"),
    "supply_rest": ("Supply at rest", "supply"),
    "supply_lowest": ("Lowest supply", "supply"),
    "supply_dip": ("Dip of the supply", "supply difference"),
    "to_oil_pressure": ("From turning to oil pressure", "length"),
}
SHUTDOWNS: Final[dict[str, tuple[str, str]]] = {
    "cooled_s": ("Cooling down before shutdown", "length"),
    "run_down_s": ("Run-down", "length"),
    "temperature": ("Temperature at the end of running", "temperature"),
}
# Figures whose drift is watched: of starts that reached idle, and of shutdowns.
WATCHED: Final = (
    "peak", "to_light_off", "to_idle", "speed_at_fall", "acceleration", "idle_temperature", "supply_lowest",
    "to_oil_pressure",
)  # fmt: skip
WATCHED_AFTER: Final = ("run_down_s",)


@dataclass(frozen=True)
class Units:
    """The signs of the units of a type's speed, temperature and supply channels."""

    speed: str
    temperature: str
    supply: str = "V"

    def sign(self, kind: str) -> str:
        """Return the sign of the unit of one kind of figure."""
        channel = getattr(self, kind.split()[0], "s")
        return f"{channel}/s" if kind.endswith("slope") else channel


@dataclass(frozen=True)
class FigureLine:
    """One figure in words, what the type asks for, and the engine's own: ``is_outside`` tells what is not as asked."""

    key: str
    label: str
    value: str
    asked: str = NOTHING_ASKED
    own: str = ""
    is_outside: bool = False


def figure_text(value: float | None, kind: str, units: Units) -> str:
    """Return a figure in words.

    Parameters
    ----------
    value : float or None
        The figure. [the kind's unit]
    kind : str
        What it measures, as the tables above name it.
    units : Units
        Signs of units.

    Returns
    -------
    str
        For example ``"655 °C"``, ``"14.3 %"`` or ``"9.0 s into the record"``; "not recorded" for None.
    """
    if value is None:
        return NOT_RECORDED
    places = 0 if kind == "temperature" else 2 if kind == "speed slope" else 1
    sign = "s into the record" if kind == "moment" else units.sign(kind)
    return f"{round(value, places) + 0.0:.{places}f} {sign}"


def start_lines(
    figures: Mapping[str, Any], rules: StartRules, units: Units, past: Sequence[Mapping[str, Any]] = ()
) -> list[FigureLine]:
    """Return the figures of a start as lines.

    Parameters
    ----------
    figures : mapping of str to object
        The figures, by the names of :class:`engines.starts.StartFigures`.
    rules : StartRules
        What the type asks for.
    units : Units
        Signs of units.
    past : sequence of mapping
        The figures of the engine's own earlier starts that reached idle.

    Returns
    -------
    list of FigureLine
        One for each figure, in order of what happens, and one for short bursts of fuel limiting.
    """
    lines = _lines(STARTS, figures, _asked(rules), units, past)
    return [*lines, _limiting(figures.get("limiting"))]


def shutdown_lines(
    figures: Mapping[str, Any], rules: StartRules, units: Units, past: Sequence[Mapping[str, Any]] = ()
) -> list[FigureLine]:
    """Return the figures of a shutdown as lines.

    Parameters
    ----------
    figures : mapping of str to object
        The figures, by the names of :class:`engines.shutdowns.ShutdownFigures`.
    rules : StartRules
        What the type asks for.
    units : Units
        Signs of units.
    past : sequence of mapping
        The figures of the engine's own earlier shutdowns.

    Returns
    -------
    list of FigureLine
        One for each figure.
    """
    asked: Asked = {
        "cooled_s": (rules.cool_down.seconds, None) if rules.cool_down else (None, None),
        "run_down_s": (rules.run_down.least_s, None) if rules.run_down else (None, None),
    }
    return _lines(SHUTDOWNS, figures, asked, units, past)


Asked = dict[str, tuple[float | None, float | None]]  # the least and the most of a figure


def _asked(rules: StartRules) -> Asked:
    return {
        "residual": (None, rules.residual_most),
        "fuel_to_light_off": (None, rules.light_off_within_s),
        "peak": (None, rules.hot_above),
        "to_idle": (None, rules.idle_within_s),
        "supply_lowest": (rules.supply.least if rules.supply else None, None),
        "to_oil_pressure": (None, rules.oil_pressure.within_s if rules.oil_pressure else None),
    }


def _lines(
    named: Mapping[str, tuple[str, str]],
    figures: Mapping[str, Any],
    asked: Asked,
    units: Units,
    past: Sequence[Mapping[str, Any]],
) -> list[FigureLine]:
    lines = []
    for key, (label, kind) in named.items():
        value, (least, most) = figures.get(key), asked.get(key, (None, None))
        lines.append(
            FigureLine(
                key=key,
                label=label,
                value=figure_text(value, kind, units),
                asked=_asked_text(least, most, kind, units),
                own="" if kind == "moment" else _own_text([one.get(key) for one in past], kind, units),
                is_outside=value is not None
                and ((least is not None and value < least) or (most is not None and value > most)),
            )
        )
    return lines


def _asked_text(least: float | None, most: float | None, kind: str, units: Units) -> str:
    if least is not None:
        return f"at least {figure_text(least, kind, units)}"
    return NOTHING_ASKED if most is None else f"no more than {figure_text(most, kind, units)}"


def _own_text(values: Sequence[float | None], kind: str, units: Units) -> str:
    """Return median and middle half of some earlier figures; nothing of fewer than three."""
    known = [value for value in values if value is not None]
    if len(known) < FEWEST:
        return ""
    low, middle, high = (figure_text(value, kind, units) for value in middle_half(known))
    number, sign = low.rsplit(" ", 1)
    return f"{middle}, half of {len(known)} from {number} to {high}" if sign in high else f"{middle}, {low} to {high}"


def _limiting(bursts: Sequence[Sequence[float]] | None) -> FigureLine:
    if bursts is None:
        value = NOT_RECORDED
    elif not bursts:
        value = "none seen"
    else:
        value = ", ".join(f"{start:.1f} s" for start, _ in bursts) + " into the record"
    return FigureLine("limiting", "Short bursts of fuel limiting", value)
