"""What the entries about a record handed over and about one taken in say, in labels and values."""

from collections.abc import Mapping
from typing import Any, Final

ALL_GO, WORK_KEPT = "all_go", "work_kept"
PACKED, PACKED_AND_PRINTED = "packed", "packed_and_printed"
# 14 CFR 91.419(a) and (b), in our own words.
CUSTODY: Final = {
    ALL_GO: "All records go over: the status records (14 CFR 91.417(a)(2)) and the records of work and inspections "
    "(91.417(a)(1)). The new owner keeps them.",
    WORK_KEPT: "The status records (14 CFR 91.417(a)(2)) go over. By agreement the owner until now keeps custody of "
    "the records of work and inspections (91.417(a)(1)); the new owner still answers for making them available.",
}
FORMS: Final = {
    PACKED: "In coded form: one package that standard libraries read, with every entry as a print in it",
    PACKED_AND_PRINTED: "In coded form, as one package that standard libraries read, and printed on paper",
}
CHECKED: Final = (
    "Every file against the sealed list, the seal and the checkpoint against the key, every entry by its proof against "
    "the root"
)
KEYS: Final = {True: "the key that the owner gave apart from the package", False: "the key that lies in the package"}


def handed_rows(handed: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what was handed over, to whom, in which form, who keeps it, and by what it is known again.

    Parameters
    ----------
    handed : mapping
        The part of the entry's body: the new owner, the day, custody and form by their keys, where the records can be
        inspected, and the package: SHA-256 of it and of its list of files, seal, key, ledger, counts.

    Returns
    -------
    list of (str, str)
        Labels and values; an agreement and remarks only where there are any.
    """
    told = {name: str(handed.get(name) or "") for name in (*_SAID, *_PACKAGE)}
    told |= {"custody": CUSTODY.get(told["custody"], ""), "form": FORMS.get(told["form"], "")}
    said = [(label, told[name]) for name, label in _SAID.items() if told[name] or name not in _OPTIONAL]
    package = [(label, told[name]) for name, label in _PACKAGE.items()]
    return [*said, ("In it", _counted(handed)), *package, ("Ledger when it was packed", _ledger(handed))]


_SAID: Final = {
    "to": "Handed over to",
    "on": "On",
    "custody": "Custody of the records",
    "agreed_by": "Agreed by, for the new owner",
    "form": "Form",
    "available": "Available for inspection",
    "remarks": "Remarks",
}
_OPTIONAL: Final = ("agreed_by", "remarks")
_PACKAGE: Final = {
    "made_at": "Packed",
    "package_sha256": "Package, SHA-256",
    "manifest_sha256": "Its list of files, SHA-256",
    "seal": "Seal over that list",
    "key": "Key",
}


def _counted(told: Mapping[str, Any]) -> str:
    counts = told.get("counts") or {}
    return ", ".join(f"{name.replace('_', ' ')}: {count}" for name, count in sorted(counts.items()))


def _ledger(told: Mapping[str, Any]) -> str:
    return f"{told.get('origin')}, {told.get('size')} entries, root {told.get('root')}"


def received_rows(received: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what was taken in, from whom, and what it can be checked against.

    Parameters
    ----------
    received : mapping
        The part of the entry's body: owner, ledger, key, root, counts, and the SHA-256 of the package; who received
        it, how it was checked, and what it is the return of, where the entry says so.

    Returns
    -------
    list of (str, str)
        Labels and values.
    """
    later = [
        ("Received by", str(received.get("by") or "")),
        ("Checked", f"{CHECKED}; by {KEYS[bool(received['is_key_given'])]}" if "is_key_given" in received else ""),
        ("Came back", _returned(received.get("returns") or {})),
        ("Parts that came back", ", ".join(received.get("parts_back") or ())),
    ]
    return [
        ("Handed over by", str(received.get("owner") or "")),
        ("Packed", str(received.get("made_at") or "")),
        ("In it", _counted(received)),
        ("Package, SHA-256", str(received.get("package_sha256") or "")),
        ("Their ledger", _ledger(received)),
        ("Their key", str(received.get("key") or "")),
        *((label, text) for label, text in later if text),
    ]


def _returned(returns: Mapping[str, Any]) -> str:
    if not returns:
        return ""
    found = "which lies in this one as it was" if returns.get("is_in_it") else "which does not lie in this one"
    entry = f"by entry {returns['entry']}, " if returns.get("entry") else ""
    return f"It was handed over to {returns.get('to')} on {returns.get('on')}, {entry}with a package {found}."
