"""The sheet by which a list of parts comes in: its rows are read first, and then signed as one entry."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.core import signing

from engines.bulk import BulkError, PartList, PartRow, part_list_read, row_again, row_plain
from engines.errors import DomainError
from logbook.forms.parts import PASSWORD_WORDS, PartSheet
from logbook.part_lists import BulkRefused, RowFate, fates_of

MOST_BYTES: Final = 4 << 20
SALT: Final = "logbook.forms.bulk"


class BulkForm(PartSheet):
    """A file of parts; once it was read, its rows travel with the sheet, sealed by the site, until they are signed."""

    file = forms.FileField(
        label="The list",
        required=False,
        help_text="CSV or XLSX, one part a row. The first row holds the headings.",
        widget=forms.FileInput({"accept": ".csv,.tsv,.txt,.xlsx"}),
    )
    rows = forms.CharField(required=False, widget=forms.HiddenInput)
    required_words = PASSWORD_WORDS
    parts: list[PartRow]
    fates: list[RowFate]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.parts, self.fates = [], []

    def own_fields(self) -> list[forms.BoundField]:
        """Return the boxes of the sheet."""
        return [self["file"], self["certificate"]]

    def clean(self) -> dict[str, Any]:
        """Read the file, or the rows that were read from it before."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        file, rows = data.get("file"), data.get("rows")
        if file is not None:
            self._file_read(file)
        elif rows:
            self._rows_read(rows)
        else:
            self.add_error("file", "Choose the file with the list of parts.")
        return data

    def _file_read(self, file: Any) -> None:
        if file.size > MOST_BYTES:
            return self.add_error("file", f"The file is larger than {MOST_BYTES >> 20} MB; divide it.")
        try:
            found = part_list_read(file.read(), file.name)
        except BulkError as error:
            return self.add_error("file", error.message)
        self.parts = found.rows
        if found.faults:
            return self._refuse_rows(found)
        sealed = signing.dumps([row_plain(row) for row in found.rows], salt=SALT, compress=True)
        self.data = {**self.data.dict(), "rows": sealed}  # type: ignore[attr-defined]
        return None

    def _rows_read(self, rows: str) -> None:
        try:
            self.parts = [row_again(row) for row in signing.loads(rows, salt=SALT)]
        except signing.BadSignature:
            self.add_error("file", "The rows are not those that were read. Choose the file again.")

    def refuse(self, error: DomainError) -> None:
        """Keep the rows that were refused, to be shown each with its reason."""
        if isinstance(error, BulkRefused):
            return self._refuse_rows(PartList(self.parts))
        return super().refuse(error)

    def _refuse_rows(self, found: PartList) -> None:
        """Say that nothing was kept, and show the fate of every row."""
        self.fates = fates_of(found, self.person)
        count = len(self.refused())
        self.add_error("file", f"Nothing was kept: {count} {'thing is' if count == 1 else 'things are'} wrong.")

    def refused(self) -> list[RowFate]:
        """Return what is wrong, row by row."""
        return [fate for fate in self.fates if not fate.is_entered]

    def accepted(self) -> list[RowFate]:
        """Return the rows that could be entered."""
        return [fate for fate in self.fates if fate.is_entered]
