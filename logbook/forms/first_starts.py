"""The sheets of a first-start plan: it is asked for, a step is recorded, and it ends."""

import uuid
from datetime import timedelta
from typing import Any, Final

from django import forms
from django.utils import timezone

from engines.errors import DomainError
from engines.evidence import RunFacts
from engines.first_starts import ATTEMPT, BY_HAND, CHECK, Ending, FirstStartRules, StepRule, Trigger
from engines.models import FirstStart, FirstStartEnd, Run
from logbook.first_start_runs import runs_offered
from logbook.first_starts import StepSaid
from logbook.forms.fields import TEXT, DayField, DecimalTextField, MomentField, Sheet
from logbook.forms.run import seconds_of
from logbook.forms.signing import SigningSheet
from logbook.forms.supervising import people_fields, people_said

OTHER: Final = "other"
CLOCKS_APART: Final = timedelta(minutes=10)
LIT_WITHOUT_TIME: Final = "It lit up: give the run time, light-off to shutdown, for example 0.1."


class FirstStartOpenForm(Sheet):
    """What asks for a plan, by hand: one of the type's reasons or another, in words."""

    trigger = forms.ChoiceField(label="What asks for it?", widget=forms.RadioSelect)
    reason = forms.CharField(
        label="Why, in words", max_length=240, widget=forms.TextInput(TEXT), help_text="Stands in the plan."
    )
    required_words = {"trigger": "Choose what asks for it.", "reason": "Say why it is asked for."}

    def __init__(self, *args: Any, rules: FirstStartRules, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.triggers = {str(place): trigger for place, trigger in enumerate(rules.triggers)}
        known = [(key, trigger.words) for key, trigger in self.triggers.items()]
        self.fields["trigger"].choices = [*known, (OTHER, "Something else")]  # type: ignore[attr-defined]

    def trigger_chosen(self) -> Trigger:
        """Return what asks for the plan."""
        return self.triggers.get(self.cleaned_data["trigger"], Trigger(BY_HAND, "Asked for by hand"))


class StepForm(Sheet):
    """How the step in turn ended, and the run by which it was done: one that is recorded, or as it is stated here."""

    ending = forms.ChoiceField(label="How did it end?", widget=forms.RadioSelect)
    run = forms.ModelChoiceField(
        label="The run",
        queryset=Run.objects.none(),
        required=False,
        empty_label="Stated here",
        help_text="One that is recorded already, or stated here.",
    )
    id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    started_at = MomentField(label="Began at", required=False)
    starter = DecimalTextField(label="Starter engaged", unit="s", help_text="Counts against its duty cycle.")
    run_time = DecimalTextField(label="Run time", unit="h", help_text="Light-off to shutdown, where it lit up.")
    remarks = forms.CharField(label="Remarks", required=False, max_length=240, widget=forms.TextInput(TEXT))
    required_words = {"ending": "Choose how it ended."}

    def __init__(self, *args: Any, plan: FirstStart, rule: StepRule, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plan, self.rule = plan, rule
        self.fields["ending"].choices = [(one.name, _ending_words(one)) for one in rule.endings]  # type: ignore[attr-defined]
        remarks = self.fields.pop("remarks")
        if rule.kind == CHECK:
            for name in ("run", "id", "starter", "run_time", "started_at"):
                del self.fields[name]
        else:
            self._run_boxes()
        self.fields["remarks"] = remarks

    def _run_boxes(self) -> None:
        self.fields["started_at"].help_text = f"Day and time, {timezone.get_current_timezone_name()}."
        offered = runs_offered(self.plan)
        run = self.fields["run"]
        run.queryset = offered  # type: ignore[attr-defined]
        if not offered:
            run.widget = forms.HiddenInput()
        if self.rule.kind != ATTEMPT:
            del self.fields["run_time"]
        self.fields |= people_fields(self.plan.engine)

    def clean(self) -> dict[str, Any]:
        """Refuse a run that is stated neither here nor before, one to come, and one that lit up and took no time."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if self.rule.kind == CHECK or data.get("run") or "started_at" in self.errors:
            return data
        self._began_check(data.get("started_at"))
        ending = self.rule.ending(data.get("ending", ""))
        if ending is not None and ending.lit and self.rule.kind == ATTEMPT and data.get("run_time") is None:
            self.add_error("run_time", LIT_WITHOUT_TIME)
        return data

    def _began_check(self, began: Any) -> None:
        if began is None:
            self.add_error("started_at", "Give the day and the time at which it began.")
        elif began > timezone.now() + CLOCKS_APART:
            self.add_error("started_at", "That is still to come. Give the day and the time at which it began.")

    def said(self) -> StepSaid:
        """Return what is said of the step."""
        data = self.cleaned_data
        facts = None if self.rule.kind == CHECK or data["run"] else self._facts()
        return StepSaid(self.rule.name, data["ending"], run=data.get("run"), facts=facts, remarks=data["remarks"])

    def _facts(self) -> RunFacts:
        """Return the run as it is stated here: one that lit up is one start, one that did not is none."""
        data, ending = self.cleaned_data, self.rule.ending(self.cleaned_data["ending"])
        is_attempt = self.rule.kind == ATTEMPT
        return RunFacts(
            id=data["id"],
            kind=self.rule.run_kind,
            started_at=data["started_at"],
            remarks=data["remarks"],
            typed_run_time_s=seconds_of(data.get("run_time")),
            typed_starts=int(ending is not None and ending.lit) if is_attempt else None,
            typed_starter_s=None if data["starter"] is None else float(data["starter"]),
            **people_said(data),
        )

    def refuse(self, error: DomainError) -> None:
        """Put a refusal beside the box that it is about, where a run names it otherwise."""
        boxes = {"typed_starter_s": "starter", "typed_run_time_s": "run_time"}
        fields = {boxes.get(name, name): words for name, words in error.fields.items()}
        super().refuse(DomainError(error.message, code=error.code, fields=fields))


def _ending_words(ending: Ending) -> str:
    return f"{ending.name}. {ending.then}" if ending.then else ending.name


class FirstStartSignForm(SigningSheet):
    """How a plan ends, and by whose certificate that is signed."""

    outcome = forms.ChoiceField(
        label="How does it end?", choices=FirstStartEnd.Outcome.choices, widget=forms.RadioSelect
    )
    on = DayField(label="On which day")
    remarks = forms.CharField(
        label="Remarks",
        required=False,
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="Where it was not called for: why. An inspector or the director says that.",
    )
    required_words = {
        **SigningSheet.required_words,
        "outcome": "Choose how the plan ends.",
        "on": "Give the day on which it ended.",
    }
