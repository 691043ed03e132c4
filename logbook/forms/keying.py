"""The sheet on which a second person keys the figures of a chart, without seeing the first keying."""

from typing import Any

from django import forms

from engines.charts import LimitChart
from engines.keying import figures_of
from logbook.forms.fields import TEXT, DecimalTextField, Sheet

OTHER_LINES = "The source has more or fewer lines than there are boxes here"


class KeyingForm(Sheet):
    """One box for each figure of the chart, all of them empty."""

    settled_against = forms.CharField(
        label="Page of the source where you looked the figures up again",
        required=False,
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="Document, revision, page or section.",
    )
    has_other_lines = forms.BooleanField(label=OTHER_LINES, required=False)

    def __init__(self, *args: Any, chart: LimitChart, keyed_again: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.figures = {f"figure{place}": figure for place, figure in enumerate(figures_of(chart), start=1)}
        self.keyed_again = keyed_again
        for name, figure in self.figures.items():
            self.fields[name] = DecimalTextField(label=figure.words, unit=figure.unit, may_be_negative=True)

    @property
    def boxes(self) -> list[Any]:
        """Return the boxes of the figures, in the order of the chart."""
        return [self[name] for name in self.figures]

    def clean(self) -> dict[str, Any]:
        """Refuse an empty box, unless the source is said to have other lines than the draft."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in self.figures:
            if data.get(name) is None and name not in self.errors and not data.get("has_other_lines"):
                self.add_error(name, "Key what the source has here, or say below that it has other lines.")
        return data

    @property
    def keyed(self) -> dict[str, float | None]:
        """Return what was keyed, by the path of each figure; None for an empty box."""
        typed = {figure.path: self.cleaned_data.get(name) for name, figure in self.figures.items()}
        return {path: None if value is None else float(value) for path, value in typed.items()}
