"""Boxes for numbers as people type them, and the sheet of boxes that a screen sends."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError

from engines.errors import DomainError, TraceError
from engines.numbers_typed import count_typed, number_typed
from engines.units import symbol_of

Made = TypeVar("Made")
TEXT = {"autocomplete": "off"}


class NumberBox(forms.TextInput):
    """A box for one number, with its unit beside it; phones show their number keys."""

    def __init__(self, unit: str = "", keys: str = "decimal") -> None:
        super().__init__({**TEXT, "inputmode": keys})
        self.unit = symbol_of(unit)


class DecimalTextField(forms.CharField):
    """A number with a decimal point or comma; anything that could mislead is refused in words."""

    widget = NumberBox
    about = ""

    def __init__(self, *, unit: str = "", may_be_negative: bool = False, **options: Any) -> None:
        super().__init__(widget=NumberBox(unit), required=False, **options)
        self.may_be_negative = may_be_negative

    def clean(self, value: Any) -> Decimal | None:
        """Return the number, or None for an empty box."""
        typed = super().clean(value)
        if not typed:
            return None
        number = as_typed(number_typed, typed)
        if number < 0 and not self.may_be_negative:
            raise ValidationError(f"“{typed}” is below 0; write 0 or more.")
        return number


class NotKnownField(forms.BooleanField):
    """The choice, beside a box, of not knowing what belongs in it."""

    beside = True
    about = ""

    def __init__(self, spoken: str) -> None:
        super().__init__(label="Not known", required=False, widget=forms.CheckboxInput({"aria-label": spoken}))


class CountField(forms.CharField):
    """A whole number, 0 or more."""

    def __init__(self, **options: Any) -> None:
        super().__init__(widget=NumberBox(keys="numeric"), required=False, **options)

    def clean(self, value: Any) -> int | None:
        """Return the count, or None for an empty box."""
        typed = super().clean(value)
        return as_typed(count_typed, typed) if typed else None


def as_typed(read: Callable[[str], Made], typed: str) -> Made:
    """Return what a pure reader makes of a text, its refusal turned into the form's own kind."""
    try:
        return read(typed)
    except ValueError as error:
        raise ValidationError(str(error)) from error


class DayField(forms.DateField):
    """A day, from the phone's own calendar."""

    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


class MomentField(forms.DateTimeField):
    """A day and a time, from the phone's own calendar and clock."""

    widget = forms.DateTimeInput(format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local"})


class Sheet(forms.Form):
    """A form whose act may still be refused: the refusal stands where the form's own errors do."""

    required_words: dict[str, str] = {}
    file_box = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        for name, words in self.required_words.items():
            self.fields[name].error_messages["required"] = words

    def act(self, action: Callable[[], Made]) -> Made | None:
        """Return what an action makes, or None with the reason among the errors."""
        if not self.is_valid():
            return None
        try:
            return action()
        except DomainError as error:
            self.refuse(error)
            return None

    def refuse(self, error: DomainError) -> None:
        """Put a refusal beside the boxes it names, or the box of the file that it is about, or over them all."""
        if self.file_box and isinstance(error, TraceError):
            return self.add_error(self.file_box, error.message)
        named = {name: words for name, words in error.fields.items() if name in self.fields}
        for name, words in named.items():
            self.add_error(name, words)
        if not named:
            self.add_error(None, error.message)
        return None
