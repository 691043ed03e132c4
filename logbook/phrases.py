"""Words for ages, the same on every screen."""


def age_words(days: int) -> str:
    """Return an age in whole days, in words."""
    if days <= 0:
        return "today"
    return "1 day ago" if days == 1 else f"{days} days ago"
