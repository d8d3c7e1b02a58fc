"""Reads which parts came off as one and are kept together. SQL text, as in `load_lines`, which shows it."""

from __future__ import annotations

from inventory.parts.as_one import joined, kept_together
from inventory.store.connection.readonly import Source, fetch_all

__all__ = ["as_one", "pairs_as_one"]

_FACTS = """
SELECT thing_id, other_id, apart FROM together WHERE superseded_by IS NULL ORDER BY counts_from, ranked, id
"""


def pairs_as_one(source: Source) -> set[frozenset[int]]:
    """The pairs of parts, by key, that came off as one and were not parted since."""
    return joined((one, other, apart == "yes") for one, other, apart in fetch_all(source, _FACTS))


def as_one(source: Source) -> dict[int, tuple[int, ...]]:
    """For each part, by key, the others that are kept together with it."""
    return kept_together(pairs_as_one(source))
