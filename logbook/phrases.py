"""Words for ages, the same on every screen."""

AGE_BANDS = ((2, "0 to 2 days"), (7, "3 to 7 days"), (30, "8 to 30 days"))
OLDEST = "over 30 days"
BAND_NAMES = (*(name for _, name in AGE_BANDS), OLDEST)


def age_words(days: int) -> str:
    """Return an age in whole days, in words."""
    if days <= 0:
        return "today"
    return "1 day ago" if days == 1 else f"{days} days ago"


def age_band(days: int) -> str:
    """Return the band of ages that a number of days belongs to, in words."""
    return next((name for most, name in AGE_BANDS if days <= most), OLDEST)
