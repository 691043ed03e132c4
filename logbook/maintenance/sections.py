"""What entries of maintenance, inspections, hour meters and opening balances say, laid out once for all readers."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from engines.units import symbol_of
from inspections.drawing.words import figure
from logbook.handover.words import handed_rows, received_rows
from logbook.printing.wording import NOT_RECORDED, day_text, hours_given, listed, moment_text, yes_no
from logbook.statements.coverage import ACTS
from logbook.statements.words import GRANTERS, STEPS

Body = Mapping[str, Any]
ANSWERED: Final = {"yes": True, "no": False}


@dataclass(frozen=True)
class Section:
    """A heading with labels and values, or with a table of so many headings; ``shares`` are the columns' widths."""

    title: str
    rows: Sequence[tuple[str, Any]] = ()
    headings: Sequence[str] = ()
    lines: Sequence[Sequence[Any]] = ()
    shares: Sequence[float] = ()

    @property
    def cells(self) -> list[list[tuple[str, Any]]]:
        """Return each cell of the table with the heading of its column."""
        return [list(zip(self.headings, line, strict=True)) for line in self.lines]


def sections_of(body: Body) -> list[Section]:
    """Return what is peculiar to an entry's kind.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Section
        Empty for an entry of a run, or of an inspection that an exceedance called for.
    """
    known: Mapping[str, Callable[[Any], list[Section]]] = {
        "work": _work,
        "scheduled": _inspection,
        "meter": _meter,
        "opening": _opening,
        "calibration": _calibration,
        "received": _received,
        "task": _task,
        "first_start": _first_start,
        "programme": _programme,
        "handed": _handed,
        "addendum": _addendum,
    }
    return [section for key, parts in known.items() if body.get(key) for section in parts(body[key])]


def _task(rows: Sequence[tuple[str, str]]) -> list[Section]:
    return [Section("The task", [(label, text) for label, text in rows])]


def _programme(rows: Sequence[tuple[str, str]]) -> list[Section]:
    return [Section("The inspection programme", [(label, text) for label, text in rows])]


def _first_start(part: Body) -> list[Section]:
    rows = [(label, text) for label, text in part.get("rows") or ()]
    headings = ("When", "Step", "How it ended", "Said of it")
    lines = [list(line) for line in part.get("lines") or ()]
    table = Section("What was done", headings=headings, lines=lines, shares=(0.15, 0.23, 0.2, 0.42))
    return [Section("The first-start plan", rows), *([table] if lines else [])]


def _received(part: Body) -> list[Section]:
    return [Section("Record received", received_rows(part))]


def _handed(part: Body) -> list[Section]:
    return [Section("Record handed over", handed_rows(part))]


def _addendum(part: Body) -> list[Section]:
    rows = [("Belongs to", f"Entry {part.get('entry')}: {part.get('title')}"), ("Hash of that entry", part.get("hash"))]
    return [Section("Addendum", [*rows, *([("Remarks", part["remarks"])] if part.get("remarks") else [])])]


def _not_applicable(text: Any, why: str) -> str:
    return str(text) if text else f"not applicable: {why}"


def _data(part: Body) -> Any:
    return (part.get("data") or {}).get("words")


def _hands(part: Body) -> list[tuple[str, Any]]:
    on_file = (part.get("data") or {}).get("on_file")
    copy = (part.get("data") or {}).get("file")
    return [
        ("Worked to", _data(part)),
        *([("Another revision is on file", on_file)] if on_file else []),
        *([("Copy on file", f"{copy['name']}, SHA-256 {copy['sha256']}")] if copy else []),
        ("Work performed by", listed(part.get("performed_by"))),
        ("Helpers under supervision", listed(part.get("helpers"))),
    ]


def _work(part: Body) -> list[Section]:
    is_major = ANSWERED.get(part.get("is_major", ""))
    rows: list[tuple[str, Any]] = [
        ("Work done", part.get("description")),
        *_hands(part),
        ("Work pack", _not_applicable(part.get("work_pack"), "not summed up from a pack")),
        ("Major repair or alteration", yes_no(is_major)),
    ]
    if is_major:
        rows.append(("Form", part.get("form_reference")))
    if part.get("limits_changed"):
        rows.append(("Changed operating limits", part.get("limits_reference")))
    if part.get("needs_flight_check"):
        rows.append(("Check flight or ground test", part.get("flight_check")))
    rows += [("Limitations", part.get("limitations")), ("Work left incomplete", part.get("incomplete"))]
    optional = {"agreed_with": "Agreed with", "pending": "Still to be done", "justification": "Overdue, and stands as"}
    rows += [(label, part[name]) for name, label in optional.items() if part.get(name)]
    told = (_overhaul, _provisional, _measured, _settled, _looked)
    return [Section("The work", rows), *(section for parts in told for section in parts(part))]


def _provisional(part: Body) -> list[Section]:
    said = part.get("provisional")
    if not said:
        return []
    rows = [
        ("Authorised by the owner", said.get("authorised_by")),
        ("Qualifications of the signer", said.get("qualifications")),
        ("Experience", f"{said.get('years')} years"),
        ("To be checked again by", said.get("check_by")),
        ("To be told", f"{said.get('told')}, by {said.get('tell_by')}"),
    ]
    return [Section("Release away from base", rows)]


def _overhaul(part: Body) -> list[Section]:
    steps = [words.capitalize() for step, words in STEPS.items() if step in (part.get("steps") or ())]
    if not steps:
        return []
    rows = [
        ("Steps", ", ".join(steps)),
        ("Tested to", part.get("test_reference")),
        ("To the limits of a new item", yes_no(part.get("new_limits"))),
    ]
    return [Section("Overhaul", rows)]


