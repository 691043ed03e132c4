"""Where two verdicts differ, numbers compared to a billionth."""

import math
from fractions import Fraction
from typing import Any

WORDS = {"reason"}  # told in each one's own words
CLOSE = 1e-9


def alike(ours: Any, exact: Any) -> bool:
    """Tell whether two single facts are the same, numbers to a billionth."""
    if isinstance(exact, bool) or not isinstance(exact, Fraction | int | float):
        return bool(ours == exact)
    return isinstance(ours, int | float) and math.isclose(ours, exact, rel_tol=CLOSE, abs_tol=CLOSE)


def parts_of(document: Any) -> dict[Any, Any] | None:
    """Return the parts of a document by key or place, None for a single fact."""
    if isinstance(document, dict):
        return {key: part for key, part in document.items() if key not in WORDS}
    return dict(enumerate(document)) if isinstance(document, list) else None


def differences(ours: Any, exact: Any, path: str = "") -> list[str]:
    """Return where two documents differ."""
    our_parts, parts = parts_of(ours), parts_of(exact)
    if our_parts is None or parts is None:
        return [] if alike(ours, exact) else [f"{path}: {ours!r}, expected {exact!r}"]
    if set(our_parts) != set(parts):
        return [f"{path}: {len(our_parts)} parts {list(our_parts)}, expected {len(parts)} parts {list(parts)}"]
    return [found for key in parts for found in differences(our_parts[key], parts[key], f"{path}.{key}")]
