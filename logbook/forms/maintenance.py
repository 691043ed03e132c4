"""The sheets of work beside exceedances: maintenance, inspection, hour meter, opening balance, and their signing."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.utils import timezone

from logbook.forms.fields import TEXT, CountField, DayField, DecimalTextField, MomentField, Sheet
from logbook.forms.signing import SigningSheet
from logbook.maintenance.calibrating import type_of
from logbook.maintenance.discrepancies import standing_of
from logbook.maintenance.reading import NO, YES
from logbook.maintenance.rows import Rules, Work
from logbook.maintenance.rules import outcomes_of
from logbook.programmes import selection_on
from logbook.statements.balances import BASES
from logbook.statements.coverage import ACTS, ANNUAL, HUNDRED_HOUR, PROGRAMME_KIND, PROGRESSIVE_KIND, SPECIAL
from logbook.statements.elements import CONDITIONAL, PILOT_OWNER, PROVISIONAL, WORK
from logbook.statements.provisional import RECHECK_DAYS
from logbook.statements.required import ANSWERS
from logbook.statements.words import GRANTERS, STEPS

YES_NO: Final = [(YES, "Yes"), (NO, "No")]
ENDINGS: Final = [(YES, "Approved for return to service"), (NO, "Not approved for return to service")]
INSPECTIONS: Final = [
    (act, ACTS[act].partition(" ")[2].capitalize())
    for act in (ANNUAL, HUNDRED_HOUR, PROGRESSIVE_KIND, PROGRAMME_KIND, SPECIAL)
]
RELEASES: Final = (WORK, CONDITIONAL, PILOT_OWNER, PROVISIONAL)
SAY_NONE: Final = "Write none where there are none."
BLANK_LINES: Final = 3


def _line(label: str, help_text: str = "", most: int = 240) -> forms.CharField:
    box = forms.TextInput(TEXT)
    return forms.CharField(label=label, required=False, max_length=most, widget=box, help_text=help_text)


def _text(label: str, help_text: str = "", rows: int = 3) -> forms.CharField:
    box = forms.Textarea({**TEXT, "rows": rows})
    return forms.CharField(label=label, required=False, widget=box, help_text=help_text)


def _tick(label: str) -> forms.BooleanField:
    return forms.BooleanField(label=label, required=False)


def _choice(label: str, choices: Iterable[tuple[str, str]], help_text: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label, choices=list(choices), required=False, widget=forms.RadioSelect, help_text=help_text
    )


def plain(value: Any) -> Any:
    """Return what a box gave as it is kept: plain JSON."""
    if isinstance(value, date | datetime):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value


class WorkSheet(Sheet):
    """A sheet that may be kept half written: nothing is asked for before it is signed.

    ``first`` are the boxes that mostly apply, in order; the others stand folded below them, all of them where none are.
    """

    first: tuple[str, ...] = ()

    def __init__(self, *args: Any, work: Work, rules: Rules | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.work, self.rules = work, rules

    @property
    def main(self) -> list[forms.BoundField]:
        """Return the boxes that mostly apply."""
        return [self[name] for name in self.first or self.fields if name in self.fields]

    @property
    def rest(self) -> list[forms.BoundField]:
        """Return the boxes that seldom apply."""
        return [self[name] for name in self.fields if name not in self.first] if self.first else []

    @property
    def rest_is_used(self) -> bool:
        """Return whether anything is written in the boxes that seldom apply, or wrong with it."""
        return any(field.value() or field.errors for field in self.rest)

    def facts(self) -> dict[str, Any]:
        """Return what the sheet says, as it is kept."""
        return {name: plain(value) for name, value in self.cleaned_data.items()}


class HandsSheet(WorkSheet):
    """What maintenance and inspections have alike: to which data, when, and by whom."""

    data_document = _line("Worked to: document", "Approved data. At the signature it is named with its revision.")
    data_revision = _line("Revision", most=60)
    data_section = _line("Section or task")
    completed_on = DayField(label="Work completed on", required=False)
    performers = _text("Work performed by", "One name a line; empty where the signer did it alone.", 2)
    helpers = _text("Helpers under supervision", "One name a line. A helper can't sign.", 2)
    is_required_item = _tick("It is a required inspection item: a second, different person inspects it")
    required_why = _line(
        "Why it is no longer a required inspection item", "Only the director takes the mark away.", 240
    )
    limitations = _line("Limitations to airworthiness or operation", SAY_NONE)
    incomplete = _line("Work left incomplete", SAY_NONE)
    justification = _line("Why something overdue may stand", "Only where the sheet says that something is overdue.")


class MaintenanceSheet(HandsSheet):
    """Maintenance done."""

    first = (
        *("description", "data_document", "data_revision", "data_section", "completed_on", "performers", "helpers"),
        *("outcome", "pending", "is_major", "limitations", "incomplete", "closes", "is_required_item"),
    )

    description = _text("What was done", "As it is to stand in the entry.", 5)
    work_pack = _line("Work pack", "Its number, where the work is summed up from one.", 60)
    outcome = _choice("Released as", [])
    pending = _line("What is still to be done, and by when", "For a release on a condition, or away from base.")
    authorised_by = _line("Away from base: owner who authorised the signer", "For a release away from base.", 160)
    qualifications = _line("Qualifications of the signer", "The owner keeps these details.")
    years = CountField(label="Years of experience of the signer", help_text="At least 3.")
    told = _line("Who is told of the release, within 7 days", "Who manages airworthiness, or the authority.", 160)
    days = _choice("It is checked again within", RECHECK_DAYS.items())
    is_preventive = _tick("It is preventive maintenance")
    is_major = _choice("Is it a major repair or alteration?", YES_NO)
    form_reference = _line("Reference of the form", "For a major repair or alteration.")
    limits_changed = _tick("Operating limits or flight data change")
    limits_reference = _line("Revision that says so")
    needs_flight_check = _tick("Flight may be affected")
    flight_check = _line("Result of the check flight, or why a ground test is enough")
    agreed_with = _line("Agreed with", "Who is responsible for the aircraft, and when.")
    measurements = _text("Measured", "One a line: what, value with unit, limit. Figures, not “pass”.")
    closes = forms.MultipleChoiceField(
        label="Settles these discrepancies", required=False, widget=forms.CheckboxSelectMultiple
    )
    is_overhaul = _tick("It is an overhaul of the whole engine: time since overhaul begins at zero")
    steps = forms.MultipleChoiceField(
        label="Of an overhaul or rebuilding, done and recorded",
        choices=[(step, words.capitalize()) for step, words in STEPS.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    test_reference = _line("Tested to", "Standard or data of the test.")
    new_limits = _tick("To the tolerances and limits of a new item")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        has = outcomes_of(self.rules) if self.rules else {}
        releases = [(name, has[name]) for name in RELEASES if name in has]
        self._choose("outcome", releases, least=2)
        self._choose("closes", [(str(d.pk), str(d)) for d in standing_of(self.work.engine)], least=1)

    def _choose(self, name: str, choices: list[tuple[str, str]], *, least: int) -> None:
        """Offer choices in a box, or leave it out where there are fewer; a correction has neither box."""
        if name in self.fields and len(choices) < least:
            del self.fields[name]
        elif name in self.fields:
            self.fields[name].choices = choices  # type: ignore[attr-defined]


class InspectionSheet(HandsSheet):
    """An inspection of the engine beside those that exceedances call for."""

    first = (
        *("inspection_kind", "inspection", "extent", "data_document", "data_revision", "data_section", "completed_on"),
        *("performers", "helpers", "has_checklist", "run_after", "limitations", "incomplete", "is_approved"),
        *("list_date", "recipient", "is_required_item"),
    )

    inspection_kind = _choice("Which inspection", INSPECTIONS)
    inspection = _line("Type of inspection, as the entry is to name it", "For example by hours and checklist.")
    programme = _line("Inspection programme and revision", "For an inspection under a programme.")
    part = _line("Part of the programme done")
    routine = _text("Inspected as a routine", "For a progressive inspection.", 2)
    detailed = _text("Inspected in detail", "For a progressive inspection.", 2)
    extent = _text("Extent", "A brief account of how far it went.", 4)
    hours = DecimalTextField(
        label="Total time in service, where it is not the log's", unit="h", help_text="Empty: taken from the log."
    )
    hours_why = _line("Why it is not the log's")
    has_checklist = _tick("It was held to its checklist")
    run_after = _text("Run after it", "Power, oil pressure and temperature, speeds; or why none was needed.", 2)
    is_approved = _choice("It ends", ENDINGS)
    list_date = DayField(label="Date of the list of discrepancies", required=False, help_text="If not approved.")
    recipient = _line("List given to", "If not approved: the owner or operator who was given it.", 160)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if selected := selection_on(self.work.engine, timezone.localdate()):
            self.fields["programme"].help_text += f" Selected for this engine: {selected.words}."


class MeterSheet(WorkSheet):
    """A change of the hour meter."""

    at = MomentField(label="Changed at", required=False)
    old = DecimalTextField(label="Last reading of the meter that was there", unit="h")
    new = DecimalTextField(label="First reading of the meter that is there now", unit="h")
    why = _text("Why", "For example: failed, replaced, set back.", 2)


class CalibrationSheet(WorkSheet):
    """An engine's own calibration of an indication."""

    channel = _choice("Channel", [], "Those that the type says are indicated in another unit.")
    reads = _line("Unit in which the instrument reads", "For example psi.", 40)
    pairs = _text("What is read = what it is", "One pair a line, for example 12.5 = 40. Both increase.", 6)
    on = DayField(label="Holds from", required=False)
    source = _line("Taken from", "The calibration sheet or the standard, with its number.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        data = type_of(self.work)
        labels = {channel.name: channel.label for channel in data.channels}
        listed = [(of.channel, labels[of.channel]) for of in data.indications if of.reads]
        self.fields["channel"].choices = listed  # type: ignore[attr-defined]


class OpeningSheet(WorkSheet):
    """What the engine had used when its record here began."""

    basis = _choice("It rests on", BASES.items())
    on = DayField(label="As of", required=False)
    run_time_s = DecimalTextField(label="Run time", unit="h")
    time_in_service_s = DecimalTextField(label="Time in service", unit="h")
    starts = CountField(label="Starts")
    cycles = CountField(label="Cycles")
    document = _line("Record it is taken from", "Lost records: the owner's signed statement of loss and estimate.")
    basis_text = _text("How it was reconstructed, and from what", "Where records are lost.", 3)
    granted_by = _choice("Zero time was granted by", GRANTERS.items())
    granted_name = _line("Its name", most=160)
    granted_on = DayField(label="Signed on", required=False)
    directives = _text("Airworthiness directives embodied", f"For zero time. One a line. {SAY_NONE}", 2)
    bulletins = _text("Service bulletins embodied", f"For zero time. One a line. {SAY_NONE}", 2)


class FoundLine(forms.Form):
    """One line of the discrepancy list."""

    text = _line("What is wrong", most=400)
    basis = _line("What it does not meet", most=400)
    is_deferred = _tick("Deferred, inoperative permitted")
    deferral = _line("On which basis")
    placard_by = _line("Placarded by", most=160)
    placard_on = DayField(label="Placarded on", required=False)

    def line(self) -> dict[str, Any]:
        """Return what the line says, as it is kept."""
        return {name: plain(value) or "" for name, value in self.cleaned_data.items()}


FoundLines = forms.formset_factory(FoundLine, extra=BLANK_LINES)


class AgainLine(Sheet):
    """What became of something that was deferred before."""

    answer = _choice("Deferred before", ANSWERS.items())
    words = _line("What was done")


SHEETS: Final[dict[str, type[WorkSheet]]] = {
    Work.Kind.WORK: MaintenanceSheet,
    Work.Kind.INSPECTION: InspectionSheet,
    Work.Kind.METER: MeterSheet,
    Work.Kind.OPENING: OpeningSheet,
    Work.Kind.CALIBRATION: CalibrationSheet,
}


def shown(facts: dict[str, Any]) -> dict[str, Any]:
    """Return kept facts as a sheet shows them."""
    at = facts.get("at")
    return facts | ({"at": timezone.localtime(datetime.fromisoformat(at))} if at else {})


class DropForm(Sheet):
    """Why work is dropped."""

    why = forms.CharField(label="Why it is dropped", max_length=240, widget=forms.TextInput(TEXT))
    required_words = {"why": "Say why it is dropped."}


class RefuseForm(Sheet):
    """Why the second look at work is not accepted."""

    why = forms.CharField(
        label="What is not accepted, and why", max_length=600, widget=forms.Textarea({**TEXT, "rows": 2})
    )
    required_words = {"why": "Say what is not accepted, and why."}


class ReworkForm(Sheet):
    """What was done again after the second look was not accepted."""

    words = forms.CharField(label="What was done again", max_length=600, widget=forms.Textarea({**TEXT, "rows": 2}))
    required_words = {"words": "Say what was done again."}


class RequiredForm(Sheet):
    """A line of the list of required inspection items."""

    document = forms.CharField(label="Document that the work is done to", max_length=240, widget=forms.TextInput(TEXT))
    section = forms.CharField(
        label="Section or task",
        required=False,
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="As work names it. Empty: everything that is done to the document.",
    )
    why = forms.CharField(
        label="Why", max_length=240, widget=forms.TextInput(TEXT), help_text="For example the manual that says so."
    )
    required_words = {"document": "Name the document that the work is done to.", "why": "Say why."}


class WorkSignForm(SigningSheet):
    """By which certificate work is signed, and what the signer declares."""

    has_done_before = forms.BooleanField(
        label="I did such work before, or am supervised by somebody who did",
        required=False,
        help_text="Asked for under the rules of the United States.",
    )


class RecordSignForm(SigningSheet):
    """How something that approves nothing is signed; a certificate is named where the signer has one."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["certificate"].required = False


class PublicationForm(Sheet):
    """A document by the revision that is on file."""

    title = forms.CharField(label="Document", max_length=240, widget=forms.TextInput(TEXT))
    revision = forms.CharField(label="Revision on file", max_length=60, widget=forms.TextInput(TEXT))
    dated = DayField(label="Dated", required=False)
    file = forms.FileField(
        label="A copy of it",
        required=False,
        help_text="If you may keep one. It goes with the record to the next owner, where work was done to it.",
    )
    required_words = {"title": "Name the document, as work names it.", "revision": "Give the revision."}

    def clean_file(self) -> "UploadedFile[Any] | None":
        """Refuse a file that is too large to be taken."""
        file: UploadedFile[Any] | None = self.cleaned_data["file"]
        most = settings.DOCUMENT_UPLOAD_MAX_BYTES
        if file is not None and (file.size or 0) > most:
            raise forms.ValidationError(
                f"The copy is larger than {most // 2**20} MB. Keep the part that work is done to."
            )
        return file
