"""The part of an engine type document that says how its starts are told."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Final

from engines.document_fields import Fields
from engines.start_rules import (
    Burst,
    CoolDown,
    Corners,
    DriftRule,
    Envelope,
    Hang,
    Least,
    RunDown,
    Settled,
    Signal,
    StartRules,
)

KNOWN: Final = (
    "starter", "fuel_on", "ignition", "light_off_within_s", "idle_within_s", "hot_above", "hung", "fall_by", "slope_s",
    "settled", "supply", "oil_pressure", "residual_most", "fuel_limiting", "cool_down", "run_down", "envelope", "drift",
    "source",
)  # fmt: skip
FEWEST, MOST_BASELINE = 5, 100  # starts that set a target
FEWEST_CORNERS = 2


def starts_read(root: Fields, units: Mapping[str, str]) -> StartRules | None:
    """Return how a type's starts are told.

    Parameters
    ----------
    root : Fields
        The document.
    units : mapping of str to str
        The channels of the type with their units.

    Returns
    -------
    StartRules or None
        The rules, faults noted in ``root``; None where the document states none.
    """
    if not root.has("starts"):
        return None
    item = root.child("starts")
    item.allow(*KNOWN)
    if not root.has("segmentation"):
        item.fault("starter", "starts are told by the type's segmentation, which is missing")
    return StartRules(
        starter=_signal(item, "starter", units),
        fuel_on=_signal(item, "fuel_on", units),
        ignition=_signal(item, "ignition", units),
        light_off_within_s=_optional(item, "light_off_within_s"),
        idle_within_s=_optional(item, "idle_within_s"),
        hot_above=item.number("hot_above") if item.has("hot_above") else None,
        hung=_hung(item),
        fall_by=_above_nothing(item, "fall_by", default=5.0),
        slope_s=_above_nothing(item, "slope_s", default=2.0),
        settled=_settled(item),
        supply=_least(item, "supply", units),
        oil_pressure=_least(item, "oil_pressure", units),
        residual_most=item.number("residual_most") if item.has("residual_most") else None,
        fuel_limiting=_burst(item, units),
        cool_down=_cool_down(item, units),
        run_down=_run_down(item),
        envelope=_envelope(item),
        drift=_drift(item),
        source=item.text("source", default=""),
    )


def channel_read(item: Fields, units: Mapping[str, str]) -> str:
    """Return the channel that an object names.

    Parameters
    ----------
    item : Fields
        The object.
    units : mapping of str to str
        The channels of the type with their units.

    Returns
    -------
    str
        The name; a fault is noted where the type has no such channel.
    """
    name = item.text("channel", most=60)
    if name and name not in units:
        item.fault("channel", f"“{name}” is not a channel of this type; there are {', '.join(units) or 'none'}")
    return name


def _optional(item: Fields, key: str) -> float | None:
    return item.number(key, least=0.0) if item.has(key) else None


def _above_nothing(item: Fields, key: str, default: float | None = None) -> float:
    """Return a number above 0; without a default it has to be given."""
    number = item.number(key) if default is None else item.number(key, default=default)
    if number <= 0:
        item.fault(key, "must be above 0")
    return number


def _signal(parent: Fields, key: str, units: Mapping[str, str]) -> Signal | None:
    if not parent.has(key):
        return None
    item = parent.child(key)
    item.allow("channel", "above", "drop")
    return _signal_of(item, units)


def _signal_of(item: Fields, units: Mapping[str, str]) -> Signal:
    if item.has("above") == item.has("drop"):
        item.fault("above", "give either above or drop, and not both")
    drop = _above_nothing(item, "drop") if item.has("drop") else None
    above = item.number("above") if item.has("above") else None
    return Signal(channel_read(item, units), above=above, drop=drop)


def _hung(parent: Fields) -> Hang | None:
    if not parent.has("hung"):
        return None
    item = parent.child("hung")
    item.allow("rate", "seconds")
    return Hang(rate=item.number("rate", least=0.0), seconds=_above_nothing(item, "seconds"))


def _settled(parent: Fields) -> Settled | None:
    if not parent.has("settled"):
        return None
    item = parent.child("settled")
    item.allow("after_s", "seconds", "speed_below")
    return Settled(
        after_s=item.number("after_s", least=0.0),
        seconds=_above_nothing(item, "seconds"),
        speed_below=item.number("speed_below"),
    )


def _least(parent: Fields, key: str, units: Mapping[str, str]) -> Least | None:
    if not parent.has(key):
        return None
    item = parent.child(key)
    item.allow("channel", "least", "within_s")
    return Least(channel_read(item, units), least=item.number("least"), within_s=_optional(item, "within_s"))


def _burst(parent: Fields, units: Mapping[str, str]) -> Burst | None:
    if not parent.has("fuel_limiting"):
        return None
    item = parent.child("fuel_limiting")
    item.allow("channel", "above", "drop", "most_s")
    return Burst(_signal_of(item, units), most_s=_above_nothing(item, "most_s"))


def _cool_down(parent: Fields, units: Mapping[str, str]) -> CoolDown | None:
    if not parent.has("cool_down"):
        return None
    item = parent.child("cool_down")
    item.allow("channel", "below", "seconds")
    return CoolDown(channel_read(item, units), below=item.number("below"), seconds=item.number("seconds", least=0.0))


def _run_down(parent: Fields) -> RunDown | None:
    if not parent.has("run_down"):
        return None
    item = parent.child("run_down")
    item.allow("from", "to", "least_s")
    read = RunDown(high=item.number("from"), low=item.number("to"), least_s=_optional(item, "least_s"))
    if not item.faults and not read.low < read.high:
        item.fault("to", "must be below from")
    return read


def _envelope(parent: Fields) -> Envelope:
    if not parent.has("envelope"):
        return Envelope()
    item = parent.child("envelope")
    item.allow("temperature", "speed")
    return Envelope(temperature=_corners(item, "temperature"), speed=_corners(item, "speed"))


def _corners(parent: Fields, key: str) -> Corners:
    if not parent.has(key):
        return ()
    corners = []
    for item in parent.items(key):
        item.allow("at_s", "value")
        corners.append((item.number("at_s"), item.number("value")))
    if len(corners) < FEWEST_CORNERS:
        parent.fault(key, f"must have at least {FEWEST_CORNERS} corners")
    for k, (before, after) in enumerate(pairwise(corners), start=1):
        if after[0] <= before[0]:
            parent.fault(f"{key}[{k}].at_s", "must be later than the one before it")
    return tuple(corners)


def _drift(parent: Fields) -> DriftRule:
    usual = DriftRule()
    if not parent.has("drift"):
        return usual
    item = parent.child("drift")
    item.allow("baseline", "weight", "width", "slack", "decision")
    baseline = item.whole("baseline", least=FEWEST) if item.has("baseline") else usual.baseline
    if baseline > MOST_BASELINE:
        item.fault("baseline", f"must not be above {MOST_BASELINE}")
    weight = _above_nothing(item, "weight", default=usual.weight)
    if weight > 1:
        item.fault("weight", "must not be above 1")
    return DriftRule(
        baseline=baseline,
        weight=weight,
        width=_above_nothing(item, "width", default=usual.width),
        slack=item.number("slack", default=usual.slack, least=0.0),
        decision=_above_nothing(item, "decision", default=usual.decision),
    )
