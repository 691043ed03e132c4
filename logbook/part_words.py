"""Parts, their limits and their lives in words: the same on screens, in REST, in entries and on paper."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from engines.counters import EQUIVALENT, Counter, counter_of
from engines.lives import STATE_WORDS, Arithmetic, Limit, Line, Status, amount_text, shown_unit
from engines.models import PartLimit, PartMovement
from engines.part_queries import PartStatus
from engines.times import Times, hours_text


@dataclass(frozen=True)
class LimitRow:
    """One limit of a part in words: what it is of, how much, what is used and left, and how that stands."""

    row: PartLimit
    status: Status
    what: str
    limit: str
    used: str
    left: str
    state: str
    is_nearest: bool = False


def limit_rows(status: PartStatus, further: tuple[Counter, ...] = ()) -> list[LimitRow]:
    """Return each limit of a part in words, the one that is reached first marked."""
    nearest = status.nearest
    return [_row(row, told, further, is_nearest=told is nearest) for row, told in status.rows]


def _row(row: PartLimit, told: Status, further: tuple[Counter, ...], *, is_nearest: bool) -> LimitRow:
    unit = shown_unit(told.limit)
    used, left = (
        "not known" if amount is None else amount_text(amount, unit) for amount in (told.used, told.remaining)
    )
    state = STATE_WORDS[told.state]
    if told.state == "unknown":
        state = "Not known: the day on which it was made is not recorded"
    if told.due_on is not None:
        left = f"{left}\nuntil {told.due_on}"
    what = f"{row.get_kind_display()}, {counter_of(row.parameter, further).label.lower()}"
    return LimitRow(row, told, what, _limit_amount(row), used, left, state, is_nearest)


def _limit_amount(row: PartLimit) -> str:
    words = amount_text(row.amount, row.unit)
    if row.parameter == EQUIVALENT:
        words += f", a partial cycle counts {row.weight.normalize():f}"
    return f"{words}, tolerance {amount_text(row.tolerance, row.unit)}" if row.tolerance else words


@dataclass(frozen=True)
class SumLine:
    """One line of the arithmetic in words: the stay, the engine's counters at both ends, what it makes, and the sum."""

    where: str
    begin: str
    end: str
    counters: str
    amount: str
    sum: str


def sum_lines(limit: Limit, arithmetic: Arithmetic, further: tuple[Counter, ...] = ()) -> list[SumLine]:
    """Return the arithmetic behind a used figure, line by line."""
    return [_sum_line(limit, line, further) for line in arithmetic.lines]


def _sum_line(limit: Limit, line: Line, further: tuple[Counter, ...]) -> SumLine:
    parts = []
    for factor in line.factors:
        unit = counter_of(factor.counter, further).unit
        ends = f"{amount_text(factor.at_end, unit, 2)} − {amount_text(factor.at_begin, unit, 2)}"
        weight = f" × {float(factor.weight):g}" if limit.parameter == EQUIVALENT else ""
        parts.append(f"{counter_of(factor.counter, further).label.lower()}: ({ends}){weight}")
    end = f"{line.stay.end:%Y-%m-%d %H:%M}" if line.stay.end else "now"
    amount, so_far = (amount_text(value, limit.unit, 2) for value in (line.amount, line.sum))
    where = f"With {line.stay.where}, by their record" if line.stay.is_away else f"Engine {line.stay.where}"
    return SumLine(where, f"{line.stay.begin:%Y-%m-%d %H:%M}", end, "; ".join(parts), amount, so_far)


def control_words(line: PartMovement) -> str:
    """Return how a removed part is controlled, in words."""
    if line.control:
        return f"({line.control}) {line.get_control_display()}"
    return "none: removed for a time only (14 CFR 43.10(b))" if line.is_temporary else "none needed: no life limit"


def limit_words(limit: PartLimit) -> str:
    """Return a limit with its unit, its weight and its tolerance."""
    counter = counter_of(limit.parameter).label
    words = f"{limit.get_kind_display()} {amount_text(limit.amount, limit.unit)} {counter.lower()}"
    if limit.parameter == EQUIVALENT:
        words += f", a partial cycle counted as {limit.weight.normalize():f}"
    return f"{words}, tolerance {amount_text(limit.tolerance, limit.unit)}" if limit.tolerance else words


def life_words(times: Times) -> str:
    """Return what was used, each counter that stands at anything."""
    hours = [("run time", times.run_time_s), ("time in service", times.time_in_service_s)]
    counts = [("starts", times.starts), ("full cycles", times.cycles), ("partial cycles", times.partial_cycles)]
    said = [f"{hours_text(seconds)} h {name}" for name, seconds in hours if seconds]
    said += [f"{count} {name}" for name, count in (*counts, *times.other.items()) if count]
    return ", ".join(said) or "nothing"


def used_words(life: dict[str, Any]) -> str:
    """Return what a part had used by a line of its ledger."""
    return life_words(Times(**life["used"])) if life.get("used") else "not recorded"


def life_lines(life: dict[str, Any]) -> list[tuple[str, str]]:
    """Return what a part had used and had left of each life limit by a line of its ledger."""
    found = []
    for row in life.get("limits", ()):
        unit = "days" if row["unit"] == "months" else row["unit"]
        told = [amount_text(Fraction(row[name]), unit) if row[name] else "not known" for name in ("used", "remaining")]
        words = f"used {told[0]}, left {told[1]} of {amount_text(row['amount'], row['unit'])}"
        found.append(
            (counter_of(row["parameter"]).label.lower(), f"{words}; {row['source']}, revision {row['revision']}")
        )
    return found
