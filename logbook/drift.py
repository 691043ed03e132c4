"""How the figures of an engine's starts drift: each as a series with its EWMA and CUSUM charts."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from engines.charts import EngineTypeData
from engines.control_charts import Drift, drift_of
from engines.models import Engine, Run
from engines.scales import Scale
from engines.start_rules import DriftRule, StartRules
from engines.start_scales import resolution_on, value_on
from engines.start_words import SHUTDOWNS, STARTS, WATCHED, WATCHED_AFTER, Units
from inspections.drawing.words import figure
from inspections.models import ShutdownRecord, StartRecord
from inspections.shown import type_on
from inspections.start_queries import engine_shutdowns_kept, engine_starts_kept
from logbook.start_page import temperature_scale, units_of

Rows = Sequence[tuple[datetime, dict[str, Any]]]
MOST: Final = 400  # starts of one engine that are charted, the newest
# The least standard deviation that is believed: instruments round, and a time is no finer than the record's step.
RESOLUTION: Final = {
    "temperature": 1.0, "speed": 0.1, "speed slope": 0.05, "length": 0.5, "supply": 0.1,
}  # fmt: skip


@dataclass(frozen=True)
class Series:
    """One figure of an engine's starts, oldest first, with its charts; None where too few are kept. [``unit``]"""

    key: str
    label: str
    unit: str
    at: tuple[datetime, ...]
    values: tuple[float, ...]
    drift: Drift | None

    def text(self, value: float) -> str:
        """Return one value with its unit, a place finer than single figures are shown."""
        return f"{figure(value, places=2)} {self.unit}"

    @property
    def verdict(self) -> str:
        """Return what the charts say of the newest start, in words."""
        if self.drift is None:
            return f"Too few starts: {len(self.values)} kept"
        return f"Drifts {self.drift.direction}" if self.drift.is_signalled else "No drift"

    @property
    def cells(self) -> list[tuple[str, str]]:
        """Return the newest figure and where the charts stand, each with its heading."""
        newest = self.text(self.values[-1]) if self.values else "not recorded"
        if self.drift is None:
            return [("Newest", newest), *((name, "–") for name in ("Target, SD", "EWMA, limits", "CUSUM"))]
        ewma, cusum = self.drift.ewma, self.drift.cusum
        sums = max(cusum.high[-1], cusum.low[-1])
        return [
            ("Newest", newest),
            ("Target, SD", f"{self.text(self.drift.target)}; SD {self.text(self.drift.sigma)}"),
            ("EWMA, limits", f"{self.text(ewma.values[-1])}; {self.text(ewma.lower)} to {self.text(ewma.upper)}"),
            ("CUSUM", f"{self.text(sums)}; decision value {self.text(cusum.decision)}"),
        ]

    @property
    def is_new(self) -> bool:
        """Return whether the newest start is the first that signals."""
        drift = self.drift
        if drift is None or not drift.is_signalled:
            return False
        before = len(drift.ewma.values) - 2
        return before not in drift.ewma.signals and before not in drift.cusum.signals


def rule_words(rule: DriftRule) -> str:
    """Return by what drift is called out, in a sentence."""
    return (
        f"Target and standard deviation (SD) from the first {rule.baseline} starts since the last overhaul that is "
        f"entered; EWMA with weight {rule.weight:g} and limits at {rule.width:g} standard deviations of the weighted "
        f"mean; CUSUM with slack {rule.slack:g} SD and decision value {rule.decision:g} SD. Source: NIST/SEMATECH "
        "e-Handbook of Statistical Methods, 6.3.2.4 and 6.3.2.3."
    )


def series_of(
    engine: Engine, data: EngineTypeData, until: datetime | None = None, scales: Mapping[str, Scale] | None = None
) -> list[Series]:
    """Return each figure of an engine's starts that is watched, up to a moment; none where the type tells no starts.

    With the scales on which a person sees the engine's channels, temperatures are on theirs.
    """
    if data.segmentation is None:
        return []
    scale = temperature_scale(data, scales or {})
    on = {} if scale is None else {data.segmentation.temperature: scale}
    rules, units = data.starts or StartRules(), units_of(type_on(data, on))
    starts = _newest(engine_starts_kept(engine), engine, until)
    shutdowns = _newest(engine_shutdowns_kept(engine), engine, until)
    watched = [(key, STARTS[key], starts) for key in WATCHED]
    watched += [(key, SHUTDOWNS[key], shutdowns) for key in WATCHED_AFTER]
    by = (rules.drift, scale)
    return [_series(key, named, _on(rows, key, named[1], scale), units, by) for key, named, rows in watched]


def _on(rows: Rows, key: str, kind: str, scale: Scale | None) -> list[tuple[datetime, float]]:
    """Return one figure of some starts where it is known, on the scale that a person sees."""
    return [(at, value_on(figures[key], kind, scale)) for at, figures in rows if figures.get(key) is not None]


def _newest(rows: Any, engine: Engine, until: datetime | None) -> list[tuple[datetime, dict[str, Any]]]:
    if engine.overhauled_on is not None:
        rows = rows.filter(at__date__gte=engine.overhauled_on)
    if until is not None:
        rows = rows.filter(at__lte=until)
    return list(rows.order_by("-at", "-place").values_list("at", "figures")[:MOST])[::-1]


def _series(
    key: str,
    named: tuple[str, str],
    known: Sequence[tuple[datetime, float]],
    units: Units,
    by: tuple[DriftRule, Scale | None],
) -> Series:
    (label, kind), (rule, scale) = named, by
    values = tuple(value for _, value in known)
    drift = drift_of(values, rule, resolution_on(RESOLUTION[kind], kind, scale))
    return Series(key, label, units.sign(kind), tuple(moment for moment, _ in known), values, drift)


def drift_begun(run: Run, data: EngineTypeData) -> Iterator[tuple[str, str]]:
    """Yield each figure whose drift a run's last start, or shutdown, is the first to signal, with the words for it."""
    of_run = {"judgement__run": run, "judgement__is_current": True}
    kept = (StartRecord.objects.filter(**of_run), ShutdownRecord.objects.filter(**of_run))
    moments = {at for rows in kept for at in rows.values_list("at", flat=True)}
    if not moments:
        return
    for series in series_of(run.engine, data, max(moments)):
        if series.is_new and series.at[-1] in moments:
            yield series.label, drift_words(series)


def drift_words(series: Series) -> str:
    """Return where a figure's charts stand, as a sentence."""
    drift = series.drift
    assert drift is not None
    sums = max(drift.cusum.high[-1], drift.cusum.low[-1])
    return (
        f"drifts {drift.direction}: {series.text(series.values[-1])} at the newest start; EWMA "
        f"{series.text(drift.ewma.values[-1])}, limits {series.text(drift.ewma.lower)} to "
        f"{series.text(drift.ewma.upper)}, target {series.text(drift.target)}; CUSUM {series.text(sums)}, decision "
        f"value {series.text(drift.cusum.decision)}"
    )
