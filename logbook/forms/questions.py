"""Asking about figures that can be, but are not likely: the sheet comes back with the question and a box for why."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from django import forms
from django.forms import BoundField

from engines.evidence import ReasonFacts
from engines.questions import Question
from logbook.forms.fields import TEXT, Sheet

LONGEST_REASON = 240
HOW = "Put it right, or say why it is so."


@dataclass(frozen=True)
class Asked:
    """A box for the reason, and the mark of the question that it answers."""

    reason: BoundField
    name: str
    mark: str


class AskingSheet(Sheet):
    """A sheet that takes an unlikely figure only with a reason, given to that question about that figure."""

    reasons: tuple[ReasonFacts, ...] = ()
    # Boxes whose faults say nothing of the others.
    asked_apart: tuple[str, ...] = ()

    def ask(self, questions: Iterable[tuple[str, Question]]) -> None:
        """Ask each question at the box it is about, unless it was asked before and answered."""
        answered = []
        for name, question in questions:
            mark = mark_of(question)
            reason = self.reason_typed(name)
            if reason and self.mark_sent(name) == mark:
                answered.append(ReasonFacts(question.about, question.value, question.words, reason))
            else:
                self.add_error(name, f"{question.words} {HOW}")
            self.reason_box(name, question.about, mark)
        self.reasons = tuple(answered)

    def reason_typed(self, name: str) -> str:
        """Return the reason typed for a box, or ""."""
        return str(self.data.get(f"reason_{name}", "")).strip()[:LONGEST_REASON]

    def mark_sent(self, name: str) -> str:
        """Return the mark of the question that a box's reason answers, or ""."""
        return str(self.data.get(f"asked_{name}", ""))

    def reason_box(self, name: str, about: str, mark: str) -> None:
        """Put a box for the reason under the box that is asked about."""
        key = f"reason_{name}"
        self.fields[key] = forms.CharField(
            label=f"Why {about[:1].lower()}{about[1:]} is so" if about[1:2].islower() else f"Why it is so: {about}",
            required=False,
            max_length=LONGEST_REASON,
            widget=forms.TextInput({**TEXT, "maxlength": LONGEST_REASON}),
            help_text="Kept with the run, and shown to the director.",
        )
        self.fields[name].asked = Asked(self[key], f"asked_{name}", mark)  # type: ignore[attr-defined]

    def reasons_kept(self) -> None:
        """Keep every reason in its box while something else on the sheet is put right."""
        for name in list(self.fields):
            if self.reason_typed(name):
                self.reason_box(name, str(self.fields[name].label), self.mark_sent(name))


def mark_of(question: Question) -> str:
    """Return by what a question is known again: another figure is another question."""
    return hashlib.sha256(f"{question.key}|{question.value}|{question.words}".encode()).hexdigest()[:16]
