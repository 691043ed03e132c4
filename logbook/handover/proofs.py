"""Proofs for many entries at once: all hashes that they need are read together."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any, Final

from engines.models import Operator
from logbook.ledger import tree

AT_ONCE: Final = 500  # values in one query


class Nodes:
    """Hashes of complete subtrees of an operator's ledger; what is needed is noted first, then read together."""

    def __init__(self, operator: Operator) -> None:
        self._operator = operator
        self._wanted: set[tuple[int, int]] = set()
        self._known: dict[tuple[int, int], bytes] = {}

    def note(self, level: int, index: int) -> bytes:
        """Note that a hash will be needed, and return one in its place."""
        self._wanted.add((level, index))
        return tree.EMPTY_ROOT

    def get(self, level: int, index: int) -> bytes:
        """Return a hash that was noted, and read since."""
        return self._known[level, index]

    def read(self) -> None:
        """Read every hash that was noted."""
        levels: dict[int, list[int]] = defaultdict(list)
        for level, index in sorted(self._wanted):
            levels[level].append(index)
        for level, indexes in levels.items():
            for start in range(0, len(indexes), AT_ONCE):
                self._read(level, indexes[start : start + AT_ONCE])

    def _read(self, level: int, indexes: list[int]) -> None:
        if level == 0:
            numbers = [index + 1 for index in indexes]
            rows = self._operator.entries.filter(number__in=numbers).values_list("number", "leaf_hash")
            self._known |= {(0, number - 1): bytes.fromhex(digest) for number, digest in rows}
            return
        above = self._operator.ledger_nodes.filter(level=level, index__in=indexes).values_list("index", "hash")
        self._known |= {(level, index): bytes.fromhex(digest) for index, digest in above}


def proofs_of(operator: Operator, numbers: Iterable[int], size: int) -> dict[str, Any]:
    """Return the proofs of entries, and of every older checkpoint, against the operator's first ``size`` entries."""
    numbers = list(numbers)
    older = list(operator.checkpoints.filter(size__lt=size).values_list("size", flat=True))
    nodes = Nodes(operator)
    for node in (nodes.note, nodes.get):
        paths = {number: tree.inclusion_path(number - 1, size, node) for number in numbers}
        begins = {old: tree.consistency_path(old, size, node) for old in older}
        if node == nodes.note:
            nodes.read()
    return {
        "entries": [{"file": entry_file(k), "index": k - 1, "path": _hex(path)} for k, path in paths.items()],
        "checkpoints": [{"size": old, "path": _hex(path)} for old, path in begins.items()],
    }


def entry_file(number: int) -> str:
    """Return the name of an entry's file in a package."""
    return f"entries/{number:06}.json"


def _hex(path: list[bytes]) -> list[str]:
    return [step.hex() for step in path]