def _measured(part: Body) -> list[Section]:
    lines = part.get("measurements") or ()
    if not lines:
        return []
    return [Section("Measured", headings=("No.", "Measurement"), lines=list(enumerate(lines, 1)), shares=(0.1, 0.9))]


def _settled(part: Body) -> list[Section]:
    lines = [(d["number"], d["text"]) for d in part.get("closes") or ()]
    headings = ("Discrepancy", "What was wrong")
    return [Section("Discrepancies settled", headings=headings, lines=lines, shares=(0.2, 0.8))] if lines else []


def _inspection(part: Body) -> list[Section]:
    kind = part.get("inspection_kind", "")
    rows: list[tuple[str, Any]] = [
        ("Type of inspection", part.get("inspection")),
        ("Kind", ACTS.get(kind, kind)),
        ("Extent", part.get("extent")),
        ("Total time in service", hours_given(part.get("hours_s"))),
    ]
    optional = {
        "hours_why": "Time is not the log's, because",
        "justification": "Overdue, and stands as",
        "programme": "Programme",
        "part": "Part of it",
        "routine": "Routine inspection of",
        "detailed": "Detailed inspection of",
    }
    rows += [(label, part[name]) for name, label in optional.items() if part.get(name)]
    rows += [
        *_hands(part),
        ("Held to its checklist", yes_no(part.get("has_checklist"))),
        ("Run after it", part.get("run_after")),
    ]
    return [Section("The inspection", rows), *_again(part), *_list(part), *_looked(part)]


def _looked(part: Body) -> list[Section]:
    lines = [
        (k, look["outcome"], look["words"] or NOT_RECORDED, f"{look['by']}, {moment_text(look['at'])}")
        for k, look in enumerate(part.get("looks") or (), 1)
    ]
    headings = ("No.", "Second look", "In words", "By whom")
    table = Section(
        "The second look at a required inspection item", headings=headings, lines=lines, shares=(0.08, 0.2, 0.42, 0.3)
    )
    return [table] if lines else []


def _again(part: Body) -> list[Section]:
    lines = [(d["number"], d["text"], d["answer"], d["words"] or NOT_RECORDED) for d in part.get("again") or ()]
    headings = ("Discrepancy", "What was deferred", "Dealt with", "How")
    found = Section("Deferred before", headings=headings, lines=lines, shares=(0.16, 0.34, 0.2, 0.3))
    return [found] if lines else []


def _list(part: Body) -> list[Section]:
    found = part.get("found") or ()
    lines = [(k, d["text"], d["basis"], _standing(d)) for k, d in enumerate(found, 1)]
    if not lines:
        return [Section("List of discrepancies", rows=[("Discrepancies", "none")])]
    headings = ("No.", "Discrepancy", "Does not meet", "Stands")
    table = Section("List of discrepancies", headings=headings, lines=lines, shares=(0.08, 0.34, 0.28, 0.3))
    refused = ANSWERED.get(part.get("is_approved", "")) is False
    given = [
        ("List", part.get("list")),
        ("Dated", day_text(part.get("list_date"))),
        ("Given to", part.get("recipient")),
    ]
    return [table, Section("The list was given", given)] if refused else [table]


def _standing(line: Body) -> str:
    if not line.get("is_deferred"):
        return "open"
    return (
        f"deferred, inoperative permitted by {line.get('deferral')}; "
        f"placarded by {line.get('placard_by')} on {day_text(line.get('placard_on'))}"
    )


def _meter(part: Body) -> list[Section]:
    rows = [
        ("Changed at", moment_text(part.get("at"))),
        ("Last reading of the old meter", f"{part.get('old_h')} h"),
        ("First reading of the new meter", f"{part.get('new_h')} h"),
        ("To be added to the new meter's readings", f"{part.get('offset_h')} h"),
        ("Why", part.get("why")),
    ]
    return [Section("The hour meter", rows)]


def _calibration(part: Body) -> list[Section]:
    read, unit = (symbol_of(str(part.get(name) or "")) for name in ("reads", "unit"))
    rows = [
        ("Channel", part.get("channel")),
        ("Holds from", day_text(part.get("begins_on"))),
        ("Taken from", part.get("source")),
    ]
    lines = [(figure(a, places=3), figure(b, places=3)) for a, b in part.get("pairs") or ()]
    headings = (f"Read, {read}", f"Is, {unit}")
    table = Section("What is read, and what it is", headings=headings, lines=lines, shares=(0.5, 0.5))
    return [Section("The calibration", rows), *([table] if lines else [])]


def _opening(part: Body) -> list[Section]:
    used = part.get("used") or {}
    rows: list[tuple[str, Any]] = [
        ("Rests on", part.get("basis_words")),
        ("Run time", hours_given(used.get("run_time_s"))),
        ("Time in service", hours_given(used.get("time_in_service_s"))),
        ("Starts", used.get("starts")),
        ("Cycles", used.get("cycles")),
        ("Record", _not_applicable(part.get("document"), "nothing was used before")),
    ]
    if part.get("basis_text"):
        rows.append(("Reconstructed", part["basis_text"]))
    if part.get("granted_by"):
        granter = GRANTERS.get(part["granted_by"], part["granted_by"])
        rows += [
            (
                "Zero time granted by",
                f"{granter}: {part.get('granted_name')}, signed {day_text(part.get('granted_on'))}",
            ),
            ("Airworthiness directives embodied", listed(part.get("directives"))),
            ("Service bulletins embodied", listed(part.get("bulletins"))),
        ]
    return [Section("Opening balance", rows)]
