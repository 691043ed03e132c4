"""Words for ages and spans of days, the same on every screen."""

from datetime import date


def age_words(days: int) -> str:
    """Return an age in whole days, in words."""
    if days <= 0:
        return "today"
    return "1 day ago" if days == 1 else f"{days} days ago"


def validity_words(first: date | None, last: date | None, today: date) -> str:
    """Return how a span of days, both included, stands today, in words; None stands for no bound."""
    if last is not None and last < today:
        return f"ended {last}"
    if first is not None and first > today:
        return f"begins {first}"
    if last is None:
        return "valid, no end"
    left = (last - today).days
    return f"valid to {last}, {left} day{'' if left == 1 else 's'} left"
