"""Limit charts as data: what may be read for how long, and what each area beyond calls for."""

from dataclasses import dataclass
from typing import Literal

from engines.calibration import Indication
from engines.counters import Counter, CycleRule, ExcursionRule, Position
from engines.first_starts import FirstStartRules
from engines.power_rules import PowerRules, TrendRules
from engines.start_checks import CheckList
from engines.start_rules import StartRules
from engines.starter_duty import DutyCycle
from engines.tasks import TaskData

Side = Literal["above", "below"]
Method = Literal["peak", "time_above"]
Boundary = Literal["step", "linear"]
OnBoundary = Literal["within", "beyond"]
RegimeName = Literal["starting", "running", "stopping"]


@dataclass(frozen=True)
class Action:
    """What the approved data calls for when an area is entered or a count is reached."""

    summary: str
    before_next_flight: bool
    steps: tuple[str, ...] = ()
    required_inspection_item: bool = False
    reference: str = ""


@dataclass(frozen=True)
class Vertex:
    """One corner of an area's edge: ``seconds`` allowed beyond ``value`` (as read, in the chart's unit)."""

    value: float
    seconds: float


@dataclass(frozen=True)
class Area:
    """A region of the (time, value) plane beyond an allowed-time function, with its action."""

    name: str
    allowed: tuple[Vertex, ...]
    action: Action


@dataclass(frozen=True)
class Repeat:
    """How often, or for how long in all, a transient may happen before its action is called for.

    Either ``area`` and ``count`` are given, or ``above`` and ``seconds``. ``since`` is ``"new"``,
    ``"overhaul"``, or one of the pairs ``("action", summary)`` and ``("hours", hours)``.
    """

    action: Action
    since: str | tuple[str, str | float]
    area: str | None = None
    count: int | None = None
    above: float | None = None
    seconds: float | None = None
    unless_cause: str | None = None


@dataclass(frozen=True)
class LimitChart:
    """The limit of one channel in some or all regimes, with the areas beyond it, mildest first."""

    name: str
    channel: str
    unit: str
    limit: float
    areas: tuple[Area, ...]
    regimes: tuple[RegimeName, ...] | None = None
    side: Side = "above"
    method: Method = "peak"
    boundary: Boundary = "step"
    on_boundary: OnBoundary = "within"
    rejoin_s: float = 0.0
    accumulate: Literal["excursion", "run"] = "excursion"
    repeats: tuple[Repeat, ...] = ()
    source: str = ""

    @property
    def sign(self) -> float:
        """Return 1.0 for a high limit and -1.0 for a low one, by which readings are multiplied."""
        return 1.0 if self.side == "above" else -1.0


@dataclass(frozen=True)
class AdvisoryLimit:
    """A limit of the operator's own, tighter than the maker's ``chart``; of the engines of some serials, or of all.

    ``limit`` is in the chart's unit. Beyond it nothing is called for; it is listed and counted.
    """

    name: str
    chart: str
    limit: float
    reason: str = ""
    engines: tuple[str, ...] = ()

    def is_of(self, serial: str) -> bool:
        """Return whether the limit is one of the engine with that serial."""
        return not self.engines or serial in self.engines


@dataclass(frozen=True)
class Channel:
    """One measured quantity of an engine type, with its unit and the instrument's tolerance."""

    name: str
    label: str
    unit: str
    tolerance: float = 0.0
    max_gap_s: float | None = None


@dataclass(frozen=True)
class Segmentation:
    """The speeds and the temperature rise that part a run into regimes."""

    speed: str
    temperature: str
    turning: float
    idle: float
    stopping_below: float
    light_off_rise: float


@dataclass(frozen=True)
class EngineTypeData:
    """An engine type as the computation needs it: channels, segmentation, limit charts, what is counted, places, tasks.

    ``partial_cycles`` is how partial cycles are counted in a trace, ``airborne`` how a trace tells flight;
    ``counters`` is what is counted besides the standard counters, ``starts`` how starts are told, ``checks`` what is
    checked before one, ``motoring_counts`` what motoring counts for, ``first_start`` after what a first start is asked
    for and how it is made, ``indications`` how channels may be indicated, ``advisory`` the operator's own limits,
    ``power`` and ``trend`` how power is checked and condition followed.
    """

    name: str
    channels: tuple[Channel, ...]
    charts: tuple[LimitChart, ...]
    segmentation: Segmentation | None = None
    max_gap_s: float = 2.0
    counters: tuple[Counter, ...] = ()
    partial_cycles: CycleRule | None = None
    airborne: ExcursionRule | None = None
    positions: tuple[Position, ...] = ()
    tasks: tuple[TaskData, ...] = ()
    starts: StartRules | None = None
    checks: CheckList | None = None
    starter: DutyCycle | None = None
    motoring_counts: tuple[str, ...] = ()
    first_start: FirstStartRules | None = None
    indications: tuple[Indication, ...] = ()
    advisory: tuple[AdvisoryLimit, ...] = ()
    power: PowerRules | None = None
    trend: TrendRules | None = None

    def channel(self, name: str) -> Channel:
        """Return the channel of that name; KeyError if there is none."""
        return {c.name: c for c in self.channels}[name]

    def indication(self, name: str) -> Indication | None:
        """Return how the channel of that name may be indicated besides; None where the type does not say."""
        return next((indication for indication in self.indications if indication.channel == name), None)

    def gap_of(self, name: str) -> float:
        """Return the longest step that still joins two samples of a channel. [s]"""
        own = self.channel(name).max_gap_s
        return self.max_gap_s if own is None else own
