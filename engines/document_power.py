"""The parts of an engine type document about indication, the operator's own limits, power and trend."""

from collections.abc import Mapping, Sequence

from engines.calibration import Indication
from engines.charts import AdvisoryLimit, LimitChart
from engines.document_fields import Fields
from engines.units import symbol_of, unit_fits, unit_known

PERCENT = "percent"
MOST_NAME = 120


def indications_read(root: Fields, units: Mapping[str, str]) -> tuple[Indication, ...]:
    """Return how channels may be indicated.

    Parameters
    ----------
    root : Fields
        The document.
    units : mapping of str to str
        The channels of the type with their units.

    Returns
    -------
    tuple of Indication
        In order, faults noted in ``root``; none where the document has no ``calibration``.
    """
    if not root.has("calibration"):
        return ()
    found = tuple(_indication(item, units) for item in root.items("calibration"))
    root.unique("calibration", "channel")
    return found


def _indication(item: Fields, units: Mapping[str, str]) -> Indication:
    item.allow("channel", "reads", "full")
    channel = channel_read(item, "channel", units)
    reads = item.texts("reads", most=40) if item.has("reads") else ()
    for k, unit in enumerate(reads):
        if unit_known(unit) is None:
            item.fault(f"reads[{k}]", f"“{unit}” is not a unit that is known here; write for example psi")
        elif unit_fits(unit, units.get(channel, PERCENT)):
            item.fault(f"reads[{k}]", f"{unit} measures what the channel measures, so it needs no calibration")
    full, unit = _full(item, units.get(channel, "")) if item.has("full") else (None, "")
    return Indication(channel, tuple(unit_known(unit) or unit for unit in reads), full, unit)


def _full(item: Fields, of: str) -> tuple[float | None, str]:
    child = item.child("full")
    child.allow("value", "unit")
    if of and of != PERCENT:
        item.fault("full", f"says what 100 % is, and the channel is in {of}")
    value = child.number("value")
    if value <= 0:
        child.fault("value", "must be above 0")
    return value, unit_read(child, "unit")


def advisory_read(root: Fields, charts: Sequence[LimitChart]) -> tuple[AdvisoryLimit, ...]:
    """Return the operator's own limits.

    Parameters
    ----------
    root : Fields
        The document.
    charts : sequence of LimitChart
        The maker's limits.

    Returns
    -------
    tuple of AdvisoryLimit
        In order, faults noted in ``root``: one that is not tighter than the maker's is a fault at its ``limit``; none
        where the document has no ``advisory``.
    """
    if not root.has("advisory"):
        return ()
    by_name = {chart.name: chart for chart in charts}
    found = tuple(_advisory(item, by_name) for item in root.items("advisory"))
    root.unique("advisory", "name")
    return found


def _advisory(item: Fields, charts: Mapping[str, LimitChart]) -> AdvisoryLimit:
    item.allow("name", "chart", "limit", "reason", "engines")
    name, limit = item.text("chart", most=MOST_NAME), item.number("limit")
    chart = charts.get(name)
    if chart is None:
        item.fault("chart", f"“{name}” is not a limit chart of this type; there are {', '.join(charts) or 'none'}")
    elif chart.sign * limit >= chart.sign * chart.limit:
        side = "below" if chart.side == "above" else "above"
        end = f"{chart.limit:g} {symbol_of(chart.unit)}"
        item.fault("limit", f"must be tighter than the maker's: {side} {end}, the limit of {chart.name}")
    return AdvisoryLimit(
        name=item.text("name", most=MOST_NAME),
        chart=name,
        limit=limit,
        reason=item.text("reason", default=""),
        engines=item.texts("engines", most=60) if item.has("engines") else (),
    )


def channel_read(item: Fields, key: str, units: Mapping[str, str]) -> str:
    """Return a field that must be the name of a channel.

    Parameters
    ----------
    item : Fields
        The part of the document.
    key : str
        The field.
    units : mapping of str to str
        The channels of the type with their units.

    Returns
    -------
    str
        The name, a fault noted where there is no such channel.
    """
    name = item.text(key)
    if name and name not in units:
        item.fault(key, f"“{name}” is not a channel of this type; there are {', '.join(units) or 'none'}")
    return name


def unit_read(item: Fields, key: str) -> str:
    """Return a field that must be a unit.

    Parameters
    ----------
    item : Fields
        The part of the document.
    key : str
        The field.

    Returns
    -------
    str
        Its canonical name, a fault noted where it is none.
    """
    unit = item.text(key, most=40)
    known = unit_known(unit) if unit else unit
    if known is None:
        item.fault(key, f"“{unit}” is not a unit that is known here; write for example degC, percent, rpm or psi")
    return known or ""
