"""The part of an engine type document that says what is counted, how a trace is counted, and where parts are fitted."""

from collections.abc import Mapping

from engines.counters import COUNT, RESERVED, SECONDS, Counter, CycleRule, ExcursionRule, Position, RangeRule
from engines.document_fields import Fields

MOST_NAME = 60


def counters_read(root: Fields) -> tuple[Counter, ...]:
    """Return what a type counts besides the standard counters.

    Parameters
    ----------
    root : Fields
        The document.

    Returns
    -------
    tuple of Counter
        The counters, faults noted in ``root``; none where the document has none.
    """
    if not root.has("counters"):
        return ()
    found = tuple(_counter(item) for item in root.items("counters"))
    root.unique("counters", "name")
    return found


def _counter(item: Fields) -> Counter:
    item.allow("name", "label", "unit")
    name = item.text("name", most=MOST_NAME)
    if name in RESERVED:
        item.fault("name", f"“{name}” is counted of every type; choose another name")
    label = item.text("label", default=name, most=MOST_NAME)
    return Counter(name=name, label=label, unit=item.choice("unit", (COUNT, SECONDS)))


def partial_cycles_read(root: Fields, units: Mapping[str, str]) -> CycleRule | None:
    """Return how partial cycles are counted in a trace.

    Parameters
    ----------
    root : Fields
        The document.
    units : mapping of str to str
        The channels of the type with their units.

    Returns
    -------
    ExcursionRule or RangeRule or None
        The rule, faults noted in ``root``; None where the document states none.
    """
    if not root.has("partial_cycles"):
        return None
    item = root.child("partial_cycles")
    if item.choice("method", ("excursions", "ranges")) == "excursions":
        return _excursions(item, units, "method")
    item.allow("method", "channel", "least")
    least = item.number("least")
    if least <= 0:
        item.fault("least", "must be above 0")
    return RangeRule(channel=_channel(item, units), least=least)


def airborne_read(root: Fields, units: Mapping[str, str]) -> ExcursionRule | None:
    """Return how a trace tells being off the surface.

    Parameters
    ----------
    root : Fields
        The document.
    units : mapping of str to str
        The channels of the type with their units.

    Returns
    -------
    ExcursionRule or None
        The rule, faults noted in ``root``; None where the document states none.
    """
    return _excursions(root.child("airborne"), units) if root.has("airborne") else None


def _excursions(item: Fields, units: Mapping[str, str], *more: str) -> ExcursionRule:
    item.allow(*more, "channel", "low", "high")
    rule = ExcursionRule(channel=_channel(item, units), low=item.number("low"), high=item.number("high"))
    if not item.faults and not rule.low < rule.high:
        item.fault("high", "must be above low")
    return rule


def _channel(item: Fields, units: Mapping[str, str]) -> str:
    name = item.text("channel")
    if name and name not in units:
        item.fault("channel", f"“{name}” is not a channel of this type; there are {', '.join(units) or 'none'}")
    return name


def positions_read(root: Fields) -> tuple[Position, ...]:
    """Return the places for parts.

    Parameters
    ----------
    root : Fields
        The document.

    Returns
    -------
    tuple of Position
        The places, faults noted in ``root``; none where the document has none.
    """
    if not root.has("positions"):
        return ()
    items = root.items("positions")
    found = tuple(_position(item) for item in items)
    root.unique("positions", "name")
    before: set[str] = set()
    for item, place in zip(items, found, strict=True):
        if place.within and place.within not in before:
            item.fault("within", f"“{place.within}” must be the name of a place that stands before this one")
        before.add(place.name)
    return found


def _position(item: Fields) -> Position:
    item.allow("name", "within", "part_numbers")
    return Position(
        name=item.text("name", most=MOST_NAME),
        within=item.text("within", default="", most=MOST_NAME),
        part_numbers=item.texts("part_numbers", most=MOST_NAME) if item.has("part_numbers") else (),
    )
