"""An operator's list of parts: what would become of each row, and all of them entered and signed as one entry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from django.db import transaction
from django.utils import timezone

from engines import actions
from engines.bulk import CellFault, PartList, PartRow
from engines.errors import DomainError
from engines.models import Component, Engine, PartMovement
from logbook.actions import certificate_check, text_check
from logbook.ledger.store import entry_seal
from logbook.models import Entry, Person
from logbook.part_words import life_words
from logbook.signing import Signing, signed_body

BROUGHT: Final = ("run_time_s", "time_in_service_s", "starts", "cycles", "partial_cycles")
FITTED: Final = "fitted to "
# In which column of the list a refusal has its cause, by its code.
COLUMN_OF: Final = {
    "serial_taken": "serial number",
    "engine_unknown": "engine",
    "module_unknown": "module serial number",
    "sits_in_itself": "module serial number",
    "position_unknown": "place",
    "position_taken": "place",
    "part_unsuited": "place",
    "out_of_order": "fitted at",
    "text_missing": "where the figures come from",
}


class BulkRefused(DomainError):
    """A list of parts of which some rows can't be kept; ``rows`` names each and why."""

    code = "rows_refused"

    def __init__(self, rows: Sequence[CellFault]) -> None:
        words = f"Nothing was kept: {len(rows)} of the rows can't be."
        super().__init__(words, fields={row.where: row.words for row in rows})
        self.rows = list(rows)


@dataclass(frozen=True)
class RowFate:
    """What would become of one row: entered as the words say, or refused for what they say."""

    row: CellFault
    is_entered: bool


@transaction.atomic
def parts_bulk_sign(*, rows: Sequence[PartRow], by: Person, signing: Signing, read: str = "") -> Entry:
    """Enter a list of parts with what they brought, fit those that are fitted, and sign it all in one entry.

    Nothing is kept unless every row can be. Raises BulkRefused with every row that can't be.
    """
    certificate_check(by, signing.certificate, timezone.localdate())
    lines, faults = _rows_enter(rows, by)
    if faults:
        raise BulkRefused(faults)
    at = timezone.now().replace(microsecond=0)
    operator = by.operator
    assert operator is not None
    body = {
        "kind": Entry.Kind.OPENING,
        "title": f"Opening balances of {len(lines)} part{'' if len(lines) == 1 else 's'}",
        **operator.named,
        "engine": {},
        "times": {},
        "completed_on": timezone.localdate(at).isoformat(),
        "part": [[str(component), words] for component, words in lines.values()],
    }
    text = signed_body(body, by, signing, at)
    text_check(text, read)
    about = {"completed_on": timezone.localdate(at), "signed_by": by, "signed_at": at}
    return entry_seal(operator_id=operator.pk, body=text, kind=Entry.Kind.OPENING, **about)


def fates_of(found: PartList, by: Person) -> list[RowFate]:
    """Return what would become of every row of a list that was read, in the order of the file; nothing is kept."""
    with transaction.atomic():
        lines, faults = _rows_enter(found.rows, by)
        transaction.set_rollback(True)
    wrong = {(fault.sheet, fault.row) for fault in (*faults, *found.faults)}
    fates = [
        RowFate(CellFault(row.sheet, row.row, "", f"{component}; {words}"), is_entered=True)
        for row, (component, words) in lines.items()
        if (row.sheet, row.row) not in wrong
    ]
    fates += [RowFate(fault, is_entered=False) for fault in (*found.faults, *faults)]
    sheets = list(dict.fromkeys([*(row.sheet for row in found.rows), *(fault.sheet for fault in found.faults)]))
    return sorted(fates, key=lambda fate: (sheets.index(fate.row.sheet), fate.row.row))


def _rows_enter(rows: Iterable[PartRow], by: Person) -> tuple[dict[PartRow, tuple[Component, str]], list[CellFault]]:
    """Enter rows and fit them, engines before modules; return the line of each, and what is wrong with the others."""
    faults: list[CellFault] = []
    entered: dict[PartRow, tuple[Component, str]] = {}
    for row in rows:
        with _noted(faults, row):
            component = _row_enter(row, by)
            entered[row] = component, brought_words(component)
    for row in sorted(entered, key=lambda row: bool(row.module_serial)):
        component, words = entered[row]
        with _noted(faults, row):
            entered[row] = component, "; ".join(filter(None, [words, _row_fit(row, component, by)]))
    return entered, faults


@contextmanager
def _noted(faults: list[CellFault], row: PartRow) -> Iterator[None]:
    """Take back what a row did where it is refused, and note why, with the column that it is about."""
    try:
        with transaction.atomic():
            yield
    except DomainError as error:
        faults.append(CellFault(row.sheet, row.row, COLUMN_OF.get(error.code, ""), error.message))


def _row_enter(row: PartRow, by: Person) -> Component:
    return actions.component_add(
        operator=by.operator,  # type: ignore[arg-type]
        part_number=row.part_number,
        serial=row.serial,
        description=row.description,
        made_on=row.made_on,
        opening_basis=row.basis,
        opening_document=row.document,
        opening_is_reconstructed=row.is_reconstructed,
        **{f"brought_{name}": getattr(row, name) for name in BROUGHT},
    )


def brought_words(component: Component) -> str:
    """Return what a list says that a part brought, and where that comes from."""
    brought = [f"used {life_words(component.brought)}", f"from: {component.opening_basis}", component.opening_document]
    words = [component.description, *brought]
    words += ["reconstructed, records were lost"] if component.opening_is_reconstructed else []
    return "; ".join(word for word in words if word)


def fitted_words(line: PartMovement) -> str:
    """Return how a list says that a part was fitted."""
    host = line.engine.serial if line.engine else f"module {line.parent}"
    return f"{FITTED}{host}, {line.position or 'place not recorded'}, since {timezone.localtime(line.at):%Y-%m-%d}"


def _row_fit(row: PartRow, component: Component, by: Person) -> str:
    """Fit a row's part where the row says so, and return that in words."""
    if row.fitted_at is None or not (row.engine or row.module_serial):
        return ""
    host = {"parent": _module_named(row, by)} if row.module_serial else {"engine": _engine_named(row.engine, by)}
    fitted: dict[str, Any] = {"at": row.fitted_at, "by": by, "position": row.place, **host}
    return fitted_words(actions.part_fit(component=component, **fitted))


def _engine_named(serial: str, by: Person) -> Engine:
    engine = Engine.objects.filter(operator_id=by.operator_id or 0, serial=serial, left_at=None).first()
    if engine is None:
        raise DomainError(f"There is no engine {serial}.", code="engine_unknown")
    return engine


def _module_named(row: PartRow, by: Person) -> Component:
    """Return the part that a row sits in, of the list itself or entered before."""
    named = {"part_number": row.module_part_number, "serial": row.module_serial}
    module = Component.objects.filter(operator_id=by.operator_id or 0, **named).first()
    if module is None:
        words = f"There is no part {row.module_part_number} {row.module_serial} that it could sit in."
        raise DomainError(words, code="module_unknown")
    return module
