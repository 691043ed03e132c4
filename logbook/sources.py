"""Where a figure comes from: the samples, the revision and the arithmetic behind a judgement that was stored."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, BinaryIO, cast

import numpy as np
from django.urls import reverse

from engines.charts import EngineTypeData, LimitChart
from engines.errors import TraceError
from engines.models import RunTrace
from engines.queries import recording_of
from engines.recordings import file_rows
from engines.regimes import Segments, segments_of
from engines.traces import Recording
from engines.units import convert, symbol_of
from inspections.explaining import Case, Samples, case_of, peak_row, samples_of
from inspections.explaining_words import Explanation, explanation_of
from inspections.models import Inspection, Judgement
from inspections.queries import judgement_of
from inspections.verdict import Excursion, excursion_read
from inspections.working import rules_once, working_rows
from logbook.pictures import JudgedRun
from logbook.verdict_words import facts_by_chart

AROUND = 10  # rows shown before and after an excursion
MOST_WORKED = 6  # excursions whose arithmetic an entry holds
MOST_NUMBERED = 300_000  # samples of a file whose rows are counted again, which takes about a second
FROM_THE_GAUGE = "It was written down from the gauge; there are no samples."
GONE = "The recorded file is not at hand, or damaged."
# The part of an excursion's sources that each fact opens; what is not named here is about its time.
PARTS = {
    "Measured": "samples",
    "Limit": "rule",
    "Peak": "peak",
    "Lowest": "peak",
    "Area": "area",
    "Area at worst": "worst",
    "Short of the next area": "margin",
    "Called for": "worst",
    "Judged by": "rule",
    "Source of the limit": "revision",
}


@dataclass(frozen=True)
class FactSheet:
    """The facts of one excursion as name, text and part of its sources, with the address of these."""

    address: str
    rows: list[tuple[str, str, str]]


def fact_sheets(run: JudgedRun, chart: LimitChart, judgement: Judgement) -> list[FactSheet]:
    """Return the facts of each excursion of a chart, each leading to where it comes from."""
    places = [place for place, excursion in enumerate(run.excursions, 1) if excursion.chart == chart.name]
    return [
        FactSheet(
            reverse("excursion_source", args=[judgement.run_id, judgement.pk, place]),
            [(name, text, PARTS.get(name, "seconds")) for name, text in facts.items()],
        )
        for place, facts in zip(places, facts_by_chart(run, chart), strict=True)
    ]


def count_address(inspection: Inspection) -> str:
    """Return where the count stands that called for an inspection; "" where an area called for it."""
    kind, _, number = inspection.rule.partition(" ")
    judgement = judgement_of(inspection.run) if kind == "repeat" else None
    for place, count in enumerate(judgement.verdict["repeats"] if judgement else (), 1):
        if (count["chart"], count["index"] + 1) == (inspection.chart, int(number)):
            return reverse("repeat_source", args=[inspection.run_id, judgement.pk if judgement else 0, place])
    return ""


@dataclass(frozen=True)
class SampleLine:
    """One sample as a table shows it; ``file_row`` is None where it is not known. [s, chart's unit, s]"""

    sample: int
    file_row: int | None
    time_s: float
    value: float | None
    beyond_s: float
    is_peak: bool
    is_inside: bool


@dataclass(frozen=True)
class Source:
    """One excursion of a stored judgement, with everything that its figures rest on."""

    judgement: Judgement
    place: int

    @cached_property
    def excursion(self) -> Excursion:
        """Return the excursion; IndexError where the judgement has none at that place, counted from 1."""
        return excursion_read(self.judgement.verdict["excursions"][self.place - 1])

    @cached_property
    def data(self) -> EngineTypeData:
        """Return the type as the revision describes it that judged."""
        return self.judgement.revision.data

    @cached_property
    def recording(self) -> Recording | None:
        """Return the recording that was judged; None where there is none or it can no longer be read."""
        return recording_if_readable(self.judgement.trace)

    @cached_property
    def case(self) -> Case:
        """Return the excursion found again in the recording."""
        return case_of(self.excursion, self.data, self.recording.trace if self.recording else None)

    @cached_property
    def explanation(self) -> Explanation:
        """Return the arithmetic in words."""
        return explanation_of(self.case)

    @cached_property
    def samples(self) -> Samples | None:
        """Return the samples of the excursion and some around it."""
        return samples_of(self.case, AROUND)

    @property
    def no_samples(self) -> str:
        """Return why there are no samples to show."""
        return FROM_THE_GAUGE if self.excursion.evidence is not None else GONE

    @cached_property
    def lines(self) -> list[SampleLine]:
        """Return the samples one by one."""
        samples = self.samples
        if samples is None:
            return []
        numbers, peak = self._file_rows, peak_row(samples, self.case)
        start, end = self.excursion.start_s or 0.0, self.excursion.end_s or 0.0
        return [
            SampleLine(
                sample=row + 1,
                file_row=numbers[row] if numbers else None,
                time_s=float(samples.times[k]),
                value=float(samples.values[k]) if np.isfinite(samples.values[k]) else None,
                beyond_s=float(samples.beyond_s[k]),
                is_peak=k == peak,
                is_inside=bool(start <= samples.times[k] <= end),
            )
            for k, row in enumerate(samples.rows.tolist())
        ]

    @cached_property
    def _file_rows(self) -> list[int] | None:
        """Return the rows of the file as it came, where they are known and not too many to count."""
        trace = self.judgement.trace
        if trace is None or trace.samples > MOST_NUMBERED:
            return None
        columns = {match["channel"]: match["header"] for match in trace.matches}
        try:
            with trace.original.open("rb") as file:
                return file_rows(
                    cast("BinaryIO", file), self.data, trace.samples, columns=columns, name=trace.original_name
                )
        except (OSError, TraceError):
            return None

    def csv(self) -> str:
        """Return the samples as a table for other programs, units in the heading, times in seconds of the record."""
        case = self.case
        unit, own = symbol_of(case.chart.unit), symbol_of(case.channel.unit)
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\r\n")
        heading = ["sample", "file row", "time (s)", f"{case.channel.name} ({unit})"]
        if unit != own:
            heading.append(f"{case.channel.name} ({own})")
        writer.writerow([*heading, "time beyond the limit since the sample before (s)"])
        writer.writerows(self._csv_rows(is_converted=unit != own))
        return text.getvalue()

    def _csv_rows(self, *, is_converted: bool) -> Iterator[list[object]]:
        chart, channel = self.case.chart, self.case.channel
        for line in self.lines:
            own = None if line.value is None else convert(line.value, chart.unit, channel.unit)
            yield [line.sample, line.file_row, line.time_s, line.value, *([own] if is_converted else []), line.beyond_s]


def worked_of(judgement: Judgement) -> dict[str, Any]:
    """Return what an entry holds of the arithmetic: of so many excursions, and how many more there are."""
    recording, data = recording_if_readable(judgement.trace), judgement.revision.data
    found = [excursion_read(document) for document in judgement.verdict["excursions"]]
    cases = [case_of(one, data, recording.trace if recording else None) for one in found[:MOST_WORKED]]
    tables = rules_once([working_rows(explanation_of(case)) for case in cases])
    worked = [
        {"title": f"Excursion {place} of {len(found)}: {case.chart.name}", "rows": [list(row) for row in rows]}
        for place, (case, rows) in enumerate(zip(cases, tables, strict=True), 1)
    ]
    return {"worked": worked, "worked_left": len(found) - len(cases)}


def recording_if_readable(trace: RunTrace | None) -> Recording | None:
    """Return a stored recording, or None where there is none or its file is gone or damaged."""
    try:
        return recording_of(trace) if trace is not None else None
    except (OSError, TraceError):
        return None


def segments_judged(judgement: Judgement) -> Segments | None:
    """Return how a judged run was parted into regimes, worked out again from its recording."""
    recording = recording_if_readable(judgement.trace)
    return segments_of(recording.trace, judgement.revision.data.segmentation) if recording else None
