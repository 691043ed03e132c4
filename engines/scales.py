"""The scales on which a channel may be shown, beside the unit that it is kept in; what is kept never changes."""

from dataclasses import dataclass
from typing import Final

from engines.calibration import Calibration, Indication
from engines.charts import Channel
from engines.units import Number, convert, convert_difference, unit_fits, unit_known

PERCENT: Final = "percent"
TEMPERATURES: Final = ("degC", "degF")
TORQUES: Final = ("lbf*ft", "N*m")


@dataclass(frozen=True)
class Scale:
    """How a channel kept in ``unit`` is shown in ``shown``: by units alone, by what 100 % is, or by a calibration."""

    unit: str
    shown: str
    full: float | None = None
    full_unit: str = ""
    calibration: Calibration | None = None

    def value(self, value: Number) -> Number:
        """Return values as they are shown. [unit → shown]"""
        if self.calibration is not None:
            return convert(self.calibration.indicated(value), self.calibration.reads, self.shown)
        if self.full is not None:
            return convert(value * self.full / 100.0, self.full_unit, self.shown)
        return convert(value, self.unit, self.shown)

    def difference(self, difference: float, at: float) -> float:
        """Return a difference from a value as it is shown: one of 20 °C is one of 36 °F. [unit → shown]"""
        if self.calibration is None and self.full is None:
            return convert_difference(difference, self.unit, self.shown)
        return self.value(at + difference) - self.value(at)


def scales_of(channel: Channel, indication: Indication | None, calibration: Calibration | None) -> tuple[Scale, ...]:
    """Return the other scales on which a channel may be shown.

    Parameters
    ----------
    channel : Channel
        The channel, with the unit it is kept in.
    indication : Indication or None
        What the type says of how it is indicated.
    calibration : Calibration or None
        The engine's own, where it has one.

    Returns
    -------
    tuple of Scale
        Degrees Celsius and Fahrenheit of a temperature; of a torque in percent lbf·ft and N·m where the type says
        what 100 % is, and what the engine's own instrument reads where it is calibrated. Never the channel's own unit.
    """
    found = [Scale(channel.unit, unit) for unit in _alike(channel.unit)]
    if indication is not None and indication.full is not None:
        units = _alike(indication.full_unit) or (indication.full_unit,)
        found += [Scale(channel.unit, unit, indication.full, indication.full_unit) for unit in units]
    if calibration is not None:
        found.append(Scale(channel.unit, calibration.reads, calibration=calibration))
    return tuple(scale for scale in found if scale.shown != channel.unit)


def _alike(unit: str) -> tuple[str, ...]:
    """Return the units of a temperature or a torque in which people read it; none of anything else."""
    if unit_known(unit) in TEMPERATURES:
        return TEMPERATURES
    return TORQUES if unit_fits(unit, TORQUES[0]) else ()


def scale_chosen(scales: tuple[Scale, ...], unit: str) -> Scale | None:
    """Return the scale that shows a unit.

    Parameters
    ----------
    scales : tuple of Scale
        The scales of a channel.
    unit : str
        The unit asked for, "" for the channel's own.

    Returns
    -------
    Scale or None
        None where the channel is shown as it is kept.
    """
    return next((scale for scale in scales if scale.shown == unit), None)
