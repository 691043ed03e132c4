"""The tree of hashes over the entries of a logbook, and proofs from it, after RFC 6962 and RFC 9162."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from hashlib import sha256
from typing import Final

HASH_BYTES: Final = 32
EMPTY_ROOT: Final = sha256(b"").digest()

Node = Callable[[int, int], bytes]
Position = tuple[int, int]


def leaf_hash(data: bytes) -> bytes:
    """Return the hash of a leaf.

    Parameters
    ----------
    data : bytes
        What the leaf holds.

    Returns
    -------
    bytes
        SHA-256 of a zero byte and the data.

    References
    ----------
    RFC 9162, section 2.1.1.
    """
    return sha256(b"\x00" + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return the hash of a node over two others.

    Parameters
    ----------
    left, right : bytes
        The hashes of the two.

    Returns
    -------
    bytes
        SHA-256 of a byte of one and the two hashes; no leaf can pass for a node, as its first byte is another.

    References
    ----------
    RFC 9162, section 2.1.1.
    """
    return sha256(b"\x01" + left + right).digest()


def edge_positions(size: int) -> list[Position]:
    """Return the complete subtrees that together are a tree, from left to right.

    Parameters
    ----------
    size : int
        Number of leaves.

    Returns
    -------
    list of (int, int)
        Level (0 = leaf) and index at that level, one for each bit that is set in ``size``.
    """
    return list(_peaks(0, size))


class GrowingTree:
    """The right edge of a tree, which is all that adding a leaf needs; as many hashes as ``size`` has bits set.

    Parameters
    ----------
    size : int
        Number of leaves there are.
    edge : iterable of bytes
        The hashes at ``edge_positions(size)``, in that order.

    Raises
    ------
    ValueError
        For a number of hashes that does not go with the size.
    """

    def __init__(self, size: int = 0, edge: Iterable[bytes] = ()) -> None:
        self.size = size
        self._edge = list(edge)
        if size < 0 or len(self._edge) != size.bit_count():
            raise ValueError(f"a tree of {size} leaves has not {len(self._edge)} hashes at its edge")

    def append(self, leaf: bytes) -> list[tuple[int, int, bytes]]:
        """Add a leaf by its hash; return the level (1 or more), index and hash of the subtrees that it completes."""
        completed = []
        level, index = 0, self.size
        while index & 1:
            leaf = node_hash(self._edge.pop(), leaf)
            level, index = level + 1, index >> 1
            completed.append((level, index, leaf))
        self._edge.append(leaf)
        self.size += 1
        return completed

    def root(self) -> bytes:
        """Return the hash of the whole tree."""
        return _joined(self._edge)


def root_at(size: int, node: Node) -> bytes:
    """Return the root that a tree had when it was smaller.

    Parameters
    ----------
    size : int
        Number of leaves then.
    node : callable
        Gives the hash of the complete subtree at (level, index); level 0 are the leaves' hashes.

    Returns
    -------
    bytes
        The root; the hash of nothing for no leaf.
    """
    return _span(0, size, node)


def inclusion_path(index: int, size: int, node: Node) -> list[bytes]:
    """Return the proof that a leaf is in a tree.

    Parameters
    ----------
    index : int
        The leaf, counted from 0.
    size : int
        Number of leaves of the tree.
    node : callable
        Gives the hash of the complete subtree at (level, index); read about ``2 * log2(size)`` times.

    Returns
    -------
    list of bytes
        The hashes to join with on the way from the leaf to the root.

    Raises
    ------
    ValueError
        For a leaf that the tree does not have.

    References
    ----------
    RFC 9162, section 2.1.3.1.
    """
    if not 0 <= index < size:
        raise ValueError(f"a tree of {size} leaves has no leaf {index}")
    path = []
    start, stop = 0, size
    while stop - start > 1:
        middle = start + _split(stop - start)
        if index < middle:
            path.append(_span(middle, stop, node))
            stop = middle
        else:
            path.append(_span(start, middle, node))
            start = middle
    return path[::-1]


