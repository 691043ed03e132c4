"""The sheets on which what is signed is corrected: as it stands, why, and by whose certificate."""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.utils import timezone

from engines.evidence import ReadingFacts, RunFacts
from engines.latest import LastReading, meter_before
from engines.meter import MeterBefore
from engines.models import Reading, Run
from engines.queries import revision_in_force
from engines.questions import Question
from engines.timing import timed_seconds
from inspections import states
from inspections.drawing.words import figure
from logbook.corrections import Correcting
from logbook.forms.fields import TEXT, DayField
from logbook.forms.maintenance import (
    CalibrationSheet,
    FoundLine,
    InspectionSheet,
    MaintenanceSheet,
    MeterSheet,
    OpeningSheet,
    WorkSheet,
    plain,
    shown,
)
from logbook.forms.photos import AddendumForm
from logbook.forms.questions import mark_of
from logbook.forms.run import RunForm, reading_names, seconds_of, unit_name
from logbook.forms.signing import SECRETS, SignForm, SigningSheet
from logbook.maintenance.actions import CERTIFIED
from logbook.maintenance.correcting import FIXED, OF_LINES
from logbook.maintenance.rows import Work
from logbook.maintenance.rules import rules_of
from logbook.models import Entry

HOUR_S: Final = 3600
LONGEST_WHY: Final = 600
PLACES: Final = 5  # of hours, by which every whole second is told from the next
WHY_WORDS: Final = "Say why it is corrected."
FIGURES: Final = {"typed_starts": "starts", "typed_cycles": "cycles"}
HOURS: Final = {"typed_run_time_s": "run_time", "typed_time_in_service_s": "time_in_service"}


class CorrectingSheet(SigningSheet):
    """Why something is corrected; a certificate is named where the signer has one."""

    why = forms.CharField(
        label="Why is it corrected?",
        max_length=LONGEST_WHY,
        widget=forms.Textarea({**TEXT, "rows": 3}),
        help_text="Stands in the new entry, beside what changes.",
    )
    required_words = {**SigningSheet.required_words, "why": WHY_WORDS}
    is_certified = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["certificate"].required = self.is_certified

    @property
    def stated(self) -> list[forms.BoundField]:
        """Return the boxes of what is stated."""
        return [self[name] for name in self.fields if name not in CorrectingSheet.base_fields]

    def correcting(self) -> Correcting:
        """Return who corrects, why, and how they sign."""
        data = self.cleaned_data
        return Correcting(self.person, data["why"], self.signing(), data.get("read", ""))


class RunVoidForm(CorrectingSheet):
    """Why a run never took place on its engine."""

    required_words = {**CorrectingSheet.required_words, "why": "Say why it never took place on this engine."}


