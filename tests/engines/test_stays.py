"""Where parts ran, through the modules they sat in."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engines.stays import ENGINE, PART, Away, Host, LedgerLine, Span, gone_fault, ledger_fault, spans_of, stays_of

FIRST = datetime(2026, 1, 1, tzinfo=UTC)
A, B, MODULE = Host(ENGINE, 1), Host(ENGINE, 2), Host(PART, 10)


def day(n: float) -> datetime:
    """Return the n-th day."""
    return FIRST + timedelta(days=n)


def on(host: Host, n: float) -> LedgerLine:
    """Return a fitting on the n-th day."""
    return LedgerLine(day(n), True, host)


def off(host: Host, n: float) -> LedgerLine:
    """Return a removal on the n-th day."""
    return LedgerLine(day(n), False, host)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ([], ""),
        ([on(A, 1), off(A, 2), on(B, 2)], ""),
        ([off(A, 1)], "before it was ever fitted"),
        ([on(A, 1), on(B, 2)], "fitted twice"),
        ([on(A, 1), off(A, 2), off(A, 3)], "removed twice"),
        ([on(A, 1), off(B, 2)], "where it was not fitted"),
        ([on(A, 1), off(A, 1)], "no later"),
    ],
)
def test_a_ledger_must_follow(lines: list[LedgerLine], says: str) -> None:
    fault = ledger_fault(lines)
    assert says in fault
    assert bool(fault) == bool(says)


@pytest.mark.parametrize(
    ("lines", "away", "mutilated", "says"),
    [
        ([on(A, 1), off(A, 2)], [], [], ""),
        ([on(A, 1), off(A, 2)], [(3, 0)], [2], ""),
        ([], [(3, 0)], [], ""),
        ([on(A, 1), off(A, 2)], [(2, 0)], [], ""),
        ([on(A, 1), off(A, 2), on(B, 4)], [(3, 4)], [], ""),
        ([on(A, 1), off(A, 2)], [(3, 4), (5, 0)], [], ""),
        ([on(A, 1), off(A, 2)], [(3, 0), (4, 0)], [], "twice"),
        ([on(A, 1), off(A, 2)], [(3, 5), (4, 0)], [], "twice"),
        ([on(A, 1), off(A, 4)], [(3, 0)], [], "while it was fitted"),
        ([on(A, 1), off(A, 2), on(A, 4)], [(3, 5)], [], "before it came back"),
        ([on(A, 1), off(A, 2), on(A, 4)], [(3, 0)], [], "before it came back"),
        ([on(A, 1), off(A, 2), on(A, 3)], [], [2], "is fitted later"),
    ],
)
def test_what_is_gone_moves_no_more(
    lines: list[LedgerLine], away: list[tuple[int, int]], mutilated: list[int], says: str
) -> None:
    spans = [Away(day(begin), day(end) if end else None) for begin, end in away]
    fault = gone_fault(lines, spans, [day(n) for n in mutilated])
    assert says in fault
    assert bool(fault) == bool(says)


def test_a_part_runs_where_its_ledger_says() -> None:
    lines = [on(A, 1), off(A, 2), on(B, 3)]
    assert spans_of(lines) == [Span(A, day(1), day(2)), Span(B, day(3), None)]
    assert stays_of(7, {7: lines}) == spans_of(lines)
    assert stays_of(8, {7: lines}) == []


def test_a_part_in_a_module_runs_where_the_module_runs() -> None:
    ledgers = {7: [on(MODULE, 2), off(MODULE, 8), on(MODULE, 9)], 10: [on(A, 1), off(A, 4), on(B, 5)]}
    assert stays_of(7, ledgers) == [Span(A, day(2), day(4)), Span(B, day(5), day(8)), Span(B, day(9), None)]


def test_a_stay_is_parted_where_it_is_cut() -> None:
    lines = [on(A, 1), off(A, 4)]
    assert stays_of(7, {7: lines}, [day(1), day(2), day(4), day(2)]) == [
        Span(A, day(1), day(2)),
        Span(A, day(2), day(4)),
    ]
    assert stays_of(7, {7: [on(A, 1)]}, [day(2)]) == [Span(A, day(1), day(2)), Span(A, day(2), None)]


def test_a_part_can_not_sit_in_itself() -> None:
    with pytest.raises(ValueError, match="in itself"):
        stays_of(7, {7: [on(MODULE, 1)], 10: [on(Host(PART, 7), 2)]})


def in_turns(hosts: list[Host], days: list[int]) -> list[LedgerLine]:
    """Return a ledger of a fitting and a removal by turns, to one host after the other."""
    return [(on if k % 2 == 0 else off)(hosts[k // 2 % len(hosts)], n) for k, n in enumerate(days)]


def hosts_at(lines: list[LedgerLine], at: datetime) -> list[Host]:
    """Return the host that the last line before a moment fitted to, alone; none where that line is a removal."""
    passed = [line for line in lines if line.at <= at]
    return [line.host for line in passed[-1:] if line.is_fitted]


LINES = st.lists(st.integers(0, 60), min_size=0, max_size=8, unique=True).map(sorted)


@given(LINES, LINES, st.lists(st.integers(0, 60), max_size=3))
def test_any_moment_lies_in_a_stay_exactly_where_both_ledgers_say_so(
    own: list[int], outer: list[int], cuts: list[int]
) -> None:
    part, module = in_turns([MODULE], own), in_turns([A, B], outer)
    found = stays_of(7, {7: part, 10: module}, [day(n) for n in cuts])
    for n in range(61):
        at = day(n + 0.5)
        ran_with = [host for _ in hosts_at(part, at) for host in hosts_at(module, at)]
        assert [span.host for span in found if span.begin <= at and (span.end is None or at < span.end)] == ran_with
