"""Adding entries to an operator's tree of hashes, and reading proofs from it; each costs as the tree is high."""

from __future__ import annotations

import uuid
from datetime import timedelta
from functools import reduce
from operator import or_
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from engines.models import Operator
from logbook.ledger import tree
from logbook.ledger.canonical import canonical
from logbook.ledger.keys import key_name, ledger_key
from logbook.ledger.notes import checkpoint_text, note_sign
from logbook.ledger.rows import Checkpoint, Entry, LedgerNode

if TYPE_CHECKING:
    from collections.abc import Iterable

CHECKPOINT_EVERY: Final = 100  # entries
CHECKPOINT_AFTER: Final = timedelta(days=1)


@transaction.atomic
def entry_seal(*, operator_id: int, body: dict[str, Any], **row: Any) -> Entry:
    """Add the next entry of an operator and its hashes; the operator's row is locked, so that numbers have no gaps."""
    operator = Operator.objects.select_for_update().get(pk=operator_id)
    size = size_of(operator)
    entry = Entry(
        id=uuid.uuid4(),
        operator=operator,
        number=size + 1,
        content=canonical(body),
        **row,
    )
    leaf = tree.leaf_hash(entry.document)
    entry.leaf_hash = leaf.hex()
    entry.save(force_insert=True)
    _nodes_add(operator, size, leaf)
    if _is_checkpoint_due(operator, entry):
        checkpoint_make(operator)
    return entry


def size_of(operator: Operator) -> int:
    """Return how many entries an operator has; their numbers have no gaps."""
    newest = operator.entries.order_by("-number").values_list("number", flat=True).first()
    return newest or 0


def _nodes_add(operator: Operator, size: int, leaf: bytes) -> None:
    growing = tree.GrowingTree(size, nodes_read(operator, tree.edge_positions(size)))
    LedgerNode.objects.bulk_create(
        LedgerNode(operator=operator, level=level, index=index, hash=digest.hex())
        for level, index, digest in growing.append(leaf)
    )


def nodes_read(operator: Operator, positions: Iterable[tuple[int, int]]) -> list[bytes]:
    """Return the hashes of complete subtrees in the order asked for, in two queries."""
    positions = list(positions)
    leaves = [index + 1 for level, index in positions if level == 0]
    # The operator stands in each, so that the database looks each up in its index instead of reading them all.
    above = [Q(operator=operator, level=level, index=index) for level, index in positions if level]
    found: dict[tuple[int, int], str] = {}
    if leaves:
        for number, digest in operator.entries.filter(number__in=leaves).values_list("number", "leaf_hash"):
            found[0, number - 1] = digest
    if above:
        rows = LedgerNode.objects.filter(reduce(or_, above)).values_list("level", "index", "hash")
        found |= {(level, index): digest for level, index, digest in rows}
    return [bytes.fromhex(found[position]) for position in positions]


def root_now(operator: Operator, size: int) -> bytes:
    """Return the root of the operator's first ``size`` entries."""
    return tree.root_at(size, lambda level, index: nodes_read(operator, [(level, index)])[0])


def inclusion_proof(entry: Entry, size: int) -> list[bytes]:
    """Return the path from an entry to the root of the operator's first ``size`` entries."""
    operator = entry.operator
    return tree.inclusion_path(entry.number - 1, size, lambda level, index: nodes_read(operator, [(level, index)])[0])


def consistency_proof(operator: Operator, old: int, new: int) -> list[bytes]:
    """Return the proof that the first ``old`` entries are still those that the first ``new`` begin with."""
    return tree.consistency_path(old, new, lambda level, index: nodes_read(operator, [(level, index)])[0])


def _is_checkpoint_due(operator: Operator, entry: Entry) -> bool:
    if entry.number % CHECKPOINT_EVERY == 0:
        return True
    newest = operator.checkpoints.last()
    return newest is None or timezone.now() - newest.made_at > CHECKPOINT_AFTER


@transaction.atomic
def checkpoint_make(operator: Operator) -> Checkpoint | None:
    """Sign what the tree is now, once for each size; None while there is no entry."""
    operator = Operator.objects.select_for_update().get(pk=operator.pk)
    size = size_of(operator)
    known = operator.checkpoints.filter(size=size).first()
    if known is not None or not size:
        return known
    root = root_now(operator, size)
    name = key_name(operator)
    note = note_sign(checkpoint_text(name, size, root), name=name, key=ledger_key(operator))
    return Checkpoint.objects.create(operator=operator, size=size, root=root.hex(), note=note)
