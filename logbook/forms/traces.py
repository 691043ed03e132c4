"""The sheets on which a recorded file is sent, and its columns are matched."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.forms import BoundField

from engines.charts import EngineTypeData
from engines.recordings import Proposal
from engines.units import UnitError, unit_fits
from logbook.forms.fields import TEXT, Sheet

NOT_THERE = ("", "Not in this file")
TIME_LABEL = "Time"


def file_checked(file: "UploadedFile[Any] | None") -> "UploadedFile[Any] | None":
    """Refuse a file that is too large to be taken."""
    most = settings.TRACE_UPLOAD_MAX_BYTES
    if file is not None and (file.size or 0) > most:
        raise forms.ValidationError(f"The file is larger than {most // 2**20} MB. Export a shorter stretch.")
    return file


class TraceForm(Sheet):
    """The recorder's file."""

    file = forms.FileField(label="The recorder's file", help_text="CSV or Parquet, as the recorder wrote it.")
    check = forms.BooleanField(label="Let me check the columns first", required=False)
    file_box = "file"
    required_words = {"file": "Choose the recorder's file."}

    def clean_file(self) -> "UploadedFile[Any] | None":
        """Refuse a file that is too large to be taken."""
        return file_checked(self.cleaned_data["file"])


class ColumnsForm(Sheet):
    """Which header of the file is which channel, and in which unit; what is known already is chosen."""

    def __init__(self, *args: Any, engine_type: EngineTypeData, proposal: Proposal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.engine_type, self.proposal, self.labels = engine_type, proposal, dict[str, str]()
        headers = [(header, header) for header in dict.fromkeys(proposal.headers)]
        self._add("time_s", TIME_LABEL, "s", headers)
        for channel in engine_type.channels:
            self._add(channel.name, channel.label or channel.name, channel.unit, headers)

    def _add(self, name: str, label: str, unit: str, headers: list[tuple[str, str]]) -> None:
        self.labels[name] = label
        known = self.proposal.columns.get(name)
        is_needed = known is not None or name == "time_s"
        column = forms.ChoiceField(
            label=f"{label}: column of the file",
            choices=headers if known else [("", "Choose a column") if is_needed else NOT_THERE, *headers],
            initial=known,
            required=is_needed,
        )
        column.error_messages["required"] = "Choose the column that holds it."
        self.fields[f"column_{name}"] = column
        self.fields[f"unit_{name}"] = forms.CharField(
            label=f"{label}: unit in the file",
            initial=self.proposal.units.get(name, unit),
            required=False,
            max_length=40,
            widget=forms.TextInput(TEXT),
        )

    def rows(self) -> Iterator[tuple[BoundField, BoundField]]:
        """Yield the two boxes of the time and of each channel."""
        for name in ("time_s", *(channel.name for channel in self.engine_type.channels)):
            yield self[f"column_{name}"], self[f"unit_{name}"]

    def clean(self) -> dict[str, Any]:
        """Refuse a column that is chosen twice, and a unit that measures something else."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        seen: dict[str, str] = {}
        for name, header in self.columns().items():
            if header in seen:
                self.add_error(f"column_{name}", f"“{header}” is chosen already, for {self.labels[seen[header]]}.")
            seen.setdefault(header, name)
        for channel in self.engine_type.channels:
            self._clean_unit(channel.name, channel.unit)
        return data

    def _clean_unit(self, name: str, unit: str) -> None:
        given = self.cleaned_data.get(f"unit_{name}")
        if not given or name not in self.columns():
            return
        try:
            if not unit_fits(given, unit):
                self.add_error(f"unit_{name}", f"{given} can't be turned into {unit}: they measure different things.")
        except UnitError as error:
            self.add_error(f"unit_{name}", error.message)

    def columns(self) -> dict[str, str]:
        """Return the header chosen for each name."""
        return {n: h for n in self._names() if (h := self.cleaned_data.get(f"column_{n}"))}

    def units(self) -> dict[str, str]:
        """Return the unit given for each name that has a column and is not what the file itself says."""
        said = {n: self.cleaned_data.get(f"unit_{n}") or "" for n in self.columns()}
        return {n: unit for n, unit in said.items() if unit and unit != self.proposal.units.get(n)}

    def _names(self) -> list[str]:
        return ["time_s", *(channel.name for channel in self.engine_type.channels)]