class RunCorrectForm(RunForm, CorrectingSheet):
    """A run as it stands, to be put right; what is left as it is stays to the second and in its own unit."""

    id = None  # type: ignore[assignment]
    trace = None  # type: ignore[assignment]
    timed = None  # type: ignore[assignment]
    asked_apart = SECRETS
    required_words = {
        "kind": RunForm.required_words["kind"],
        "started_at": RunForm.required_words["started_at"],
        **CorrectingSheet.required_words,
    }

    def __init__(self, *args: Any, run: Run, **kwargs: Any) -> None:
        self.run = run
        revision = revision_in_force(run.engine.engine_type, run.started_at.date())
        self.standing = {reading.chart: reading for reading in reversed(run.standing_readings)}
        initial = run_initial(run) | dict(self._readings_initial(revision.data.charts)) | kwargs.pop("initial", {})
        super().__init__(*args, engine_type=revision.data, engine=run.engine, initial=initial, **kwargs)

    def last_read(self) -> dict[str, LastReading]:
        """Show nothing beside a box: what stands is in it."""
        return {}

    def day(self) -> date:
        """Return the day of the run."""
        return self.run.started_at.date()

    def also_read(self, chart: Any) -> tuple[str, ...]:
        """Return the unit that a reading stands in."""
        standing = self.standing.get(chart.name)
        return () if standing is None else (standing.unit,)

    def _readings_initial(self, charts: Any) -> Iterator[tuple[str, Any]]:
        for n, chart in enumerate(charts):
            reading = self.standing.get(chart.name)
            if reading is not None:
                peak = reading.peak
                shown = None if peak is None else figure(peak)
                yield unit_name(n), reading.unit
                seconds = None if reading.seconds is None else figure(reading.seconds)
                yield from zip(reading_names(n), (shown, peak is None, seconds, seconds is None), strict=True)

    def clean(self) -> dict[str, Any]:
        """Ask about what is unlikely, as when it was recorded; a question that was answered then is answered."""
        self.cleaned_data |= {"timed": self.run.timed}
        return super().clean()

    def _questions(self) -> list[tuple[str, Question]]:
        asked = super()._questions()
        known = {(row.field, row.value, row.question): row.reason for row in self._reasons_standing()}
        self.answered = {name: known.get((q.about, q.value, q.words), "") for name, q in asked}
        self.marks = {name: mark_of(question) for name, question in asked}
        return asked

    def _reasons_standing(self) -> Any:
        return self.run.reasons.filter(correction=self.run.correction)

    def reason_typed(self, name: str) -> str:
        """Return the reason typed for a box, or the one that was given to that very question before."""
        return super().reason_typed(name) or getattr(self, "answered", {}).get(name, "")

    def mark_sent(self, name: str) -> str:
        """Return the question that a reason answers; one given before answers the same question again."""
        return super().mark_sent(name) or (self.marks[name] if self.answered.get(name) else "")

    def reason_box(self, name: str, about: str, mark: str) -> None:
        """Send the question with its reason through both steps."""
        super().reason_box(name, about, mark)
        self.fields[f"asked_{name}"] = forms.CharField(required=False, widget=forms.HiddenInput, initial=mark)

    def meter_before(self, at: datetime) -> MeterBefore | None:
        """Return the hour meter's last reading before the run, by other runs."""
        return meter_before(self.engine, at, self.run)

    def run_time_shown(self) -> int | None:
        """Return the run time that a trace showed, where none was typed. [s]"""
        return self.run.run_time_s if self.run.typed_run_time_s is None else None

    def take_timed(self, n: int, chart: Any) -> None:
        """Leave a box empty that somebody emptied."""

    def facts(self) -> RunFacts:
        """Return the run as it is to stand, for the action that corrects it."""
        data, run = self.cleaned_data, self.run
        hours = {name: self._kept(box, getattr(run, name), seconds_of(data[box])) for name, box in HOURS.items()}
        return RunFacts(
            id=run.pk,
            kind=data["kind"],
            started_at=self._kept("started_at", run.started_at, data["started_at"]),
            remarks=data["remarks"],
            typed_partial_cycles=run.typed_partial_cycles,
            typed_meter_h=None if data["meter"] is None else float(data["meter"]),
            readings=(*self._reading_facts(), *map(reading_facts, self._beside())),
            reasons=self.reasons,
            other=run.other,
            **self.besides_said(),
            **hours,
            **{name: data[box] for name, box in FIGURES.items()},
        )

    def _kept(self, box: str, stands: Any, typed: Any) -> Any:
        return typed if box in self.changed_data else stands

    def _reading_facts(self) -> Iterator[ReadingFacts]:
        typed = {facts.chart: facts for facts in super()._reading_facts()}
        for n, chart in enumerate(self.engine_type.charts):
            stands = self.standing.get(chart.name)
            if stands is not None and not {*reading_names(n), unit_name(n)} & set(self.changed_data):
                yield reading_facts(stands)
            elif chart.name in typed:
                remarks = stands.remarks if stands else ""
                timed = timed_seconds(self.run.timed, chart.name)
                yield replace(typed[chart.name], remarks=remarks, timed_seconds=timed)

    def _beside(self) -> list[Reading]:
        """Return the readings that the sheet has no boxes for: second ones of a limit."""
        shown = {reading.pk for reading in self.standing.values()}
        return [reading for reading in self.run.standing_readings if reading.pk not in shown]

    @property
    def readings_beside(self) -> int:
        """Return how many readings stand that the sheet has no boxes for."""
        return len(self._beside())


class InspectionCorrectForm(CorrectingSheet):
    """What was stated when an inspection ended; how it ended has no box."""

    extent = forms.CharField(label="What was inspected and done", widget=forms.Textarea({**TEXT, "rows": 4}))
    completed_on = DayField(label="Work completed on")
    given_to = forms.CharField(
        label="List of discrepancies given to", required=False, max_length=160, widget=forms.TextInput(TEXT)
    )
    limitations = SignForm.base_fields["limitations"]
    incomplete = SignForm.base_fields["incomplete"]
    justification = SignForm.base_fields["justification"]
    required_words = {
        **CorrectingSheet.required_words,
        "extent": "Say briefly what was inspected and done.",
        "completed_on": "Give the day on which the work was completed.",
    }
    is_certified = True

    def __init__(self, *args: Any, entry: Entry, **kwargs: Any) -> None:
        release: Mapping[str, Any] = entry.body["release"]
        initial = {name: release[name] for name in ("extent", "completed_on", "given_to")}
        super().__init__(*args, initial=initial | kwargs.pop("initial", {}), **kwargs)
        if release["outcome"] != states.NOT_APPROVED:
            del self.fields["given_to"]


class AddendumCorrectForm(CorrectingSheet):
    """The remarks of an addendum, as they were signed; the photos that it took up stay in it."""

    remarks = AddendumForm.base_fields["remarks"]

    def __init__(self, *args: Any, entry: Entry, **kwargs: Any) -> None:
        initial = {"remarks": entry.body["addendum"]["remarks"]} | kwargs.pop("initial", {})
        super().__init__(*args, initial=initial, **kwargs)
        self.fields["certificate"].required = self.person.certificates.exists()


