"""Is a state that somebody noted elsewhere in this record's past? Its anchor is looked for among those of all states.

Every number of entries had an anchor, whether it was kept anywhere or not, so one that was only printed is found too.
Before the log (form of the entries: the first) `verify` printed another fingerprint, over sums of the entry hashes.
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.store.journal.images import canonical
from inventory.store.journal.merkle import Tree
from inventory.store.tables import JournalEntry, LogPlace

__all__ = ["Sought", "found_before_log"]

#: How many sums the first schema kept of its entries, by thing.
_SUMS = 64


@dataclass
class Sought:
    """An anchor, or its first digits, that is looked for while the log is read. `entries`: how many gave it."""

    digits: str
    identity: str
    entries: int | None = None

    def __post_init__(self) -> None:
        self._head = f"{canonical([self.identity])[:-1]},"

    def see(self, tree: Tree) -> None:
        """Look at one state."""
        anchor = f'{self._head}{tree.size},"{tree.root().hex()}"]'.encode("utf-8", "surrogatepass")
        if sha256(anchor).hexdigest().startswith(self.digits):
            self.entries = tree.size


def found_before_log(session: Session, sought: Sought) -> int | None:
    """After how many entries the first schema printed a fingerprint; None if it printed no such one.

    Only entries of the first form count: the log has them first, by their moments.
    """
    entry, place = JournalEntry.__table__.c, LogPlace.__table__.c
    query = select(place.place, entry.thing_id, entry.hash, entry.at).join_from(
        JournalEntry.__table__,
        LogPlace.__table__,
        (entry.thing_id == place.thing_id) & (entry.sequence == place.sequence),
    )
    sums: list[list[Any]] = [[0, f"{0:064x}"] for _ in range(_SUMS)]
    before: Any = None
    for number, thing_id, digest, at in session.connection().execute(
        query.where(entry.form.is_(None)).order_by(place.place)
    ):
        if at != before and _fits(sums, sought):
            return int(number) - 1
        before, slot = at, sums[thing_id % _SUMS]
        slot[:] = slot[0] + 1, f"{(int(slot[1], 16) + _number(digest)) % (1 << 256):064x}"
    return sum(count for count, _ in sums) if _fits(sums, sought) else None


def _fits(sums: list[list[Any]], sought: Sought) -> bool:
    said = canonical([sought.identity, sums]).encode("utf-8", "surrogatepass")
    return sha256(said).hexdigest().startswith(sought.digits)


def _number(digest: Any) -> int:
    """A hash as a number; one that cannot be read counts for nothing, as in the first schema."""
    try:
        return int(digest, 16)
    except (TypeError, ValueError):
        return 0
