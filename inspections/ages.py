"""How long something has been open, in bands that a list counts by."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class AgeBand:
    """A band of ages in whole days, both ends included; no end for the oldest. [d]"""

    key: str
    words: str
    least: int
    most: int | None


BANDS: Final = (
    AgeBand("0-2", "0 to 2 days", 0, 2),
    AgeBand("3-7", "3 to 7 days", 3, 7),
    AgeBand("8-30", "8 to 30 days", 8, 30),
    AgeBand("over-30", "over 30 days", 31, None),
)


def band_of(days: int) -> AgeBand:
    """Return the band that an age belongs to.

    Parameters
    ----------
    days : int
        The age in whole days; a clock that runs behind may make it negative. [d]

    Returns
    -------
    AgeBand
        The youngest band for an age below 0.
    """
    return next((band for band in BANDS if band.most is not None and days <= band.most), BANDS[-1])
