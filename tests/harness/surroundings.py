"""What the tests see of the machine's environment."""

from collections.abc import Mapping

# What may be said to the tests; every other setting belongs to somebody's own logbook and stays outside.
KEPT = ("EMBERMARK_CHROMIUM", "EMBERMARK_SHARED", "EMBERMARK_REQUIRE_CHECKS", "EMBERMARK_RECORD_COUNTS")


def surroundings(environment: Mapping[str, str]) -> dict[str, str]:
    """Return an environment without the settings of anybody's own logbook."""
    return {name: value for name, value in environment.items() if not name.startswith("EMBERMARK_") or name in KEPT}
