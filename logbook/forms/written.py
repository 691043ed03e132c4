"""All boxes of one piece of work, as they stand on its screen and as a phone sends them."""

from dataclasses import dataclass
from typing import Any

from logbook.forms import maintenance as sheets
from logbook.maintenance.discrepancies import again_of
from logbook.maintenance.rows import Discrepancy, Work
from logbook.maintenance.rules import rules_of


@dataclass(frozen=True)
class Written:
    """The sheet of work, and for an inspection its list and what was deferred before."""

    form: sheets.WorkSheet
    lines: Any = None
    again: tuple[tuple[Discrepancy, sheets.AgainLine], ...] = ()

    def is_valid(self) -> bool:
        """Return whether every box can be read."""
        valid = [part.is_valid() for part in self._parts()]
        return all(valid)

    def errors(self) -> dict[str, str]:
        """Return what can't be read, by the name of its box."""
        forms = [self.form, *(self.lines or []), *(form for _, form in self.again)]
        return {form.add_prefix(name): " ".join(map(str, said)) for form in forms for name, said in form.errors.items()}

    def facts(self) -> dict[str, Any]:
        """Return what they say, as it is kept."""
        facts = self.form.facts()
        if self.lines is not None:
            lines = [form.line() for form in self.lines]
            facts["found"] = [line for line in lines if any(line.values())]
            facts["again"] = {str(d.pk): form.cleaned_data for d, form in self.again}
        return facts

    def _parts(self) -> list[Any]:
        return [self.form, *([self.lines] if self.lines else []), *(form for _, form in self.again)]


def written(data: Any, work: Work) -> Written:
    """Return the boxes of work, filled with what was sent, or with what is kept where that is None."""
    kept = sheets.shown(work.facts)
    form = sheets.SHEETS[work.kind](data, initial=kept, work=work, rules=rules_of(work.operator_id))
    if work.kind != Work.Kind.INSPECTION:
        return Written(form)
    lines = sheets.FoundLines(data, initial=kept.get("found") or [], prefix="found")
    said = kept.get("again") or {}
    again = tuple(
        (d, sheets.AgainLine(data, initial=said.get(str(d.pk)) or {}, prefix=f"again{d.pk}"))
        for d in again_of(work.engine)
    )
    return Written(form, lines, again)
