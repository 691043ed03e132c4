"""The engine type document as exact rationals, low limits with their sign turned."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

MICROSECOND = Fraction(1, 10**6)
ALL_REGIMES = frozenset({"starting", "running", "stopping"})


def exact(number: object) -> Fraction:
    """Return a number of the document as the rational it stands for."""
    if isinstance(number, int | float | str | Fraction):
        return Fraction(number)
    raise ValueError(f"{number!r} is not a number.")


def longer(seconds: Fraction, bound: Fraction) -> bool:
    """Tell whether a time is longer than its bound by more than a microsecond."""
    return seconds - bound > MICROSECOND


@dataclass(frozen=True)
class Area:
    """An area's name and the corners of its edge: pairs of signed value and allowed seconds."""

    name: str
    corners: tuple[tuple[Fraction, Fraction], ...]
    linear: bool


@dataclass(frozen=True)
class Chart:
    """A limit chart with signed values, so that every limit is a high one."""

    name: str
    channel: str
    unit: str
    side: str
    limit: Fraction
    areas: tuple[Area, ...]
    regimes: frozenset[str] | None
    by_peak: bool
    on_line_is_out: bool
    rejoin_s: Fraction
    pooled: bool
    tolerance: Fraction

    @property
    def sign(self) -> int:
        """Return the factor that turns a reading into the signed value."""
        return 1 if self.side == "above" else -1

    def is_out(self, value: Fraction) -> bool:
        """Tell whether a signed value is beyond the limit."""
        return value >= self.limit if self.on_line_is_out else value > self.limit

    def levels(self) -> list[Fraction]:
        """Return the limit and every corner's signed value once, from the limit outwards."""
        return sorted({self.limit} | {value for area in self.areas for value, _ in area.corners})


def channel_of(document: dict[str, Any], name: str) -> dict[str, Any]:
    """Return a channel's part of the document."""
    return next(channel for channel in document["channels"] if channel["name"] == name)


def max_gap(document: dict[str, Any], name: str) -> Fraction:
    """Return the longest step that joins two samples of a channel."""
    return exact(channel_of(document, name).get("max_gap_s", document.get("max_gap_s", 2)))


def area_read(part: dict[str, Any], side: str, linear: bool) -> Area:
    """Return one area of a chart with its values signed."""
    sign = 1 if side == "above" else -1
    corners = tuple((sign * exact(corner[side]), exact(corner["seconds"])) for corner in part["allowed"])
    return Area(part["name"], corners, linear)


def chart_read(document: dict[str, Any], part: dict[str, Any]) -> Chart:
    """Return one chart of the document, defaults filled in."""
    channel = channel_of(document, part["channel"])
    if part["unit"] != channel["unit"]:
        raise ValueError(f"{part['name']}: unit {part['unit']} is not the channel's {channel['unit']}.")
    side = part.get("side", "above")
    linear = part.get("boundary", "step") == "linear"
    regimes = part.get("regimes")
    return Chart(
        name=part["name"],
        channel=part["channel"],
        unit=part["unit"],
        side=side,
        limit=exact(part["limit"]) * (1 if side == "above" else -1),
        areas=tuple(area_read(area, side, linear) for area in part["areas"]),
        regimes=None if regimes is None else frozenset(regimes),
        by_peak=part.get("method", "peak") == "peak",
        on_line_is_out=part.get("on_boundary", "within") == "beyond",
        rejoin_s=exact(part.get("rejoin_s", 0)),
        pooled=part.get("accumulate", "excursion") == "run",
        tolerance=exact(channel.get("tolerance", 0)),
    )
