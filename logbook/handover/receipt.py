"""The receipt of a package: what was handed over, and who answers for the records from then on."""

from collections.abc import Mapping
from typing import Any, Final

# 14 CFR 91.419, in our own words.
CUSTODY: Final = (
    "Whoever sells an aircraft hands the buyer, with it, the status records: total times, life-limited parts, times "
    "since overhaul, inspection status, directives, and forms of major alterations (14 CFR 91.417(a)(2)).",
    "The records of work and inspections (91.417(a)(1)) go over as well. The buyer may agree that the seller keeps "
    "these; the buyer then still answers for making them available to the authority.",
    "Records may be handed over in plain language, or in a coded form that can be read back in a way that the "
    "authority accepts. This package holds both: prints and tables, and the entries as they were signed.",
)
LINES: Final = ("Handed over by (name, for the owner named above)", "Received by (name, for the new owner)")


def receipt_document(manifest: Mapping[str, Any], counts: Mapping[str, int], checkpoint: Mapping[str, Any]) -> Any:
    """Return the receipt as data.

    Parameters
    ----------
    manifest : mapping
        What the manifest says of the package: title, when and by whom it was made, and the operator.
    counts : mapping
        How many of what are in it.
    checkpoint : mapping
        Origin, size and root of the ledger.

    Returns
    -------
    dict
        What RECEIPT.txt says in words.
    """
    return {**manifest, "counts": dict(counts), "checkpoint": dict(checkpoint), "custody": list(CUSTODY)}


def receipt_text(receipt: Mapping[str, Any]) -> str:
    """Return the receipt in words, to be printed and signed on paper.

    Parameters
    ----------
    receipt : mapping
        As data.

    Returns
    -------
    str
        Lines, with blanks for two signatures.
    """
    counted = [f"  {name.replace('_', ' ')}: {count}" for name, count in receipt["counts"].items()]
    checkpoint = receipt["checkpoint"]
    signed = [line for words in LINES for line in (words, "", "  ______________________  date ______________", "")]
    demo = ["Everything here is invented: it comes from a demo.", ""] if receipt["is_demo"] else []
    return "\n".join(
        [
            "RECEIPT FOR A MAINTENANCE RECORD",
            "",
            *demo,
            f"Record of: {receipt['title']}",
            f"Owner who hands it over: {receipt['operator']}",
            f"Packed: {receipt['made_at']} by {receipt['made_by']}",
            "",
            "In this package:",
            *counted,
            "",
            f"The entries stand in the ledger {checkpoint['origin']} as it was at {checkpoint['size']} entries,",
            f"root {checkpoint['root']}.",
            "Check the package with check.py (Python, no network) or check.html (any browser, no network).",
            "",
            "Custody of the records:",
            *(f"* {words}" for words in receipt["custody"]),
            "",
            *signed,
        ]
    )
