"""What a typed reading in another unit is in the unit of its limit; what was typed is kept as it is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engines.calibration import Calibration, Indication
from engines.charts import Channel, EngineTypeData, LimitChart
from engines.evidence import ReadingFacts
from engines.scales import PERCENT, scales_of
from engines.units import convert, symbol_of, unit_fits, unit_known


@dataclass(frozen=True)
class ReadAs:
    """A reading in the unit of its limit, ``unit``, and in words by what it was turned into that; "" by units alone."""

    value: float
    unit: str
    by: str = ""


def read_as(
    value: float, unit: str, to: str, indication: Indication | None = None, calibration: Calibration | None = None
) -> ReadAs:
    """Return what a reading is in the unit of its limit.

    Parameters
    ----------
    value : float
        As it was typed. [unit]
    unit, to : str
        The unit that it was typed in, and the limit's.
    indication : Indication or None
        What the type says of how its channel is indicated.
    calibration : Calibration or None
        The engine's own, of the day.

    Returns
    -------
    ReadAs
        By the engine's own calibration where it is of such an instrument, as a recorded column is; of percent, by what
        the type says that 100 % is; else by units alone.

    Raises
    ------
    UnitError
        If the unit is not known, or measures something else that neither calibration nor type turns into the limit's.
    """
    if unit_known(unit) is not None and calibration is not None and unit_fits(unit, calibration.reads):
        read = float(convert(value, unit, calibration.reads))
        return ReadAs(float(convert(calibration.value(read), calibration.unit, to)), to, _by(calibration, read))
    if _is_full(unit, to, indication):
        assert indication is not None and indication.full is not None
        share = float(convert(value, unit, indication.full_unit)) / indication.full
        return ReadAs(100.0 * share, to, f"100 % is {indication.full:g} {symbol_of(indication.full_unit)} by the type")
    return ReadAs(float(convert(value, unit, to)), to)


def _by(calibration: Calibration, read: float) -> str:
    beyond = "" if calibration.holds(read) else ", carried on beyond its pairs"
    return f"the engine's own calibration of {calibration.begins_on}, {calibration.source}{beyond}"


def _is_full(unit: str, to: str, indication: Indication | None) -> bool:
    if indication is None or indication.full is None or unit_known(unit) is None:
        return False
    return unit_known(to) == PERCENT and unit_fits(unit, indication.full_unit)


def readings_as(
    readings: Sequence[ReadingFacts], data: EngineTypeData, calibrations: Mapping[str, Calibration]
) -> dict[int, ReadAs]:
    """Return what typed readings are in the units of their limits, of those that were typed in another.

    Parameters
    ----------
    readings : sequence of ReadingFacts
        As they were typed.
    data : EngineTypeData
        The type, which has the limits.
    calibrations : mapping of str to Calibration
        The engine's own by channel, of the day.

    Returns
    -------
    dict of int to ReadAs
        By the place of the reading, from 0; a reading of no limit, or of an unknown peak, is passed over.

    Raises
    ------
    UnitError
        As :func:`read_as`.
    """
    charts = {chart.name: chart for chart in data.charts}
    found = {}
    for k, reading in enumerate(readings):
        chart = charts.get(reading.chart)
        if chart is None or reading.peak is None or not reading.unit:
            continue
        if (unit_known(reading.unit) or reading.unit) != unit_known(chart.unit):
            found[k] = peak_as(reading.peak, reading.unit, chart, data, calibrations)
    return found


def peak_as(
    peak: float, unit: str, chart: LimitChart, data: EngineTypeData, calibrations: Mapping[str, Calibration]
) -> ReadAs:
    """Return what one reading of a limit is in the limit's unit.

    Parameters
    ----------
    peak : float
        The reading. [unit]
    unit : str
        The unit that it was typed in.
    chart : LimitChart
        The limit.
    data : EngineTypeData
        The type.
    calibrations : mapping of str to Calibration
        The engine's own by channel, of the day.

    Returns
    -------
    ReadAs
        The reading in the limit's unit.

    Raises
    ------
    UnitError
        As :func:`read_as`.
    """
    return read_as(peak, unit, chart.unit, data.indication(chart.channel), calibrations.get(chart.channel))


def units_read(
    chart: LimitChart, channel: Channel, indication: Indication | None, calibration: Calibration | None
) -> tuple[str, ...]:
    """Return the units in which a reading of a limit may be typed on a sheet.

    Parameters
    ----------
    chart : LimitChart
        The limit.
    channel : Channel
        What it is of.
    indication : Indication or None
        What the type says of how it is indicated.
    calibration : Calibration or None
        The engine's own.

    Returns
    -------
    tuple of str
        The limit's own first.
    """
    others = (scale.shown for scale in scales_of(channel, indication, calibration))
    return tuple(dict.fromkeys((chart.unit, *others)))


def steps_of(unit: str, to: str, indication: Indication | None, calibration: Calibration | None) -> list[list[float]]:
    """Return how a phone turns a reading into the limit's unit, as the corners of a broken line.

    Parameters
    ----------
    unit, to : str
        The unit that it is typed in, and the limit's.
    indication : Indication or None
        What the type says of how it is indicated.
    calibration : Calibration or None
        The engine's own.

    Returns
    -------
    list of list of float
        Pairs of reading and value, increasing; the first and last piece are carried on. [unit, to]

    Raises
    ------
    UnitError
        As :func:`read_as`.
    """
    corners = [0.0, 100.0]
    if calibration is not None and unit_fits(unit, calibration.reads):
        corners = [float(convert(read, calibration.reads, unit)) for read, _ in calibration.pairs]
    return [[at, read_as(at, unit, to, indication, calibration).value] for at in corners]
