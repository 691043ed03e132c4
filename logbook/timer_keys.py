"""The keys of the event timer: one for each channel with a high limit, the three that matter most in a start first."""

import json
from dataclasses import dataclass

from engines.charts import Channel, EngineTypeData, LimitChart


@dataclass(frozen=True)
class TimerKey:
    """One key: the channel it is for, what passing its limit is called, and the charts that judge it as JSON."""

    channel: str
    name: str
    plain: str
    charts: str


def timer_keys(engine_type: EngineTypeData) -> list[TimerKey]:
    """Return the keys of a type: over temperature, over torque, over speed, then every other high limit."""
    limits: dict[str, list[LimitChart]] = {}
    for chart in engine_type.charts:
        if chart.side == "above":
            limits.setdefault(chart.channel, []).append(chart)
    named = _named(engine_type, [engine_type.channel(name) for name in limits])
    rest = {name: engine_type.channel(name).label for name in limits if name not in named}
    return [_key(name, called, limits[name]) for name, called in (named | rest).items()]


def _named(engine_type: EngineTypeData, channels: list[Channel]) -> dict[str, str]:
    """Return which channels are the engine's temperature, torque and speed, in this order, where there are such."""
    parts = engine_type.segmentation
    found: dict[str, str] = {}
    for called, own in (
        ("temperature", parts and parts.temperature),
        ("torque", None),
        ("speed", parts and parts.speed),
    ):
        fitting = [c for c in channels if c.name == own] or [
            c for c in channels if called in f"{c.name} {c.label}".lower() and c.name not in found
        ]
        if fitting:
            found[fitting[0].name] = called
    return found


def _key(channel: str, called: str, charts: list[LimitChart]) -> TimerKey:
    judged = [{"name": chart.name, "regimes": chart.regimes} for chart in charts]
    return TimerKey(channel, f"Over {called}" if called.islower() else called, called, json.dumps(judged))
