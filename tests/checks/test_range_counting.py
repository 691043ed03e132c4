"""Range counting against the history that ASTM E1049-85 publishes (5.4.4, figure 6; numbers only).

The counts by rainflow are quoted in many public test files that cite the standard.
"""

import numpy as np
import pytest

from engines.counters import RangeRule
from engines.cycles import cycles_by, range_cycles, rises

HISTORY = [-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0]
PUBLISHED = {3.0: 0.5, 4.0: 1.5, 6.0: 0.5, 8.0: 1.0, 9.0: 0.5}
# Level crossings by 5.1, upward for levels above the reference: half levels, as a whole level equals a reversal.
CROSSINGS = {0.5: 4, 1.5: 3, 2.5: 3, 3.5: 2, 4.5: 1}


def test_the_published_ranges_are_counted() -> None:
    assert range_cycles(HISTORY) == PUBLISHED
    assert sum(PUBLISHED.values()) == 4.0


@pytest.mark.parametrize(("least", "count"), [(3, 4), (4, 4), (5, 2), (8, 2), (9, 1), (10, 0)])
def test_ranges_from_a_size_on_are_cycles(least: float, count: int) -> None:
    """Above 3: 4.0; above 4: 3.5, the half left over counted as a whole; above 6: 2.0; above 8: 1.5; above 9: 0.5."""
    assert cycles_by(RangeRule("load", least), np.array(HISTORY)) == count


@pytest.mark.parametrize(("level", "count"), list(CROSSINGS.items()))
def test_rises_past_a_level_are_the_published_crossings(level: float, count: int) -> None:
    """A rise between two levels close together is an upward crossing of the level between them."""
    assert rises(HISTORY, level - 0.01, level + 0.01) == count
