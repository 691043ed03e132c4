"""Checking an operator's entries from the rows up: every byte, the order, the tree, the checkpoints."""

from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Final

from django.db import connection

from engines.models import Operator
from logbook.ledger import lots, tree
from logbook.ledger.guards import guards_missing
from logbook.ledger.keys import key_name
from logbook.ledger.lots import LedgerBroken
from logbook.ledger.notes import CheckpointFacts, NoteError, checkpoint_read, note_open

JOINED: Final = {"sqlite": "group_concat(hash, '')", "postgresql": "string_agg(hash, '')"}


@dataclass(frozen=True)
class Checked:
    """A record that is whole: how many entries it has, their root, and how many checkpoints hold."""

    size: int
    root: bytes
    checkpoints: int


@dataclass
class Climbed:
    """The subtrees found so far: of the lot in hand each by level and place, above it by position in the tree."""

    operator: Operator
    size: int = 0
    above: dict[tuple[int, int], bytes] = field(default_factory=dict)
    levels: list[list[bytes]] = field(default_factory=list)
    first: int = 0
    edge: tree.GrowingTree = field(default_factory=tree.GrowingTree)

    def lot_add(self, leaves: list[bytes]) -> None:
        """Add a lot of leaves, and hold the stored hashes of its subtrees against what comes of them."""
        self.first, self.levels = self.size, [leaves]
        while len(self.levels[-1]) > 1:
            below = self.levels[-1]
            pairs = zip(below[::2], below[1::2], strict=False)
            self.levels.append([sha256(b"\x01" + left + right).digest() for left, right in pairs])
        self.size += len(leaves)
        for level, found in enumerate(self.levels[1:], start=1):
            self._hold(level, self.first >> level, found)
        if len(leaves) == lots.LOT:
            self._lot_close(self.levels[-1][0])

    def _lot_close(self, root: bytes) -> None:
        self.above[lots.LEVELS, self.first >> lots.LEVELS] = root
        for level, index, digest in self.edge.append(root):
            self.above[lots.LEVELS + level, index] = digest
            self._hold(lots.LEVELS + level, index, [digest])

    def _hold(self, level: int, index: int, found: list[bytes]) -> None:
        asked = f'FROM logbook_ledgernode WHERE operator_id = {self.operator.pk:d} AND level = {level:d} AND "index"'
        span = f'BETWEEN {index:d} AND {index + len(found) - 1:d} ORDER BY "index"'
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT {JOINED[connection.vendor]} FROM (SELECT hash {asked} {span}) AS nodes")
            (stored,) = cursor.fetchone()
        if (stored or "") != b"".join(found).hex():
            first, last = (index << level) + 1, (index + len(found)) << level
            raise LedgerBroken(f"The stored hashes over the entries {first} to {last} are not those of the entries.")

    def node(self, level: int, index: int) -> bytes:
        """Return the hash of a complete subtree that lies left of the lot, or in it."""
        if level >= lots.LEVELS and (level, index) in self.above:
            return self.above[level, index]
        return self.levels[level][index - (self.first >> level)]

    def root(self, size: int) -> bytes:
        """Return the root of the first so many entries, the last of which lies in the lot."""
        return tree.root_at(size, self.node)


def ledger_check(
    operator: Operator, *, kept_note: str = "", processes: int = 1, progress: Callable[[int], None] = lambda size: None
) -> Checked:
    """Check an operator's entries from the rows up, and return what they are.

    ``kept_note`` is a checkpoint that was kept elsewhere; ``processes`` is how many read at once (see
    ``lots_read``); ``progress`` is told how many entries are read. Raises LedgerBroken for the first
    thing that is wrong.
    """
    if missing := guards_missing(connection):
        raise LedgerBroken(f"The database does not guard what is kept: {missing[0]} is missing.")
    promised = _promised(operator, kept_note)
    climbed = Climbed(operator)
    for leaves in lots.lots_read(operator.pk, processes=processes):
        before = climbed.size
        climbed.lot_add(leaves)
        for size in (size for size in promised if before < size <= climbed.size):
            _root_hold(climbed.root(size), promised[size])
        progress(climbed.size)
    _end_hold(climbed, promised)
    root = climbed.root(climbed.size) if climbed.size else tree.EMPTY_ROOT
    return Checked(climbed.size, root, sum(map(len, promised.values())))


def _promised(operator: Operator, kept_note: str) -> dict[int, list[tuple[bytes, str]]]:
    """Return the roots that checkpoints promise, by size, with where each was promised."""
    name = key_name(operator)
    keys = [bytes.fromhex(key.public) for key in operator.ledger_keys.all()]
    promised: dict[int, list[tuple[bytes, str]]] = {}
    for row in operator.checkpoints.all():
        where = f"the checkpoint of {row.made_at:%Y-%m-%d %H:%M}"
        facts = _opened(row.note, name, keys, where)
        if (facts.size, facts.root.hex()) != (row.size, row.root):
            raise LedgerBroken(f"{where.capitalize()} does not say what its row says.")
        promised.setdefault(facts.size, []).append((facts.root, where))
    if kept_note:
        where = "the checkpoint that was kept elsewhere"
        facts = _opened(kept_note, name, keys, where)
        promised.setdefault(facts.size, []).append((facts.root, where))
    return promised


def _opened(note: str, name: str, keys: list[bytes], where: str) -> CheckpointFacts:
    for key in keys:
        try:
            return checkpoint_read(note_open(note, name=name, public_key=key))
        except NoteError as error:
            reason = error.message
    raise LedgerBroken(f"{where.capitalize()} does not hold: {reason if keys else 'no key of the operator is kept.'}")


def _root_hold(root: bytes, promised: list[tuple[bytes, str]]) -> None:
    for expected, where in promised:
        if expected != root:
            raise LedgerBroken(f"The entries up to there are not those that {where} was signed over.")


def _end_hold(climbed: Climbed, promised: dict[int, list[tuple[bytes, str]]]) -> None:
    largest = max(promised, default=0)
    if largest > climbed.size:
        raise LedgerBroken(
            f"The record has {climbed.size} entries, and {promised[largest][0][1]} covers {largest}: "
            "entries are missing at its end, or an older copy of the database was put back."
        )
    nodes = sum(climbed.size >> level for level in range(1, climbed.size.bit_length()))
    if climbed.operator.ledger_nodes.count() != nodes:
        raise LedgerBroken("There are stored hashes that belong to no entry.")
