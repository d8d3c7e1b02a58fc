"""A Merkle tree that only grows, as RFC 6962 section 2.1 (and RFC 9162 section 2.1.1) defines it. Pure.

The tree is held by its frontier: the roots of the largest whole subtrees, left to right. That is at most one hash for
each bit of the size, enough to add a leaf and to give the root.
"""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

__all__ = ["Tree"]

_LEAF, _NODE = b"\x00", b"\x01"


class Tree:
    """The first `size` leaves of a log. `frontier`: one root for each bit of `size` that is set, the largest first."""

    def __init__(self, size: int = 0, frontier: Iterable[bytes] = ()) -> None:
        self.size = size
        self.frontier = list(frontier)
        if size < 0 or len(self.frontier) != size.bit_count():
            raise ValueError(f"{len(self.frontier)} subtrees do not make a tree of {size} leaves")

    def add(self, data: bytes) -> None:
        """Add one leaf at the end."""
        node, before = sha256(_LEAF + data).digest(), self.size
        while before & 1:
            node = sha256(_NODE + self.frontier.pop() + node).digest()
            before >>= 1
        self.frontier.append(node)
        self.size += 1

    def root(self) -> bytes:
        """The hash over all leaves; of none it is SHA-256 of nothing."""
        if not self.frontier:
            return sha256(b"").digest()
        *larger, root = self.frontier
        for node in reversed(larger):
            root = sha256(_NODE + node + root).digest()
        return root