def consistency_path(old: int, new: int, node: Node) -> list[bytes]:
    """Return the proof that a tree begins with the leaves of a smaller one.

    Parameters
    ----------
    old, new : int
        Numbers of leaves of the smaller tree, at least 1, and of the larger.
    node : callable
        Gives the hash of the complete subtree at (level, index); read about ``2 * log2(new)`` times.

    Returns
    -------
    list of bytes
        The hashes; none for two trees of one size.

    Raises
    ------
    ValueError
        For sizes of which no such proof can be; nothing can be proved of a tree without leaves.

    References
    ----------
    RFC 9162, section 2.1.4.1.
    """
    if not 0 < old <= new:
        raise ValueError(f"no proof leads from {old} leaves to {new}")
    path = []
    start, stop = 0, new
    while old != stop:
        middle = start + _split(stop - start)
        if old <= middle:
            path.append(_span(middle, stop, node))
            stop = middle
        else:
            path.append(_span(start, middle, node))
            start = middle
    if start:
        path.append(_span(start, stop, node))
    return path[::-1]


def inclusion_holds(leaf: bytes, *, index: int, size: int, path: Sequence[bytes], root: bytes) -> bool:
    """Say whether a proof shows that a leaf is in a tree.

    Parameters
    ----------
    leaf : bytes
        The leaf's hash.
    index : int
        The leaf, counted from 0.
    size : int
        Number of leaves of the tree.
    path : sequence of bytes
        The proof.
    root : bytes
        The tree's root.

    Returns
    -------
    bool
        False also for hashes that are not of 32 bytes, a path of another length, and a leaf beyond the tree.

    References
    ----------
    RFC 9162, section 2.1.3.2.
    """
    if not 0 <= index < size or not _are_hashes(leaf, root, *path):
        return False
    last = size - 1
    for step in path:
        if not last:
            return False
        if index & 1 or index == last:
            leaf = node_hash(step, leaf)
            index, last = _to_right_child(index, last)
        else:
            leaf = node_hash(leaf, step)
        index, last = index >> 1, last >> 1
    return not last and leaf == root


def consistency_holds(*, old: int, new: int, old_root: bytes, new_root: bytes, path: Sequence[bytes]) -> bool:
    """Say whether a proof shows that a tree begins with the leaves of a smaller one.

    Parameters
    ----------
    old, new : int
        Numbers of leaves of the two.
    old_root, new_root : bytes
        Their roots.
    path : sequence of bytes
        The proof.

    Returns
    -------
    bool
        False also for hashes that are not of 32 bytes, a path of another length, and a smaller tree without leaves;
        trees of one size are the same if their roots are, and nothing leads from one to the other.

    References
    ----------
    RFC 9162, section 2.1.4.2.
    """
    if old == new:
        return old > 0 and not path and old_root == new_root
    if not 0 < old < new or not path or not _are_hashes(old_root, new_root, *path):
        return False
    steps = [old_root, *path] if old & (old - 1) == 0 else list(path)
    index, last = old - 1, new - 1
    while index & 1:
        index, last = index >> 1, last >> 1
    return _roots_climbed(steps, index, last) == (old_root, new_root)


def _roots_climbed(steps: list[bytes], index: int, last: int) -> tuple[bytes, bytes] | None:
    """Return the roots of both trees as a proof's steps give them; None if it does not end there."""
    smaller = larger = steps[0]
    for step in steps[1:]:
        if not last:
            return None
        if index & 1 or index == last:
            smaller, larger = node_hash(step, smaller), node_hash(step, larger)
            index, last = _to_right_child(index, last)
        else:
            larger = node_hash(larger, step)
        index, last = index >> 1, last >> 1
    return None if last else (smaller, larger)


def _to_right_child(index: int, last: int) -> Position:
    """Climb from the right edge of a tree to the next node that is joined from the left."""
    while index and not index & 1:
        index, last = index >> 1, last >> 1
    return index, last


def _are_hashes(*hashes: bytes) -> bool:
    return all(len(one) == HASH_BYTES for one in hashes)


def _split(size: int) -> int:
    """Return the largest power of two below a size of at least 2."""
    return 1 << (size - 1).bit_length() - 1


def _peaks(start: int, stop: int) -> Iterator[Position]:
    while start < stop:
        level = (stop - start).bit_length() - 1
        yield level, start >> level
        start += 1 << level


def _span(start: int, stop: int, node: Node) -> bytes:
    """Return the root over leaves ``start`` to ``stop``, where ``start`` is a multiple of all their subtrees' sizes."""
    return _joined([node(level, index) for level, index in _peaks(start, stop)])


def _joined(edge: Sequence[bytes]) -> bytes:
    if not edge:
        return EMPTY_ROOT
    *rest, root = edge
    for left in reversed(rest):
        root = node_hash(left, root)
    return root
