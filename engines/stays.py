"""Where a part ran, and when: its own ledger of fitted and removed, followed through the modules it sat in."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

ENGINE, PART = "engine", "part"


@dataclass(frozen=True)
class Host:
    """What a part is fitted to: an engine or another part, by its key."""

    kind: str
    key: int


@dataclass(frozen=True)
class LedgerLine:
    """One line of a part's ledger: fitted to a host, or removed from it."""

    at: datetime
    is_fitted: bool
    host: Host


@dataclass(frozen=True)
class Span:
    """A part on a host from one moment to before another; None while it still is."""

    host: Host
    begin: datetime
    end: datetime | None


@dataclass(frozen=True)
class Away:
    """A part with another owner, from when it went until it came back; None while it is there."""

    begin: datetime
    end: datetime | None = None


Ledgers = Mapping[int, Sequence[LedgerLine]]


def ledger_fault(lines: Sequence[LedgerLine]) -> str:
    """Return what is wrong with a part's ledger.

    Parameters
    ----------
    lines : sequence of LedgerLine
        In order of time; a removal stands before a fitting of the same moment.

    Returns
    -------
    str
        What does not follow, in words; empty where fitted and removed alternate, each removal names the host
        that the part was fitted to, and no stay is without length.
    """
    if lines and not lines[0].is_fitted:
        return "it is removed before it was ever fitted"
    for before, after in pairwise(lines):
        if before.is_fitted == after.is_fitted:
            word = "fitted" if after.is_fitted else "removed"
            return f"it is {word} twice, the second time at {after.at:%Y-%m-%d %H:%M}"
        if before.is_fitted and after.host != before.host:
            return f"it is removed at {after.at:%Y-%m-%d %H:%M} from where it was not fitted"
        if before.is_fitted and after.at <= before.at:
            return f"it is removed at {after.at:%Y-%m-%d %H:%M}, no later than it was fitted"
    return ""


def gone_fault(lines: Sequence[LedgerLine], away: Sequence[Away], mutilated: Sequence[datetime]) -> str:
    """Return what is wrong with a part's ledger while the part was with other owners, or once it was mutilated.

    Parameters
    ----------
    lines : sequence of LedgerLine
        In order of time, without a fault; what left while it was fitted came off at that moment.
    away : sequence of Away
        When it went and came back, in order of time.
    mutilated : sequence of datetime
        When it came off and was mutilated beyond repair.

    Returns
    -------
    str
        What does not follow, in words; empty where it was off when it went, moved no more until it came back, went
        again only after that, and was not fitted once it was mutilated.
    """
    for before, after in pairwise(away):
        if before.end is None or before.end > after.begin:
            return "it went to another owner twice"
    for gone in away:
        if fault := _away_fault(lines, gone):
            return f"it went to another owner at {gone.begin:%Y-%m-%d %H:%M}, {fault}"
    for at in mutilated:
        if any(line.is_fitted and line.at >= at for line in lines):
            return f"it was mutilated at {at:%Y-%m-%d %H:%M}, and is fitted later"
    return ""


def _away_fault(lines: Sequence[LedgerLine], gone: Away) -> str:
    before = [line for line in lines if line.at <= gone.begin]
    if before and before[-1].is_fitted:
        return "while it was fitted"
    if any(line.at > gone.begin and (gone.end is None or line.at < gone.end) for line in lines):
        return "and moves here before it came back"
    return ""


def spans_of(lines: Sequence[LedgerLine]) -> list[Span]:
    """Return where a part was fitted, by its own ledger.

    Parameters
    ----------
    lines : sequence of LedgerLine
        In order of time, without a fault.

    Returns
    -------
    list of Span
        One for each fitting, in order.
    """
    ends: list[datetime | None] = [*(line.at for line in lines[1:]), None]
    return [Span(line.host, line.at, end) for line, end in zip(lines, ends, strict=False) if line.is_fitted]


def stays_of(part: int, ledgers: Ledgers, cuts: Iterable[datetime] = ()) -> list[Span]:
    """Return on which engines a part ran, through every module that it sat in.

    Parameters
    ----------
    part : int
        The part.
    ledgers : mapping of int to sequence of LedgerLine
        The ledger of the part and of every part that it ever sat in, each in order of time.
    cuts : iterable of datetime
        Moments at which a stay is parted in two, such as an overhaul.

    Returns
    -------
    list of Span
        Stays on engines, in order of time, none overlapping another.

    Raises
    ------
    ValueError
        If a part sits, by way of others, in itself.
    """
    found = _followed(part, ledgers, frozenset())
    for cut in sorted(set(cuts)):
        found = [piece for span in found for piece in _parted(span, cut)]
    return sorted(found, key=lambda span: span.begin)


def _followed(part: int, ledgers: Ledgers, above: frozenset[int]) -> list[Span]:
    if part in above:
        raise ValueError(f"part {part} would sit in itself.")
    found = []
    for span in spans_of(ledgers.get(part, ())):
        if span.host.kind == ENGINE:
            found.append(span)
        else:
            outer = _followed(span.host.key, ledgers, above | {part})
            found += [both for stay in outer if (both := _common(span, stay)) is not None]
    return found


def _common(inner: Span, outer: Span) -> Span | None:
    """Return the time that two spans have in common, on the outer one's host."""
    begin = max(inner.begin, outer.begin)
    ends = [end for end in (inner.end, outer.end) if end is not None]
    end = min(ends, default=None)
    return None if end is not None and end <= begin else Span(outer.host, begin, end)


def _parted(span: Span, cut: datetime) -> list[Span]:
    if cut <= span.begin or (span.end is not None and cut >= span.end):
        return [span]
    return [Span(span.host, span.begin, cut), Span(span.host, cut, span.end)]
