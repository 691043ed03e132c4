"""The verdict on one run: frozen facts, and the document they make."""

from dataclasses import asdict, dataclass
from typing import Any

from engines.charts import Side
from engines.regimes import RegimeSpan, Start, Usage
from engines.traces import Ignored


@dataclass(frozen=True)
class Level:
    """Observed time beyond one value of the chart. [chart's unit, s]"""

    value: float
    seconds: float


@dataclass(frozen=True)
class Margin:
    """How far an excursion was from the next more severe area, in seconds and in value."""

    next_area: str
    seconds: float | None
    value: float | None


@dataclass(frozen=True)
class Excursion:
    """One excursion beyond a chart's limit; times from the first row. [s, chart's unit]"""

    chart: str
    channel: str
    unit: str
    side: Side
    start_s: float | None
    end_s: float | None
    open_ended: bool
    peak: float | None
    seconds_above: float | None
    levels: tuple[Level, ...]
    area: str | None
    area_possible: str | None
    possible: int
    margin: Margin | None
    evidence: str | None = None

    def document(self) -> dict[str, Any]:
        """Return the excursion as the contract writes it; readings carry ``evidence`` besides."""
        own = asdict(self)
        del own["side"]
        own["levels"] = [{self.side: level.value, "seconds": level.seconds} for level in self.levels]
        if self.evidence is None:
            del own["evidence"]
        return own


@dataclass(frozen=True)
class Unobserved:
    """A stretch of time in which a channel was not observed. [s]"""

    channel: str
    start_s: float
    end_s: float


@dataclass(frozen=True)
class NotJudged:
    """A chart that could not be applied, and why."""

    chart: str
    reason: str


@dataclass(frozen=True)
class Verdict:
    """Everything one run's evidence says against the limits in force."""

    samples: int
    regimes: tuple[RegimeSpan, ...] = ()
    starts: tuple[Start, ...] = ()
    usage: Usage | None = None
    unobserved: tuple[Unobserved, ...] = ()
    ignored: tuple[Ignored, ...] = ()
    notes: tuple[str, ...] = ()
    repeats: Any = "not counted"
    not_judged: tuple[NotJudged, ...] = ()
    excursions: tuple[Excursion, ...] = ()

    def document(self) -> dict[str, Any]:
        """Return the verdict as plain data, in the order and with the names of the contract."""
        return {
            "samples": self.samples,
            "regimes": [asdict(r) for r in self.regimes],
            "starts": [asdict(s) for s in self.starts],
            "usage": asdict(self.usage) if self.usage else None,
            "unobserved": [asdict(u) for u in self.unobserved],
            "ignored": [asdict(i) for i in self.ignored],
            "notes": list(self.notes),
            "repeats": self.repeats,
            "not_judged": [asdict(n) for n in self.not_judged],
            "excursions": [e.document() for e in self.excursions],
        }


def excursion_read(document: dict[str, Any]) -> Excursion:
    """Return the excursion that :meth:`Excursion.document` wrote.

    Parameters
    ----------
    document : dict
        One of a verdict document's ``excursions``.

    Returns
    -------
    Excursion
        The same facts.

    Raises
    ------
    KeyError
        If a name of the contract is missing.
    """
    side: Side = "below" if any("below" in level for level in document["levels"]) else "above"
    levels = tuple(Level(level[side], level["seconds"]) for level in document["levels"])
    margin = Margin(**document["margin"]) if document["margin"] else None
    return Excursion(**(document | {"side": side, "levels": levels, "margin": margin}))