class WorkCorrectingSheet(WorkSheet, CorrectingSheet):
    """Work as it was signed last, to be put right, without what is no matter of correcting."""

    required_words = CorrectingSheet.required_words

    def __init__(self, *args: Any, work: Work, **kwargs: Any) -> None:
        initial = shown(work.facts) | kwargs.pop("initial", {})
        super().__init__(*args, work=work, rules=rules_of(work.operator_id), initial=initial, **kwargs)
        for name in FIXED & self.fields.keys():
            del self.fields[name]
        self.fields["certificate"].required = work.kind in CERTIFIED

    def facts(self) -> dict[str, Any]:
        """Return what the sheet says, as it is kept."""
        return {field.name: plain(self.cleaned_data[field.name]) for field in self.stated}


class MaintenanceCorrectForm(MaintenanceSheet, WorkCorrectingSheet):
    """Maintenance as it was signed."""


class InspectionWorkCorrectForm(InspectionSheet, WorkCorrectingSheet):
    """An inspection as it was signed, with the lines of its list of discrepancies; none is added or taken away."""

    def __init__(self, *args: Any, work: Work, **kwargs: Any) -> None:
        self.found = list(work.facts.get("found") or ())
        initial = {line_box(k, name): line.get(name) for k, line in enumerate(self.found, 1) for name in OF_LINES}
        super().__init__(*args, work=work, initial=initial | kwargs.pop("initial", {}), **kwargs)
        for k, line in enumerate(self.found, 1):
            for name in OF_LINES if line.get("is_deferred") else OF_LINES[:2]:
                self.fields[line_box(k, name)] = line_field(k, name)

    def facts(self) -> dict[str, Any]:
        """Return what the sheet says, as it is kept, the lines of the list together."""
        said = super().facts()
        boxes = {line_box(k, name): (k - 1, name) for k in range(1, len(self.found) + 1) for name in OF_LINES}
        found: list[dict[str, Any]] = [{} for _ in self.found]
        for box in boxes.keys() & said.keys():
            place, name = boxes[box]
            found[place][name] = said.pop(box) or ""
        return said | {"found": found}


class MeterCorrectForm(MeterSheet, WorkCorrectingSheet):
    """A change of hour meter as it was signed; why the meter was changed has a box of its own."""

    meter_why = MeterSheet.base_fields["why"]
    why = CorrectingSheet.base_fields["why"]  # type: ignore[assignment]

    def __init__(self, *args: Any, work: Work, **kwargs: Any) -> None:
        initial = {"meter_why": work.said("why")} | kwargs.pop("initial", {})
        super().__init__(*args, work=work, initial=initial, **kwargs)
        self.initial["why"] = ""

    def facts(self) -> dict[str, Any]:
        """Return what the sheet says, as it is kept."""
        said = super().facts()
        return said | {"why": said.pop("meter_why")}


class CalibrationCorrectForm(CalibrationSheet, WorkCorrectingSheet):
    """An engine's own calibration as it was signed."""


class OpeningCorrectForm(OpeningSheet, WorkCorrectingSheet):
    """An opening balance as it was signed."""


WORK_SHEETS: Final[dict[str, type[WorkCorrectingSheet]]] = {
    Work.Kind.WORK: MaintenanceCorrectForm,
    Work.Kind.INSPECTION: InspectionWorkCorrectForm,
    Work.Kind.METER: MeterCorrectForm,
    Work.Kind.OPENING: OpeningCorrectForm,
    Work.Kind.CALIBRATION: CalibrationCorrectForm,
}


def line_box(number: int, name: str) -> str:
    """Return the name of a box of a line of a discrepancy list."""
    return f"found_{number}_{name}"


def line_field(number: int, name: str) -> forms.Field:
    """Return a box of a line of a discrepancy list, which says of which line it is."""
    box = deepcopy(FoundLine.base_fields[name])
    box.label = f"Discrepancy {number}: {str(box.label).lower()}"
    return box


def run_initial(run: Run) -> dict[str, Any]:
    """Return what stands of a run, as the boxes of its sheet show it."""
    hours = {box: hours_box(getattr(run, name)) for name, box in HOURS.items()}
    counts = {box: getattr(run, name) for name, box in FIGURES.items()}
    return {
        "kind": run.kind,
        "started_at": timezone.localtime(run.started_at).replace(second=0, microsecond=0),
        "meter": None if run.typed_meter_h is None else f"{Decimal(repr(run.typed_meter_h)):f}",
        "remarks": run.remarks,
        "starter": None if run.typed_starter_s is None else f"{Decimal(repr(run.typed_starter_s)):f}",
        "trainee": run.trainee,
        "supervisor": run.supervisor_id,
        **hours,
        **{box: None if count is None else str(count) for box, count in counts.items()},
    }


def hours_box(seconds: int | None) -> str | None:
    """Return a time in as few decimals of an hour as tell it from a second more or less."""
    if seconds is None:
        return None
    hours = Decimal(seconds) / HOUR_S
    texts = (f"{hours:.{places}f}" for places in range(1, PLACES))
    return next((text for text in texts if seconds_of(Decimal(text)) == seconds), f"{hours:.{PLACES}f}")


def reading_facts(reading: Reading) -> ReadingFacts:
    """Return a stored reading as it is stated."""
    names = ("chart", "peak", "seconds", "unit", "remarks", "timed_seconds")
    return ReadingFacts(**{name: getattr(reading, name) for name in names})
