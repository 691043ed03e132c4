"""The parts of an engine type document about power and trend."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

from engines.calibration import Indication
from engines.document_fields import Fields
from engines.document_power import channel_read
from engines.power_rules import QUANTITIES, AssuranceLine, PowerRules, Settled, TrendRules
from engines.sea_level import Exponents
from engines.units import convert, unit_fits, unit_known

CHANNELS = ("torque", "propeller", "temperature", "speed", "fuel_flow")
OF_THE_AIR = {"air_temperature": "degC", "altitude": "ft"}
EXPONENTS = ("temperature", "speed", "fuel_flow", "power")
SETTLED = ("seconds", "torque", "propeller", "fuel_flow")
LEAST_POINTS = 2


def power_read(root: Fields, units: Mapping[str, str], indications: Sequence[Indication]) -> PowerRules | None:
    """Return what a type says of its power.

    Parameters
    ----------
    root : Fields
        The document.
    units : mapping of str to str
        The channels of the type with their units.
    indications : sequence of Indication
        How channels may be indicated: of a torque in percent, what 100 % is.

    Returns
    -------
    PowerRules or None
        The rules, faults noted in ``root``; None where the document has no ``power``.
    """
    if not root.has("power"):
        return None
    item = root.child("power")
    item.allow(*CHANNELS, *OF_THE_AIR, "gearing", "brought_back", "exponents", "settled", "assurance")
    channels = {name: channel_read(item, name, units) for name in CHANNELS}
    air = {name: _of_the_air(item, name, units) for name in OF_THE_AIR}
    _torque_check(item, units.get(channels["torque"], ""), channels["torque"], indications)
    lines, source = _assurance(item.child("assurance")) if item.has("assurance") else ((), "")
    return PowerRules(
        **channels,
        **air,
        gearing=_above_nothing(item, "gearing") if item.has("gearing") else 1.0,
        brought_back=_above_nothing(item, "brought_back"),
        exponents=_exponents(item.child("exponents")) if item.has("exponents") else Exponents(),
        settled=_settled(item.child("settled")),
        assurance=lines,
        source=source,
    )


def _of_the_air(item: Fields, key: str, units: Mapping[str, str]) -> str:
    if not item.has(key):
        return ""
    name = channel_read(item, key, units)
    if name in units and not unit_fits(units[name], OF_THE_AIR[key]):
        item.fault(key, f"is measured in {units[name]}, which can't be turned into {OF_THE_AIR[key]}")
    return name


def _torque_check(item: Fields, unit: str, channel: str, indications: Sequence[Indication]) -> None:
    """Fault a torque of which no power can be worked out."""
    full = next((of.full_unit for of in indications if of.channel == channel and of.full is not None), unit)
    if full and not unit_fits(full, "N*m"):
        item.fault("torque", f"is in {unit}: say under calibration what its 100 % is, in lbf·ft or N·m")


def _above_nothing(item: Fields, key: str) -> float:
    number = item.number(key)
    if number <= 0:
        item.fault(key, "must be above 0")
    return number


def _exponents(item: Fields) -> Exponents:
    item.allow(*EXPONENTS)
    usual = Exponents()
    return Exponents(**{name: item.number(name, default=getattr(usual, name), least=0.0) for name in EXPONENTS})


def _settled(item: Fields) -> Settled:
    item.allow(*SETTLED)
    return Settled(**{name: _above_nothing(item, name) for name in SETTLED})


def _assurance(item: Fields) -> tuple[tuple[AssuranceLine, ...], str]:
    item.allow("unit", "lines", "source")
    unit = item.text("unit", most=40)
    if unit and (unit_known(unit) is None or not unit_fits(unit, "kW")):
        item.fault("unit", f"“{unit}” is no unit of power; write for example kW or hp")
        unit = "kW"
    lines = tuple(_line(line, unit or "kW") for line in item.items("lines", least=1))
    item.unique("lines", "quantity")
    return lines, item.text("source", default="")


def _line(item: Fields, unit: str) -> AssuranceLine:
    item.allow("quantity", "points")
    quantity = item.choice("quantity", QUANTITIES) if item.has("quantity") else item.text("quantity")
    points = tuple(_point(point) for point in item.items("points"))
    if len(points) < LEAST_POINTS:
        item.fault("points", "must be at least two")
    for k, (before, after) in enumerate(pairwise(points), start=1):
        if after[0] <= before[0]:
            item.fault(f"points[{k}].power", "must increase from one point to the next")
    return AssuranceLine(quantity, tuple((convert(power, unit, "kW"), most) for power, most in points))


def _point(item: Fields) -> tuple[float, float]:
    item.allow("power", "most")
    return item.number("power", least=0.0), item.number("most")


def trend_read(root: Fields) -> TrendRules | None:
    """Return how a type's condition is followed.

    Parameters
    ----------
    root : Fields
        The document.

    Returns
    -------
    TrendRules or None
        The rules, faults noted in ``root``; None where the document has no ``trend``.
    """
    if not root.has("trend"):
        return None
    item = root.child("trend")
    item.allow("baseline", "least", "confidence", "shift", "least_power", "most_power", "unit")
    unit = item.text("unit", default="kW", most=40)
    if unit_known(unit) is None or not unit_fits(unit, "kW"):
        item.fault("unit", f"“{unit}” is no unit of power; write for example kW or hp")
        unit = "kW"
    least_power, most_power = (
        convert(item.number(name, least=0.0), unit, "kW") for name in ("least_power", "most_power")
    )
    if least_power >= most_power:
        item.fault("most_power", "must be above least_power")
    return TrendRules(
        baseline=item.whole("baseline", least=1),
        least=item.whole("least", least=3),
        confidence=_share(item, "confidence"),
        shift=_share(item, "shift"),
        least_power=least_power,
        most_power=most_power,
    )


def _share(item: Fields, key: str) -> float:
    share = item.number(key)
    if not 0 < share < 1:
        item.fault(key, "must lie between 0 and 1")
        return 0.5
    return share
