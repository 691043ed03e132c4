"""What an entry is about: engine, times at that point, the run and the evidence of it."""

from collections.abc import Mapping, Sequence
from typing import Any

from reportlab.platypus import Table

from inspections.drawing.words import clock_text, quantity, seconds_text
from logbook.printing.blocks import Story, grid, pairs, paragraph, part, titled
from logbook.printing.wording import (
    DIGEST_DIGITS,
    NOT_RECORDED,
    completed_of,
    day_text,
    given,
    hours_given,
    kind_text,
    listed,
    moment_text,
    none_or_blank,
    read_as_words,
)

Body = Mapping[str, Any]


def engine_rows(engine: Body) -> list[tuple[str, Any]]:
    """Return what identifies an engine.

    Parameters
    ----------
    engine : mapping
        ``serial``, ``type``, ``fitted_to``, ``position``.

    Returns
    -------
    list of (str, value)
        Labels and values.
    """
    names = {"serial": "Engine serial", "type": "Engine type", "fitted_to": "Fitted to", "position": "Position"}
    return [(label, engine.get(key)) for key, label in names.items()]


def particulars(body: Body, number: int) -> Story:
    """Return whose record it is, of which engine, and when.

    Parameters
    ----------
    body : mapping
        Body of an entry.
    number : int
        The entry's number.

    Returns
    -------
    list of Flowable
        One table.
    """
    signed = body.get("signed") or {}
    rows = [
        ("Entry number", number),
        ("Kind of entry", kind_text(body.get("kind"))),
        *engine_rows(body.get("engine") or {}),
        ("Operator", body.get("operator")),
        ("Place", body.get("place")),
        ("Date completed", completed_of(body)),
        ("Date signed", day_text(signed.get("at"))),
    ]
    return [pairs(rows, columns=2)]


def times_table(times: Body) -> Story:
    """Return what the engine had used at that point.

    Parameters
    ----------
    times : mapping
        ``run_time_s`` and ``time_in_service_s`` in whole seconds, ``starts``, ``cycles``.

    Returns
    -------
    list of Flowable
        One table, hours to the tenth.
    """
    row = [
        hours_given(times.get("run_time_s")),
        hours_given(times.get("time_in_service_s")),
        times.get("starts"),
        times.get("cycles"),
    ]
    return [grid(("Run time", "Time in service", "Starts", "Cycles"), [row], (0.25, 0.25, 0.25, 0.25))]


def times_section(body: Body) -> Story:
    """Return the engine's times at the point of an entry, under their heading.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Heading and table.
    """
    return titled("Engine times at this point", times_table(body.get("times") or {}))


def run_section(body: Body) -> Story:
    """Return the run that an entry is about.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Heading and table; nothing where there is no run.
    """
    run = body.get("run")
    if not run:
        return []
    rows = [
        ("Kind of run", kind_text(run.get("kind"))),
        ("Started", moment_text(run.get("started_at"))),
        ("Hour meter at the end", _meter(run.get("typed") or {})),
        *(("Event timer", line) for line in run.get("timed") or ()),
        *((label, text) for label, text in run.get("besides") or ()),
        ("Remarks", run.get("remarks")),
        ("Run identifier", run.get("id")),
    ]
    return titled("The run", [pairs(rows), _used(run.get("typed") or {}, run.get("counted") or {})])


def _meter(typed: Body) -> str | None:
    hours = typed.get("meter_h")
    return None if hours is None else quantity(hours, "h")


def _used(typed: Body, counted: Body) -> Table:
    """Return what a person wrote of a run's times, and what was counted."""
    hours = [("Run time", "run_time_s"), ("Time in service", "time_in_service_s")]
    rows: list[list[Any]] = [
        [label, hours_given(typed.get(key), 2), hours_given(counted.get(key), 2)] for label, key in hours
    ]
    rows += [[key.capitalize(), typed.get(key), counted.get(key)] for key in ("starts", "cycles")]
    partial = typed.get("partial_cycles"), counted.get("partial_cycles")
    rows += [["Partial cycles", *partial]] if any(partial) else []
    return grid(("Used in this run", "As written down", "As counted"), rows, (0.3, 0.35, 0.35))


def _evidence_row(item: Body) -> list[Any]:
    if item.get("kind") == "trace":
        samples = item.get("samples")
        unused = f"columns not used: {listed(item.get('unused'))}"
        what = f"{given(item.get('name'))}, {NOT_RECORDED if samples is None else f'{samples:,}'} samples; {unused}"
        return [kind_text("trace"), what, given(item.get("sha256"))[:DIGEST_DIGITS]]
    return [kind_text(item.get("kind")), _reading_text(item), "not applicable: no file"]


def _reading_text(item: Body) -> str:
    """Return a reading that a person wrote down; a figure that is not known is called so."""
    peak, seconds = item.get("peak"), item.get("seconds")
    value = "peak not known" if peak is None else f"peak {quantity(peak, item.get('unit') or '')}"
    value += "" if item.get("converted") is None else f" ({read_as_words(item)})"
    time = "time not known" if seconds is None else f"for {seconds_text(seconds)}"
    timed = item.get("timed_seconds")
    time += "" if timed is None else f" (timed: {seconds_text(timed)})"
    return f"{given(item.get('chart'))}: {value}, {time}; remarks: {given(item.get('remarks'))}"


def evidence_section(body: Body) -> Story:
    """Return what the verdict rests on, with the beginning of each file's SHA-256.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Heading and table.
    """
    evidence: Sequence[Body] | None = body.get("evidence")
    if not evidence:
        nothing = paragraph(f"Readings and recorded traces: {none_or_blank(evidence)}.")
        return titled("Evidence", [nothing, *_reasons(body.get("reasons"))])
    headings = ("Evidence", "What", f"SHA-256, first {DIGEST_DIGITS} digits")
    table = grid(headings, [_evidence_row(i) for i in evidence], (0.2, 0.5, 0.3))
    return titled("Evidence", [table, *_reasons(body.get("reasons"))])


def _reasons(reasons: Sequence[Body] | None) -> Story:
    """Return what was asked about when the run was recorded, and the reasons typed."""
    if not reasons:
        return []
    headings = ("Figure", "As typed", "Asked", "Reason typed")
    rows = [[given(said.get(key)) for key in ("field", "value", "question", "reason")] for said in reasons]
    return part("Asked and answered", [grid(headings, rows, (0.17, 0.13, 0.4, 0.3))])


def starts_part(verdict: Body) -> Story:
    """Return the starts that a trace shows.

    Parameters
    ----------
    verdict : mapping
        The verdict's document.

    Returns
    -------
    list of Flowable
        Heading and table; nothing where the verdict has none.
    """
    starts: Sequence[Body] = verdict.get("starts") or []
    if not starts:
        return []
    headings = ("Start", "Turning at", "Light-off after", "Idle after", "Outcome")
    rows = [
        [k, clock_text(start["turning_s"], 1), _after(start, "light_off_s"), _after(start, "idle_s"), start["outcome"]]
        for k, start in enumerate(starts, 1)
    ]
    return part("Starts in the record", [grid(headings, rows, (0.12, 0.2, 0.24, 0.22, 0.22))])


def _after(start: Body, key: str) -> str:
    return "not seen" if start.get(key) is None else seconds_text(start[key] - start["turning_s"])
