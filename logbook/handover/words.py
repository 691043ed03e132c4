"""What the entry about a received record says, in labels and values."""

from collections.abc import Mapping
from typing import Any


def received_rows(received: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what was taken in, from whom, and what it can be checked against.

    Parameters
    ----------
    received : mapping
        The part of the entry's body: owner, ledger, key, root, counts, and the SHA-256 of the package.

    Returns
    -------
    list of (str, str)
        Labels and values.
    """
    counts = received.get("counts") or {}
    return [
        ("Handed over by", str(received.get("owner") or "")),
        ("Packed", str(received.get("made_at") or "")),
        ("In it", ", ".join(f"{name.replace('_', ' ')}: {count}" for name, count in sorted(counts.items()))),
        ("Package, SHA-256", str(received.get("package_sha256") or "")),
        ("Their ledger", f"{received.get('origin')}, {received.get('size')} entries, root {received.get('root')}"),
        ("Their key", str(received.get("key") or "")),
    ]
