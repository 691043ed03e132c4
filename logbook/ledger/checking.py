"""Checking an operator's entries from the rows up: every byte, the order, the tree, the checkpoints."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Final

from django.db import DatabaseError, connection

from engines.errors import DomainError
from engines.models import Operator
from logbook.ledger import tree
from logbook.ledger.canonical import HEAD
from logbook.ledger.guards import guards_missing
from logbook.ledger.keys import key_name
from logbook.ledger.notes import CheckpointFacts, NoteError, checkpoint_read, note_open

LEVELS: Final = 12
LOT: Final = 1 << LEVELS  # entries of which a complete subtree is made at once
AT_ONCE: Final = 64  # entries, which are hashed while they are still in the processor's own memory
# The end of an entry's document as the database itself writes it from the row; the tests hold it to Python's.
TAIL: Final = (
    ',"completed_on":"%s","component_id":%s,"corrects_id":%s,"engine_id":%s,"id":"%s","inspection_id":%s,'
    '"kind":"%s","number":%s,"operator_id":%s,"run_id":%s,"signed_at":"%sZ","signed_by_id":%s}'
)
# A leaf's document: as bytes, with the zero byte before it, where the database hands bytes over as they are.
DOCUMENT: Final = {
    "sqlite": "CAST(char(0) || '{head}' || content || {tail} AS blob)",
    "postgresql": "'{head}' || content || {tail}",
}
JOINED: Final = {"sqlite": "group_concat(hash, '')", "postgresql": "string_agg(hash, '')"}
WRITER: Final = {"sqlite": "printf", "postgresql": "format"}
IDENTIFIER: Final = {"sqlite": "{}", "postgresql": "replace({}::text, '-', '')"}
MOMENT: Final = {
    "sqlite": "replace(signed_at, ' ', 'T')",
    "postgresql": ("rtrim(rtrim(to_char(signed_at AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS.US'), '0'), '.')"),
}

Row = tuple[int, bytes | str, str]  # number, document, the hash that is stored with it


class LedgerBroken(DomainError):
    """The record is not what was signed; the message names the first thing that is wrong."""

    code = "ledger_broken"


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
        if len(leaves) == LOT:
            self._lot_close(self.levels[-1][0])

    def _lot_close(self, root: bytes) -> None:
        self.above[LEVELS, self.first >> LEVELS] = root
        for level, index, digest in self.edge.append(root):
            self.above[LEVELS + level, index] = digest
            self._hold(LEVELS + level, index, [digest])

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
        if level >= LEVELS and (level, index) in self.above:
            return self.above[level, index]
        return self.levels[level][index - (self.first >> level)]

    def root(self, size: int) -> bytes:
        """Return the root of the first so many entries, the last of which lies in the lot."""
        return tree.root_at(size, self.node)


def ledger_check(
    operator: Operator, *, kept_note: str = "", progress: Callable[[int], None] = lambda size: None
) -> Checked:
    """Check an operator's entries from the rows up, and return what they are.

    ``kept_note`` is a checkpoint that was kept elsewhere; ``progress`` is told how many entries are read. Raises
    LedgerBroken for the first thing that is wrong.
    """
    if missing := guards_missing(connection):
        raise LedgerBroken(f"The database does not guard what is kept: {missing[0]} is missing.")
    promised = _promised(operator, kept_note)
    climbed = Climbed(operator)
    for leaves in _lots(operator):
        before = climbed.size
        climbed.lot_add(leaves)
        for size in (size for size in promised if before < size <= climbed.size):
            _root_hold(climbed.root(size), promised[size])
        progress(climbed.size)
    _end_hold(climbed, promised)
    root = climbed.root(climbed.size) if climbed.size else tree.EMPTY_ROOT
    return Checked(climbed.size, root, sum(map(len, promised.values())))


def _lots(operator: Operator) -> Iterator[list[bytes]]:
    """Yield the hashes of the entries, so many at once that their subtree is complete."""
    size, count = 0, LOT
    while count == LOT:
        leaves = _lot(operator, size)
        size, count = size + len(leaves), len(leaves)
        if leaves:
            yield leaves


def _lot(operator: Operator, size: int) -> list[bytes]:
    # Without parameters the statement goes as it is, whose signs of percent are the database's own.
    asked = f"{rows_sql()} WHERE operator_id = {operator.pk:d}"
    after = f" AND number > {size:d}" if size else ""
    leaves: list[bytes] = []
    try:
        with connection.cursor() as cursor:
            cursor.execute(f"{asked}{after} ORDER BY number LIMIT {LOT}")
            while rows := cursor.fetchmany(AT_ONCE):
                leaves += _leaves(rows, size + len(leaves) + 1)
    except (DatabaseError, UnicodeError) as error:
        raise LedgerBroken(f"The entries after entry {size + len(leaves)} can't be read: {error}") from error
    return leaves


def rows_sql() -> str:
    """Return the statement that reads numbers, documents and the stored hashes of entries."""
    vendor = connection.vendor
    plain = IDENTIFIER[vendor].format
    values = [
        "completed_on",
        _or_null("component_id"),
        _or_null(plain("corrects_id"), quote=True),
        _or_null("engine_id"),
        plain("id"),
        _or_null("inspection_id"),
        "kind",
        "number",
        "operator_id",
        _or_null(plain("run_id"), quote=True),
        MOMENT[vendor],
        "signed_by_id",
    ]
    tail = f"{WRITER[vendor]}('{TAIL}', {', '.join(values)})"
    document = DOCUMENT[vendor].replace("{head}", HEAD.decode()).replace("{tail}", tail)
    return f"SELECT number, {document}, leaf_hash FROM logbook_entry"


def _or_null(value: str, *, quote: bool = False) -> str:
    text = f"'\"' || {value} || '\"'" if quote else f"CAST({value} AS text)"
    return f"coalesce({text}, 'null')"


def _leaves(rows: list[Row], first: int) -> list[bytes]:
    """Return the hashes of entries, held against their numbers and the hashes that are stored with them."""
    numbers, documents, stored = zip(*rows, strict=True)
    leaves = [sha256(leaf_data(document)).digest() for document in documents]
    if numbers != tuple(range(first, first + len(rows))) or tuple(map(bytes.hex, leaves)) != stored:
        raise _first_wrong(rows, leaves, first)
    return leaves


def leaf_data(document: bytes | str) -> bytes:
    """Return what a leaf's hash is taken of, from a document as the database writes it."""
    return document if isinstance(document, bytes) else b"\x00" + document.encode()


def _first_wrong(rows: list[Row], leaves: list[bytes], first: int) -> LedgerBroken:
    for expected, ((number, _, stored), leaf) in enumerate(zip(rows, leaves, strict=True), start=first):
        if number != expected:
            return LedgerBroken(f"Entry {expected} is missing: after entry {expected - 1} comes entry {number}.")
        if leaf.hex() != stored:
            break
    return LedgerBroken(f"Entry {number} is not what was signed: its text, or a column of its row, was changed.")


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
