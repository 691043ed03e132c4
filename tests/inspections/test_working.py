"""The arithmetic as it is printed: the sentences of the explanation, a long sum shortened."""

import pytest

from inspections.explaining_words import Explanation
from inspections.working import MOST_STAYS, RULE, rules_once, working_rows

SUM = ("Together 20 s above 700 °C.", "Between two samples the reading runs straight.")


def explained(stays: int = 0, worst: tuple[str, ...] = ()) -> Explanation:
    """Return an explanation with so many stays."""
    lines = tuple(f"stay {k}" for k in range(stays))
    return Explanation(("Limit.", "Method."), (*lines, *SUM), "Peak.", ("A.", "B."), "None.", ("Nothing.",), worst)


def test_each_step_is_a_row_of_its_own() -> None:
    assert working_rows(explained()) == [
        ("The rule", "Limit.\nMethod."),
        ("Time beyond the limit", "\n".join(SUM)),
        ("Peak", "Peak."),
        ("Areas", "A.\nB."),
        ("Next area", "None."),
        ("Assumed", "Nothing."),
    ]


def test_what_was_assumed_is_worked_through_at_worst() -> None:
    assert working_rows(explained(worst=("A at worst.",)))[-1] == ("Areas at worst", "A at worst.")


@pytest.mark.parametrize(("stays", "said"), [(MOST_STAYS, None), (MOST_STAYS + 3, "and 3 more of the same kind")])
def test_a_long_sum_is_shortened_and_says_so(stays: int, said: str | None) -> None:
    lines = dict(working_rows(explained(stays)))["Time beyond the limit"].split("\n")
    assert lines[:MOST_STAYS] == [f"stay {k}" for k in range(MOST_STAYS)]
    assert lines[MOST_STAYS:] == [*([said] if said else []), *SUM]


def test_a_rule_is_written_out_once() -> None:
    tables = [[(RULE, "By time."), ("Peak", "770")], [(RULE, "By peak."), ("Peak", "770")], [(RULE, "By time.")]]
    assert rules_once(tables) == [*tables[:2], [(RULE, "As for excursion 1.")]]
