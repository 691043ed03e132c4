"""One start of a run with all that is shown of it: how it ended, its figures in words, its course in pictures."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from engines.charts import EngineTypeData
from engines.models import StartCheck
from engines.queries import recording_of
from engines.start_curves import Course, Outside, Spread, outside_of, spread_of
from engines.start_rules import Corners, StartRules
from engines.start_words import FigureLine, Units, shutdown_lines, start_lines
from engines.starts import OUTCOMES, StartFigures
from engines.traces import Trace
from engines.units import symbol_of
from inspections.drawing.start_picture import StartScene, pieces_of
from inspections.drawing.words import figure, quantity, sentence_case
from inspections.models import StartRecord
from inspections.start_queries import past_shutdowns, past_starts, shutdown_after
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

    @property
    def rules(self) -> StartRules:
        """Return what the type says of starts."""
        return self.data.starts or StartRules()

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
        return spread_of(courses)


def start_page(start: StartRecord) -> StartPage:
    """Return all that is shown of a start; its trace is read from where it is stored."""
    judgement = start.judgement
    data = judgement.revision.data
    rules, units = data.starts or StartRules(), units_of(data)
    past, after = past_starts(start), shutdown_after(start)
    before = past_shutdowns(after) if after else []
    return StartPage(
        start=start,
        data=data,
        trace=recording_of(judgement.trace).trace if judgement.trace else None,
        past=tuple(past),
        lines=tuple(start_lines(start.figures, rules, units, [one.figures for one in past])),
        shutdown=tuple(shutdown_lines(after.figures, rules, units, [one.figures for one in before])) if after else (),
        check=check_before(judgement.run.engine, start.at),
        starter=starter_words(start, judgement.run.engine, data),
    )


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
