"""One start of a run with all that is shown of it: how it ended, its figures in words, its course in pictures."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from engines.charts import EngineTypeData
from engines.models import StartCheck
from engines.queries import recording_of
from engines.scales import Scale
from engines.start_curves import Course, Outside, Spread, outside_of, spread_of
from engines.start_rules import Corners, StartRules
from engines.start_scales import course_on, figures_on, rules_on
from engines.start_words import FigureLine, Units, shutdown_lines, start_lines
from engines.starts import OUTCOMES, StartFigures
from engines.traces import Trace
from engines.units import symbol_of
from inspections.drawing.start_picture import StartScene, pieces_of
from inspections.drawing.words import figure, quantity, sentence_case
from inspections.models import ShutdownRecord, StartRecord
from inspections.shown import trace_on, type_on
from inspections.start_queries import past_shutdowns, past_starts, shutdown_after
from logbook.shown_units import shown_words
from logbook.start_checks import check_before
from logbook.starter import starter_words


@dataclass(frozen=True)
class StartPage:
    """One start as it is shown and printed."""

    start: StartRecord
    data: EngineTypeData
    trace: Trace | None
    past: tuple[StartRecord, ...]
    lines: tuple[FigureLine, ...]
    shutdown: tuple[FigureLine, ...]
    check: StartCheck | None = None
    starter: str = ""
    scale: Scale | None = None  # of the temperature, where it is shown otherwise than it is kept

    @property
    def rules(self) -> StartRules:
        """Return what the type says of starts, as it is shown."""
        return rules_on(self.data.starts or StartRules(), self.scale)

    @property
    def figures(self) -> StartFigures:
        """Return the figures of the start."""
        return StartFigures(**self.start.figures)

    @property
    def ended(self) -> str:
        """Return how the start ended, as a sentence."""
        return outcome_words(self.start.outcome, self.start.figures["also"])

    @property
    def is_as_asked(self) -> bool:
        """Return whether it reached idle and no figure lies outside of what the type asks."""
        outside = any(line.is_outside for line in (*self.lines, *self.shutdown))
        return self.start.outcome == "started" and not outside and not self.outside

    @cached_property
    def outside(self) -> list[str]:
        """Return where the course left the type's envelope, in sentences."""
        if self.trace is None or self.data.segmentation is None:
            return []
        names, envelope = self.data.segmentation, self.rules.envelope
        high = outside_of(self.trace, names.temperature, self.figures, envelope.temperature, is_highest=True)
        low = outside_of(self.trace, names.speed, self.figures, envelope.speed, is_highest=False)
        said = [(high, names.temperature, "above"), (low, names.speed, "below")]
        return [outside_words(found, self.data, channel, side) for found, channel, side in said if found is not None]

    @cached_property
    def scenes(self) -> tuple[StartScene, ...]:
        """Return the pictures of temperature and speed; none without a trace."""
        if self.trace is None or self.data.segmentation is None:
            return ()
        names, envelope, hot = self.data.segmentation, self.rules.envelope, self.rules.hot_above
        limit = None if hot is None else (hot, "Hot above")
        found = (
            self._scene(names.temperature, "temperature", envelope.temperature, "highest by the type", limit),
            self._scene(names.speed, "speed", envelope.speed, "lowest by the type", None),
        )
        return tuple(scene for scene in found if scene is not None)

    def _scene(
        self, channel: str, course: str, envelope: Corners, words: str, limit: tuple[float, str] | None
    ) -> StartScene | None:
        assert self.trace is not None
        values = self.trace.channels.get(channel)
        if values is None:
            return None
        lit = self.figures.light_off_s
        about = self.data.channel(channel)
        return StartScene(
            label=about.label,
            unit=about.unit,
            origin="turning" if lit is None else "light-off",
            pieces=pieces_of(
                self.trace.times,
                values,
                self.figures.turning_s if lit is None else lit,
                self.data.gap_of(channel),
            ),
            spread=self._spread(course),
            envelope=() if lit is None else envelope,
            envelope_words=words,
            limit=limit,
        )

    def _spread(self, course: str) -> Spread:
        courses: list[Course] = [tuple(start.curve[course]) for start in self.past if start.curve]
        return spread_of([course_on(one, self.scale) for one in courses] if course == "temperature" else courses)


def start_page(start: StartRecord, scales: Mapping[str, Scale] | None = None) -> StartPage:
    """Return all that is shown of a start; its trace is read from where it is stored.

    With the scales on which a person sees the engine's channels, temperatures are on theirs.
    """
    judgement = start.judgement
    data = judgement.revision.data
    scale = temperature_scale(data, scales or {})
    on = {} if scale is None else {data.segmentation.temperature: scale} if data.segmentation else {}
    shown, trace = type_on(data, on), recording_of(judgement.trace).trace if judgement.trace else None
    past, after = past_starts(start), shutdown_after(start)
    before = past_shutdowns(after) if after else []
    rules, units = rules_on(data.starts or StartRules(), scale), units_of(shown)
    shut = after and figures_on(after.figures, scale)
    return StartPage(
        start=start,
        data=shown,
        trace=None if trace is None else trace_on(trace, on),
        past=tuple(past),
        lines=tuple(start_lines(figures_on(start.figures, scale), rules, units, _told(past, scale))),
        shutdown=tuple(shutdown_lines(shut, rules, units, _told(before, scale))) if shut else (),
        check=check_before(judgement.run.engine, start.at),
        starter=starter_words(start, judgement.run.engine, data),
        scale=scale,
    )


def _told(rows: Iterable[StartRecord | ShutdownRecord], scale: Scale | None) -> list[dict[str, Any]]:
    return [figures_on(one.figures, scale) for one in rows]


def starts_shown_words(data: EngineTypeData, scales: Mapping[str, Scale]) -> list[str]:
    """Return that temperatures of starts are shown otherwise than recorded, in a sentence; none where they are not."""
    scale = temperature_scale(data, scales)
    names = data.segmentation
    return [] if scale is None or names is None else shown_words(data, {names.temperature: scale})


def temperature_scale(data: EngineTypeData, scales: Mapping[str, Scale]) -> Scale | None:
    """Return the scale on which a person sees the temperature by which a type's starts are told."""
    return None if data.segmentation is None else scales.get(data.segmentation.temperature)


def units_of(data: EngineTypeData) -> Units:
    """Return the signs of the units in which a type's starts are told."""
    assert data.segmentation is not None
    supply = data.starts.supply.channel if data.starts and data.starts.supply else None
    names = (data.segmentation.speed, data.segmentation.temperature, supply)
    speed, temperature, volts = (symbol_of(data.channel(name).unit) if name else "V" for name in names)
    return Units(speed, temperature, volts)


def outcome_words(outcome: str, also: Any) -> str:
    """Return how a start ended, worst first, as a sentence."""
    words = ", and ".join(OUTCOMES[name] for name in (outcome, *also) if name == outcome or name != "started")
    reached = "; it reached idle" if "started" in also else ""
    return f"{sentence_case(words)}{reached}."


def outside_words(found: Outside, data: EngineTypeData, channel: str, side: str) -> str:
    """Return where a course left the type's envelope, as a sentence."""
    about = data.channel(channel)
    return (
        f"{about.label} lay {side} the type's envelope from {figure(found.start_s)} s to {figure(found.end_s)} s after "
        f"light-off, by {quantity(found.most, about.unit)} at most."
    )
