"""The tree over the log against the published example, and against the definition written out."""

from __future__ import annotations

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.store.journal.merkle import Tree

#: The eight leaves, and the root over the first none to eight of them, of the reference test vectors of the
#: certificate-transparency project (its Merkle tree tests), which implements RFC 6962. Written down from memory, then
#: found so in several public projects that repeat them; RFC 6962 itself gives the definition and no such figures.
LEAVES = [
    bytes.fromhex(leaf)
    for leaf in ("", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f")
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


def _grown(leaves: list[bytes]) -> Tree:
    tree = Tree()
    for leaf in leaves:
        tree.add(leaf)
    return tree


@pytest.mark.parametrize("size", range(len(ROOTS)))
def test_the_roots_are_those_of_the_published_vectors(size: int) -> None:
    assert _grown(LEAVES[:size]).root().hex() == ROOTS[size]


def _by_definition(leaves: list[bytes]) -> bytes:
    """RFC 6962, section 2.1, as it stands there."""
    if not leaves:
        return sha256(b"").digest()
    if len(leaves) == 1:
        return sha256(b"\x00" + leaves[0]).digest()
    k = 1 << (len(leaves) - 1).bit_length() - 1
    return sha256(b"\x01" + _by_definition(leaves[:k]) + _by_definition(leaves[k:])).digest()


@given(st.lists(st.binary(max_size=4), max_size=70), st.integers(0, 70))
def test_a_tree_goes_on_from_its_frontier(leaves: list[bytes], stop: int) -> None:
    before = _grown(leaves[:stop])

    after = Tree(before.size, before.frontier)
    for leaf in leaves[stop:]:
        after.add(leaf)

    assert after.size == len(leaves)
    assert after.root() == _by_definition(leaves)


@pytest.mark.parametrize(("size", "nodes"), [(0, 1), (3, 1), (4, 2), (-1, 0)])
def test_a_frontier_that_makes_no_tree_of_that_size_is_refused(size: int, nodes: int) -> None:
    with pytest.raises(ValueError, match="do not make a tree"):
        Tree(size, [b"\x00" * 32] * nodes)
