"""The tree over the log against the published example, and against the definition written out."""

from __future__ import annotations

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.store.journal.merkle import Tree
from inventory.store.journal.merkle import sha256 as hashed_with

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


#: Consistency proofs between trees of these two sizes over the same eight leaves, of the same reference test vectors.
PROOFS = {
    (1, 8): (
        "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
        "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
        "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4",
    ),
    (6, 8): (
        "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
        "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
        "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    ),
    (2, 5): (
        "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
        "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
    ),
}


def _proof(size: int, leaves: list[bytes], *, whole: bool = True) -> list[bytes]:
    """RFC 6962, section 2.1.2: SUBPROOF(m, D[n], b) as it stands there."""
    if size == len(leaves):
        return [] if whole else [_by_definition(leaves)]
    k = 1 << (len(leaves) - 1).bit_length() - 1
    if size <= k:
        return [*_proof(size, leaves[:k], whole=whole), _by_definition(leaves[k:])]
    return [*_proof(size - k, leaves[k:], whole=False), _by_definition(leaves[:k])]


def _consistent(first: int, second: int, one: bytes, other: bytes, proof: list[bytes]) -> bool:
    """RFC 9162, section 2.1.4.2: whether a proof shows that the tree with the one root grew into that with the other."""
    if first == second:
        return one == other and not proof
    path = [one, *proof] if first & (first - 1) == 0 else list(proof)
    fn, sn = first - 1, second - 1
    while fn & 1:
        fn, sn = fn >> 1, sn >> 1
    fr = sr = path[0]
    for node in path[1:]:
        if sn == 0:
            return False
        if fn & 1 or fn == sn:
            fr, sr = sha256(b"\x01" + node + fr).digest(), sha256(b"\x01" + node + sr).digest()
            while not fn & 1 and fn:
                fn, sn = fn >> 1, sn >> 1
        else:
            sr = sha256(b"\x01" + sr + node).digest()
        fn, sn = fn >> 1, sn >> 1
    return sn == 0 and fr == one and sr == other


def test_the_proofs_of_the_rfc_are_those_of_the_published_vectors() -> None:
    for (first, second), proof in PROOFS.items():
        assert [node.hex() for node in _proof(first, LEAVES[:second])] == list(proof)


def test_roots_of_a_log_that_grew_are_consistent_by_the_rfc_and_others_are_not() -> None:
    leaves = [bytes([number]) for number in range(19)]
    roots = [_grown(leaves[:size]).root() for size in range(20)]
    for second in range(1, 20):
        for first in range(1, second + 1):
            proof = _proof(first, leaves[:second])
            assert _consistent(first, second, roots[first], roots[second], proof)
            assert not _consistent(first, second, roots[first - 1], roots[second], proof)
            assert first == second or not _consistent(first, second, roots[first], roots[second - 1], proof)


@pytest.mark.parametrize(
    ("message", "digest"),
    [
        (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (
            b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        ),
        (b"a" * 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
    ],
)
def test_the_hash_is_that_of_fips_180_4(message: bytes, digest: str) -> None:
    """The examples for SHA-256 that NIST publishes with FIPS 180-4 (one block, two blocks, a million letters)."""
    assert sha256(message).hexdigest() == digest
    assert sha256 is hashed_with
