"""Whether an excursion belongs to a stretch of time, at each edge."""

import numpy as np
import pytest

from inspections.excursions import Spell, Stay, begins_in
from inspections.paths import path_of

PATH = path_of(np.array([0.0, 1.0]), np.array([1.0, 1.0]), 2.0)


def spell(start_s: float, end_s: float) -> Spell:
    assert PATH is not None
    return Spell((Stay(PATH, 0, 1, start_s, end_s),))


@pytest.mark.parametrize(
    ("start_s", "end_s", "is_open_in", "is_closed_in"),
    [
        (10.0, 30.0, True, True),  # begins with the stretch
        (19.9, 30.0, True, True),  # begins just before its end
        (20.0, 30.0, False, False),  # its end is no part of it
        (5.0, 15.0, True, True),  # is going on when it begins
        (5.0, 10.0, False, True),  # ends as it begins: only an excursion with its ends touches it
        (5.0, 9.9, False, False),
    ],
)
def test_an_excursion_begins_in_a_stretch_or_is_going_on(
    start_s: float, end_s: float, is_open_in: bool, is_closed_in: bool
) -> None:
    found = [begins_in(spell(start_s, end_s), 10.0, 20.0, is_closed=closed) for closed in (False, True)]
    assert found == [is_open_in, is_closed_in]
