"""The units of an engine type as tables of figures, for what judges where no library of units is."""

from functools import cache
from typing import Any

from engines.charts import EngineTypeData
from engines.units import EXACTLY, SPELLINGS, convert, convert_difference, unit_fits, unit_known


def unit_tables(engine_type: EngineTypeData) -> dict[str, Any]:
    """Return how units are spelt, and how readings become readings in the units of a type.

    Parameters
    ----------
    engine_type : EngineTypeData
        Whose channels and charts have the units that readings are turned into.

    Returns
    -------
    dict
        ``names``: a spelling in small letters, or a unit's name, to the unit's name. ``conversions``: from one unit
        to another, the figures of :func:`conversion`; between units of different dimensions there are none.
    """
    wanted = sorted({c.unit for c in engine_type.channels} | {chart.unit for chart in engine_type.charts} | {"s"})
    known = sorted({*SPELLINGS.values(), *wanted})
    return {
        "names": SPELLINGS | {unit: unit for unit in known},
        "conversions": {
            unit: {to: dict(found) for to in wanted if to != unit and (found := conversion(unit, to))} for unit in known
        },
    }


@cache
def conversion(unit: str, to: str) -> dict[str, float] | None:
    """Return the figures by which readings in one unit become readings in another.

    Parameters
    ----------
    unit, to : str
        Names of units.

    Returns
    -------
    dict of str to float, or None
        A reading is ``(reading + before) * times / over + after``, as :func:`engines.units.convert` has it; a
        difference of two, a tolerance, is multiplied by ``difference``. None where they measure different things.

    Raises
    ------
    UnitError
        If one is not known.
    """
    if not unit_fits(unit, to):
        return None
    difference = convert_difference(1.0, unit, to)
    usual = (0.0, difference, 1.0, convert(0.0, unit, to))
    figures = EXACTLY.get((unit_known(unit), unit_known(to)), usual)
    return dict(zip(("before", "times", "over", "after"), figures, strict=True)) | {"difference": difference}
