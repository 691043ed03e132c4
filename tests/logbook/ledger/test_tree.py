"""The tree of hashes, against published vectors and against its definition in RFC 9162, written down a second time.

Sources: roots over eight leaves and consistency proofs of transparency-dev/merkle, testonly/constants.go, and its
collection of proofs to be taken and refused (Apache-2.0; read from the published check files).
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.ledger import tree

LEAVES = [
    bytes.fromhex(text)
    for text in ("", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f")
]
ROOTS = [
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
]
CONSISTENCY = {
    (1, 8): [
        "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
        "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
        "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4",
    ],
    (6, 8): [
        "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
        "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
        "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    ],
    (2, 5): [
        "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
        "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
    ],
}


class Grown:
    """A tree over leaves with all its complete subtrees, which counts how often one is read."""

    def __init__(self, leaves: list[bytes]) -> None:
        self.tree = tree.GrowingTree()
        self.nodes = {(0, index): tree.leaf_hash(leaf) for index, leaf in enumerate(leaves)}
        self.reads = 0
        for index in range(len(leaves)):
            for level, at, digest in self.tree.append(self.nodes[0, index]):
                self.nodes[level, at] = digest

    def node(self, level: int, index: int) -> bytes:
        self.reads += 1
        return self.nodes[level, index]


def defined_root(leaves: list[bytes]) -> bytes:
    """Return MTH of RFC 9162, section 2.1.1."""
    if len(leaves) < 2:
        return tree.leaf_hash(leaves[0]) if leaves else tree.EMPTY_ROOT
    k = defined_split(len(leaves))
    return tree.node_hash(defined_root(leaves[:k]), defined_root(leaves[k:]))


def defined_split(n: int) -> int:
    k = 1
    while k * 2 < n:
        k *= 2
    return k


def defined_path(m: int, leaves: list[bytes]) -> list[bytes]:
    """Return PATH of RFC 9162, section 2.1.3.1."""
    if len(leaves) == 1:
        return []
    k = defined_split(len(leaves))
    if m < k:
        return [*defined_path(m, leaves[:k]), defined_root(leaves[k:])]
    return [*defined_path(m - k, leaves[k:]), defined_root(leaves[:k])]


def defined_subproof(m: int, leaves: list[bytes], *, is_known: bool) -> list[bytes]:
    """Return SUBPROOF of RFC 9162, section 2.1.4.1."""
    if m == len(leaves):
        return [] if is_known else [defined_root(leaves)]
    k = defined_split(len(leaves))
    if m <= k:
        return [*defined_subproof(m, leaves[:k], is_known=is_known), defined_root(leaves[k:])]
    return [*defined_subproof(m - k, leaves[k:], is_known=False), defined_root(leaves[:k])]


@pytest.mark.parametrize("size", range(9))
def test_published_roots(size: int) -> None:
    grown = Grown(LEAVES)
    assert tree.root_at(size, grown.node).hex() == ROOTS[size]
    assert Grown(LEAVES[:size]).tree.root().hex() == ROOTS[size]


@pytest.mark.parametrize(("sizes", "path"), CONSISTENCY.items())
def test_published_consistency(sizes: tuple[int, int], path: list[str]) -> None:
    old, new = sizes
    proof = tree.consistency_path(old, new, Grown(LEAVES).node)
    assert [step.hex() for step in proof] == path
    roots = {"old_root": bytes.fromhex(ROOTS[old]), "new_root": bytes.fromhex(ROOTS[new])}
    assert tree.consistency_holds(old=old, new=new, path=proof, **roots)


def test_published_proofs_to_take_and_to_refuse(shared_checks: Callable[[str], Path]) -> None:
    cases = json.loads(shared_checks("logs/merkle_proof_cases.json").read_text(encoding="utf8"))
    assert len(cases) == 196
    wrong = [case["desc"] for case in cases if case_holds(case) != case["valid"]]
    assert wrong == []


def case_holds(case: dict[str, Any]) -> bool:
    path = [bytes.fromhex(step) for step in case["proof"]]
    if case["kind"] == "inclusion":
        leaf, root = bytes.fromhex(case["leaf_hash"]), bytes.fromhex(case["root"])
        return tree.inclusion_holds(leaf, index=case["leaf_index"], size=case["tree_size"], path=path, root=root)
    old_root, new_root = bytes.fromhex(case["root1"]), bytes.fromhex(case["root2"])
    return tree.consistency_holds(old=case["size1"], new=case["size2"], old_root=old_root, new_root=new_root, path=path)


@pytest.mark.parametrize("size", range(1, 20))
def test_every_proof_of_small_trees(size: int) -> None:
    leaves = [bytes([index]) for index in range(size)]
    grown = Grown(leaves)
    root = grown.tree.root()
    for index in range(size):
        path = tree.inclusion_path(index, size, grown.node)
        assert path == defined_path(index, leaves)
        leaf = grown.nodes[0, index]
        holds = [tree.inclusion_holds(leaf, index=i, size=size, path=path, root=root) for i in range(-1, size + 1)]
        assert holds == [i == index for i in range(-1, size + 1)]
    for old in range(1, size + 1):
        proof = tree.consistency_path(old, size, grown.node)
        assert proof == defined_subproof(old, leaves, is_known=True)
        roots = {"old_root": defined_root(leaves[:old]), "new_root": root}
        assert tree.consistency_holds(old=old, new=size, path=proof, **roots)


SOME_LEAVES = st.lists(st.binary(max_size=4), min_size=1, max_size=70)


@settings(max_examples=50, deadline=None)
@given(leaves=SOME_LEAVES, data=st.data())
def test_proofs_hold_until_a_bit_is_changed(leaves: list[bytes], data: st.DataObject) -> None:
    size = len(leaves)
    grown = Grown(leaves)
    root = grown.tree.root()
    assert root == defined_root(leaves)
    index = data.draw(st.integers(0, size - 1))
    path = tree.inclusion_path(index, size, grown.node)
    assert path == defined_path(index, leaves)
    assert tree.inclusion_holds(grown.nodes[0, index], index=index, size=size, path=path, root=root)
    claim = [grown.nodes[0, index], root, *path]
    at, bit = data.draw(st.integers(0, len(claim) - 1)), data.draw(st.integers(0, 255))
    claim[at] = (int.from_bytes(claim[at], "big") ^ 1 << bit).to_bytes(32, "big")
    leaf, changed_root, *changed = claim
    assert not tree.inclusion_holds(leaf, index=index, size=size, path=changed, root=changed_root)


@settings(max_examples=50, deadline=None)
@given(leaves=SOME_LEAVES, data=st.data())
def test_a_tree_goes_on_from_its_edge(leaves: list[bytes], data: st.DataObject) -> None:
    cut = data.draw(st.integers(0, len(leaves)))
    grown = Grown(leaves)
    first = Grown(leaves[:cut])
    edge = [first.nodes[position] for position in tree.edge_positions(cut)]
    going_on = tree.GrowingTree(cut, edge)
    for leaf in leaves[cut:]:
        for level, index, digest in going_on.append(tree.leaf_hash(leaf)):
            assert grown.nodes[level, index] == digest
    assert (going_on.size, going_on.root()) == (len(leaves), grown.tree.root())


def test_proofs_of_a_large_tree_read_few_nodes() -> None:
    size = 5000
    grown = Grown([index.to_bytes(2, "big") for index in range(size)])
    grown.reads = 0
    tree.inclusion_path(1, size, grown.node)
    tree.consistency_path(4095, size, grown.node)
    assert grown.reads <= 4 * size.bit_length()


# Malformed claims beside the collection's: hashes of another length, and paths that are too long or too short.
@pytest.mark.parametrize(
    ("leaf", "root", "path"),
    [
        (b"", tree.EMPTY_ROOT, []),
        (tree.EMPTY_ROOT, tree.EMPTY_ROOT[:-1], []),
        (tree.EMPTY_ROOT, tree.EMPTY_ROOT, [b"short"]),
        (tree.EMPTY_ROOT, tree.EMPTY_ROOT, [tree.EMPTY_ROOT]),
    ],
)
def test_malformed_inclusion_is_refused(leaf: bytes, root: bytes, path: list[bytes]) -> None:
    assert not tree.inclusion_holds(leaf, index=0, size=1, path=path, root=root)


def test_the_edge_of_a_tree_has_a_subtree_for_each_bit() -> None:
    assert tree.edge_positions(0) == []
    assert tree.edge_positions(11) == [(3, 0), (1, 4), (0, 10)]


@pytest.mark.parametrize("old", [0, -1, 9])
def test_malformed_consistency_is_refused(old: int) -> None:
    root = bytes.fromhex(ROOTS[8])
    assert not tree.consistency_holds(old=old, new=8, old_root=tree.EMPTY_ROOT, new_root=root, path=[])


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: tree.GrowingTree(3, [tree.EMPTY_ROOT]), "a tree of 3 leaves has not 1 hashes at its edge"),
        (lambda: tree.GrowingTree(-1, [tree.EMPTY_ROOT]), "a tree of -1 leaves"),
        (lambda: tree.inclusion_path(8, 8, Grown(LEAVES).node), "a tree of 8 leaves has no leaf 8"),
        (lambda: tree.inclusion_path(-1, 8, Grown(LEAVES).node), "no leaf -1"),
        (lambda: tree.consistency_path(0, 8, Grown(LEAVES).node), "no proof leads from 0 leaves to 8"),
        (lambda: tree.consistency_path(9, 8, Grown(LEAVES).node), "no proof leads from 9 leaves to 8"),
    ],
)
def test_what_cannot_be_is_refused(call: Callable[[], object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()
