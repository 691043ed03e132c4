"""The sheet on which a run is recorded."""

import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.forms import BoundField
from django.utils import timezone

from engines.charts import EngineTypeData, LimitChart
from engines.counters import SECONDS, Counter
from engines.errors import DomainError
from engines.evidence import ReadingFacts, RunFacts
from engines.latest import LastReading, latest_of, meter_before
from engines.meter import MeterBefore
from engines.models import Engine, Run
from engines.queries import calibrations_on, readings_turned
from engines.questions import Question, questions_of
from engines.readings_as import peak_as, units_read
from engines.times import seconds_of_hours
from engines.timing import timed_read, timed_seconds
from engines.units import symbol_of
from inspections.drawing.facts import limit_text
from inspections.readings import is_beyond
from logbook.forms.fields import TEXT, CountField, DecimalTextField, MomentField, NotKnownField, as_typed
from logbook.forms.questions import AskingSheet
from logbook.forms.supervising import people_fields, people_said
from logbook.forms.traces import file_checked
from logbook.shown_units import unit_for
from logbook.traces_waiting import run_time_shown

SENT_BEFORE = (
    "This sheet was sent before, with other figures, and that run is recorded. "
    "Look at the run on the engine's page; begin a new sheet for another run."
)
CLOCKS_APART = timedelta(minutes=10)
# The box of what a run states under another name.
BOXES = {
    "typed_run_time_s": "run_time",
    "typed_time_in_service_s": "time_in_service",
    "typed_starts": "starts",
    "typed_cycles": "cycles",
    "typed_partial_cycles": "partial_cycles",
    "typed_starter_s": "starter",
}


@dataclass(frozen=True)
class ReadingBoxes:
    """The boxes of one limit chart, its unit's where there is a choice, and what the event timer measured. [s]"""

    chart: LimitChart
    limit: str
    timed: float | None
    unit: BoundField | None
    peak: BoundField
    peak_unknown: BoundField
    seconds: BoundField
    seconds_unknown: BoundField


