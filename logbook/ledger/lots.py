"""Reading an operator's entries by lots, each held to its numbers and hashes; in one process, or in several at once."""

from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from hashlib import sha256
from multiprocessing import get_all_start_methods, get_context
from typing import Final

from django.db import DatabaseError, connection, connections

from engines.errors import DomainError
from logbook.ledger.canonical import HEAD

LEVELS: Final = 12
LOT: Final = 1 << LEVELS  # entries of which a complete subtree is made at once
FORK: Final = "fork"  # which not every system has
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


def lots_read(operator_id: int, *, processes: int = 1) -> Iterator[list[bytes]]:
    """Yield the hashes of an operator's entries by lots, of which only the last may be short.

    ``processes`` is how many read at once, each over a connection of its own: for a program that does nothing else,
    not for a thread of a server. Rows that only this connection sees are read by one. Raises LedgerBroken for the
    first entry that is wrong.
    """
    size = 0
    for leaves in full_lots(operator_id, processes):
        size += len(leaves)
        yield leaves
    while leaves := lot_read(operator_id, size):
        size += len(leaves)
        yield leaves


def full_lots(operator_id: int, processes: int) -> Iterator[list[bytes]]:
    """Yield in their order, read by several processes, the lots that are full by now; none where one is to read all."""
    if processes == 1 or connection.in_atomic_block or _is_in_memory() or FORK not in get_all_start_methods():
        return
    full = _count(operator_id) // LOT
    connections.close_all()  # a process must not go on with the connection that it inherits
    with ProcessPoolExecutor(processes, get_context(FORK)) as pool:
        yield from pool.map(partial(lot_read, operator_id), range(0, full * LOT, LOT))


def _is_in_memory() -> bool:
    return bool(getattr(connection, "is_in_memory_db", lambda: False)())


def _count(operator_id: int) -> int:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT count(*) FROM logbook_entry WHERE operator_id = {operator_id:d}")
        return int(cursor.fetchone()[0])


def lot_read(operator_id: int, size: int) -> list[bytes]:
    """Return the hashes of the lot of entries that comes after so many; none where there are no more."""
    # Without parameters the statement goes as it is, whose signs of percent are the database's own.
    asked = f"{rows_sql()} WHERE operator_id = {operator_id:d}"
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
