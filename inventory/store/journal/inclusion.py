"""Proofs that an entry is in the log: RFC 6962 section 2.1.1, the audit path of a leaf. Pure.

The tree is laid out level by level; a node without a neighbour goes up as it is, which gives the tree of the RFC.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import sha256

__all__ = ["Levels", "is_included"]

_LEAF, _NODE = b"\x00", b"\x01"


class Levels:
    """Every level of a Merkle tree over these leaves, from the leaves' hashes up to the root."""

    def __init__(self, leaves: Iterable[bytes]) -> None:
        level = [sha256(_LEAF + each).digest() for each in leaves]
        self.size = len(level)
        self._levels = [level]
        while len(level) > 1:
            pairs = [sha256(_NODE + level[at] + level[at + 1]).digest() for at in range(0, len(level) - 1, 2)]
            level = [*pairs, level[-1]] if len(level) % 2 else pairs
            self._levels.append(level)

    def root(self) -> bytes:
        """The hash over all leaves; of none it is SHA-256 of nothing."""
        return self._levels[-1][0] if self.size else sha256(b"").digest()

    def path(self, index: int) -> list[bytes]:
        """The audit path of a leaf, counted from 0: what is hashed with it, the nearest first."""
        found = []
        for level in self._levels[:-1]:
            neighbour = index ^ 1
            if neighbour < len(level):
                found.append(level[neighbour])
            index //= 2
        return found


def is_included(data: bytes, index: int, size: int, path: Sequence[bytes], root: bytes) -> bool:
    """Whether a path shows that a leaf is in the tree of this size and root (RFC 9162 section 2.1.3.2)."""
    if not 0 <= index < size:
        return False
    at, last, node = index, size - 1, sha256(_LEAF + data).digest()
    for step in path:
        if last == 0:
            return False
        if at % 2 or at == last:
            node = sha256(_NODE + step + node).digest()
            while not at % 2 and at:
                at, last = at >> 1, last >> 1
        else:
            node = sha256(_NODE + node + step).digest()
        at, last = at >> 1, last >> 1
    return last == 0 and node == root