class RunForm(AskingSheet):
    """One run: what sort, when, what it used, what was read beyond a limit, and the recorder's file."""

    id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    kind = forms.ChoiceField(label="What was it?", choices=Run.Kind.choices, widget=forms.RadioSelect)
    started_at = MomentField(label="Began at")
    run_time = DecimalTextField(label="Run time", unit="h", help_text="Light-off to shutdown, for example 0.4.")
    time_in_service = DecimalTextField(
        label="Time in service", unit="h", help_text="Flights only: from leaving the surface to touchdown."
    )
    starts = CountField(label="Starts", help_text="Light-ups counted.")
    cycles = CountField(label="Cycles", help_text="Full cycles.")
    partial_cycles = CountField(label="Partial cycles", help_text="Power again without a stop between.")
    meter = DecimalTextField(
        label="Hour meter at the end", unit="h", help_text="As it stands on the engine's or airframe's own meter."
    )
    starter = DecimalTextField(
        label="Starter engaged", unit="s", help_text="For motoring, and for a start without a trace."
    )
    trace = forms.FileField(
        label="Recorded trace",
        required=False,
        help_text="The recorder's file, CSV or Parquet, if there is one. It can be added later.",
    )
    remarks = forms.CharField(label="Remarks", required=False, widget=forms.Textarea({**TEXT, "rows": 3}))
    timed = forms.CharField(label="The event timer", required=False, widget=forms.HiddenInput)
    file_box = "trace"
    required_words = {
        "kind": "Choose what it was.",
        "started_at": "Give the day and the time at which it began.",
        "id": "Open this screen again: its number for the run is missing.",
    }

    def __init__(
        self,
        *args: Any,
        engine_type: EngineTypeData,
        engine: Engine,
        chosen: Mapping[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.engine_type, self.engine = engine_type, engine
        self.calibrations = calibrations_on(engine, self.day())
        if engine_type.partial_cycles is None:
            del self.fields["partial_cycles"]
        self.fields |= people_fields(engine)
        for n, counter in enumerate(engine_type.counters):
            self.fields[f"counter_{n}"] = counter_field(counter)
        self.fields["started_at"].help_text = f"Day and time, {timezone.get_current_timezone_name()}."
        for n, chart in enumerate(engine_type.charts):
            self.fields.update(reading_fields(n, chart))
            self._unit_offered(n, chart, chosen or {})
        places = {chart.name: f"peak_{n}" for n, chart in enumerate(engine_type.charts)}
        for name, last in self.last_read().items():
            last_shown(self.fields.get(places.get(name, name)), last)

    def _unit_offered(self, n: int, chart: LimitChart, chosen: Mapping[str, str]) -> None:
        """Give a box for the unit of a reading where its instrument may read in another than the limit's."""
        channel = self.engine_type.channel(chart.channel)
        indication, calibration = self.engine_type.indication(channel.name), self.calibrations.get(channel.name)
        units = tuple(dict.fromkeys((*units_read(chart, channel, indication, calibration), *self.also_read(chart))))
        if len(units) > 1:
            own = unit_for(channel, chosen)
            self.fields[unit_name(n)] = unit_field(chart, units, own if own in units else chart.unit)
            self.fields[f"peak_{n}"].widget.unit = ""

    def day(self) -> date:
        """Return the day whose calibrations say in which units a reading may be typed."""
        return timezone.localdate()

    def also_read(self, chart: LimitChart) -> tuple[str, ...]:
        """Return further units that a reading of a limit stands in."""
        return ()

    def last_read(self) -> dict[str, LastReading]:
        """Return what was read last, by the box beside which it is shown."""
        return latest_of(self.engine)

    def readings(self) -> Iterator[ReadingBoxes]:
        """Yield the boxes of each chart, in the order of the type's document."""
        for n, chart in enumerate(self.engine_type.charts):
            record = getattr(self, "cleaned_data", {}).get("timed") or {}
            yield ReadingBoxes(
                chart,
                f"Limit {limit_text(chart)}, not {chart.side}",
                timed_seconds(record, chart.name),
                self[unit_name(n)] if unit_name(n) in self.fields else None,
                *(self[name] for name in reading_names(n)),
            )

    def refuse(self, error: DomainError) -> None:
        """Say in plain words that a sheet was sent twice with different figures."""
        if error.code == "id_used_with_other_body":
            self.add_error(None, SENT_BEFORE)
        else:
            fields = {BOXES.get(name, name): words for name, words in error.fields.items()}
            super().refuse(DomainError(error.message, code=error.code, fields=fields) if fields else error)

    def clean_trace(self) -> "UploadedFile[Any] | None":
        """Refuse a file that is too large to be taken."""
        return file_checked(self.cleaned_data["trace"])

    def clean_started_at(self) -> Any:
        """Refuse a run that has not begun yet."""
        started_at = self.cleaned_data["started_at"]
        if started_at > timezone.now() + CLOCKS_APART:
            raise forms.ValidationError("That is still to come. Give the day and the time at which the run began.")
        return started_at

    def clean_timed(self) -> dict[str, Any]:
        """Read what the event timer handed over."""
        charts = [chart.name for chart in self.engine_type.charts]
        return as_typed(lambda text: timed_read(text, charts), self.cleaned_data["timed"])

    def clean(self) -> dict[str, Any]:
        """Refuse a reading of which one half is neither given nor said to be unknown; ask about what is unlikely."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for n, chart in enumerate(self.engine_type.charts):
            self._clean_reading(n, chart)
        if self.errors.keys() - set(self.asked_apart):
            self.reasons_kept()
        else:
            self.ask(self._questions())
        return data

    def _questions(self) -> list[tuple[str, Question]]:
        """Return what is unlikely, each with the name of its box."""
        facts, charts = self.facts(), self.engine_type.charts
        before = self.meter_before(facts.started_at)
        places = {chart.name: n for n, chart in enumerate(charts)}
        boxes = {
            f"readings[{k}].{half}": f"{half}_{places[reading.chart]}"
            for k, reading in enumerate(facts.readings)
            for half in ("peak", "seconds")
        }
        turned = readings_turned(self.engine, facts, self.engine_type)
        asked = questions_of(facts, charts, before=before, run_time_s=self.run_time_shown(), turned=turned)
        return [(boxes.get(question.key, question.key), question) for question in asked]

    def meter_before(self, at: datetime) -> MeterBefore | None:
        """Return the hour meter's last reading before the run."""
        return meter_before(self.engine, at)

    def run_time_shown(self) -> int | None:
        """Return the run time that the file shows, where it matters. [s]"""
        data = self.cleaned_data
        if data["trace"] and data["meter"] is not None and data["run_time"] is None:
            return run_time_shown(self.engine, data["started_at"], data["trace"])
        return None

    def _clean_reading(self, n: int, chart: LimitChart) -> None:
        data = self.cleaned_data
        self.take_timed(n, chart)
        peak, peak_unknown, seconds, seconds_unknown = (data.get(name) for name in reading_names(n))
        if f"peak_{n}" in self.errors or f"seconds_{n}" in self.errors:
            return
        given = [peak is not None, peak_unknown, seconds is not None, seconds_unknown]
        if peak is not None and not any(given[1:]) and not is_beyond(chart, self._in_chart(n, chart, float(peak))):
            data[f"seconds_{n}"] = Decimal(0)
        elif any(given):
            self._one_of(f"peak_{n}", given[:2], "Give the reading, or choose “Not known”; not both.")
            self._one_of(f"seconds_{n}", given[2:], "Give the seconds, or choose “Not known”; not both.")

    def _unit(self, n: int, chart: LimitChart) -> str:
        """Return the unit in which a reading was typed."""
        return str(self.cleaned_data.get(unit_name(n)) or chart.unit)

    def _in_chart(self, n: int, chart: LimitChart, peak: float) -> float:
        """Return a reading in the limit's unit, by the calibrations of the day of the run."""
        unit, began = self._unit(n, chart), self.cleaned_data.get("started_at")
        if unit == chart.unit:
            return peak
        calibrations = self.calibrations if began is None else calibrations_on(self.engine, began.date())
        try:
            return peak_as(peak, unit, chart, self.engine_type, calibrations).value
        except DomainError as error:
            self.add_error(f"peak_{n}", error.message)
            return peak

    def take_timed(self, n: int, chart: LimitChart) -> None:
        """Put what was timed where no seconds are typed."""
        data = self.cleaned_data
        timed = timed_seconds(data.get("timed") or {}, chart.name)
        if timed is not None and data.get(f"seconds_{n}") is None and not data.get(f"seconds_{n}_unknown"):
            data[f"seconds_{n}"] = Decimal(repr(timed))

    def _one_of(self, name: str, given: list[Any], words: str) -> None:
        if sum(map(bool, given)) != 1:
            self.add_error(name, words)

    def facts(self) -> RunFacts:
        """Return the run as typed, for the action that records it."""
        data = self.cleaned_data
        return RunFacts(
            id=data["id"],
            kind=data["kind"],
            started_at=data["started_at"],
            remarks=data["remarks"],
            typed_run_time_s=seconds_of(data["run_time"]),
            typed_time_in_service_s=seconds_of(data["time_in_service"]),
            typed_starts=data["starts"],
            typed_cycles=data["cycles"],
            typed_partial_cycles=data.get("partial_cycles"),
            typed_meter_h=None if data["meter"] is None else float(data["meter"]),
            readings=tuple(self._reading_facts()),
            timed=data["timed"],
            reasons=self.reasons,
            other=self._counted_besides(),
            **self.besides_said(),
        )

    def besides_said(self) -> dict[str, Any]:
        """Return how long the starter was engaged, and the two people of a supervised start."""
        starter = self.cleaned_data["starter"]
        return {"typed_starter_s": None if starter is None else float(starter), **people_said(self.cleaned_data)}

    def _counted_besides(self) -> dict[str, int]:
        """Return what was counted of the type's own counters."""
        typed = {counter.name: self.cleaned_data[f"counter_{n}"] for n, counter in enumerate(self.engine_type.counters)}
        return {name: seconds_of(v) or 0 if isinstance(v, Decimal) else v for name, v in typed.items() if v}

    def besides(self) -> list[BoundField]:
        """Return the boxes of what the type counts besides starts and full cycles."""
        names = ["partial_cycles", *(f"counter_{n}" for n in range(len(self.engine_type.counters)))]
        return [self[name] for name in names if name in self.fields]

    def _reading_facts(self) -> Iterator[ReadingFacts]:
        for n, chart in enumerate(self.engine_type.charts):
            peak, peak_unknown, seconds, seconds_unknown = (self.cleaned_data[name] for name in reading_names(n))
            if peak is not None or peak_unknown or seconds is not None or seconds_unknown:
                yield ReadingFacts(
                    chart=chart.name,
                    peak=None if peak is None else float(peak),
                    seconds=None if seconds is None else float(seconds),
                    unit=self._unit(n, chart),
                    timed_seconds=timed_seconds(self.cleaned_data["timed"], chart.name),
                )


def counter_field(counter: Counter) -> forms.Field:
    """Return the box of a counter that the type defines."""
    if counter.unit == SECONDS:
        return DecimalTextField(label=counter.label, unit="h")
    return CountField(label=counter.label)


def reading_names(n: int) -> tuple[str, str, str, str]:
    """Return the names of the boxes of one chart: reading, not known, seconds, not known."""
    return f"peak_{n}", f"peak_{n}_unknown", f"seconds_{n}", f"seconds_{n}_unknown"


def unit_name(n: int) -> str:
    """Return the name of the box of the unit in which one chart's reading is typed."""
    return f"read_in_{n}"


def unit_field(chart: LimitChart, units: Sequence[str], initial: str) -> forms.Field:
    """Return the box of the unit of a reading."""
    choices = [(unit, symbol_of(unit)) for unit in units]
    return forms.ChoiceField(
        label="Unit",
        choices=choices,
        initial=initial,
        required=False,
        widget=forms.Select({"aria-label": f"Unit of the reading, {chart.name}"}),
        help_text=f"The limit is in {symbol_of(chart.unit)}; another is kept as read, and converted.",
    )


def reading_fields(n: int, chart: LimitChart) -> dict[str, forms.Field]:
    """Return the boxes of one chart by name."""
    extreme = "Highest" if chart.side == "above" else "Lowest"
    fields = (
        DecimalTextField(label=f"{extreme} reading", unit=chart.unit, may_be_negative=True),
        NotKnownField("Reading not known"),
        DecimalTextField(label=f"Seconds {chart.side} the limit", unit="s"),
        NotKnownField("Seconds not known"),
    )
    for field in fields:
        field.about = chart.name
    return dict(zip(reading_names(n), fields, strict=True))


def last_shown(field: forms.Field | None, last: LastReading) -> None:
    """Say beside a box what was read last, when and by whom; the box itself stays empty."""
    if field is None:
        return
    said = f"Last: {last.value:f} {symbol_of(last.unit)}, {last.on}, {last.by}."
    field.help_text = f"{said} {field.help_text}".strip()
    field.widget.attrs |= {"data-last": f"{last.value:f}", "data-since": str(last.on)}


def seconds_of(hours: Decimal | None) -> int | None:
    """Return hours as whole seconds, or None where none were typed."""
    return None if hours is None else seconds_of_hours(hours)
