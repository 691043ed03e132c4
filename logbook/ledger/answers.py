"""What the public page answers about a printed entry: whether it is what the record says, and nothing else of it."""

import re
from dataclasses import dataclass
from datetime import date

from logbook.ledger import tree
from logbook.ledger.codes import code_read
from logbook.ledger.rows import Entry
from logbook.ledger.store import inclusion_proof

NO_MATCH, CURRENT, SUPERSEDED, VOID = "no match", "current", "superseded", "void"
HASH = re.compile("[0-9a-f]{64}")


@dataclass(frozen=True)
class Answer:
    """The state of an entry that was asked for by its code; serial and day only where there is a match."""

    state: str
    serial: str = ""
    day: date | None = None


def answer_for(asked: str) -> Answer:
    """Return the answer for a code as it is printed, or for the hash that a QR carries.

    The entry's hash is taken anew from its row, and its place in the tree proved against the newest checkpoint, so that
    a record that was changed does not match its paper. ValueError for what can't be a code, saying what would be one.
    """
    digits = asked.lower() if HASH.fullmatch(asked.lower()) else code_read(asked)
    found = Entry.objects.filter(leaf_hash__gte=digits, leaf_hash__lt=f"{digits}g").select_related(
        "operator", "engine", "component", "corrected_by"
    )[:2]
    entries = [entry for entry in found if _is_whole(entry, digits)]
    return _answer(entries[0]) if len(entries) == 1 else Answer(NO_MATCH)


def _is_whole(entry: Entry, digits: str) -> bool:
    leaf = tree.leaf_hash(entry.document)
    if leaf.hex() != entry.leaf_hash or not entry.leaf_hash.startswith(digits):
        return False
    point = entry.operator.checkpoints.last()
    if point is None or point.size < entry.number:
        return True
    path = inclusion_proof(entry, point.size)
    root = bytes.fromhex(point.root)
    return tree.inclusion_holds(leaf, index=entry.number - 1, size=point.size, path=path, root=root)


def _answer(entry: Entry) -> Answer:
    about = entry.engine or entry.component
    return Answer(entry_state(entry), about.serial if about else "", entry.completed_on)


def entry_state(entry: Entry) -> str:
    """Return whether an entry is current, or what its correction made of it."""
    correction: Entry | None = getattr(entry, "corrected_by", None)
    if correction is None:
        return CURRENT
    return VOID if (correction.body.get("correction") or {}).get("how") == VOID else SUPERSEDED
