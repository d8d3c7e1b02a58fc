"""The log of all journal entries, in the order in which they were written, and the tree over them.

Each entry has a place; the hash of each entry is a leaf of a Merkle tree (`journal.merkle`). The one row of `log_head`
says how far the log reaches and holds the tree's frontier. Entries get their places in one step just before the
commit, under a lock of that row, which is the last lock an act takes: so the log has no gap, and whoever holds the lock
waits for nobody else.

An anchor (which record, how many entries, the tree's root) that was kept elsewhere can be found again later: the first
entries of a log that only grew still give it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, select, update
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from inventory.errors import Damaged
from inventory.store.journal.images import canonical
from inventory.store.journal.insert import insert
from inventory.store.journal.merkle import Tree
from inventory.store.tables import JournalEntry, LogHead, LogPlace, RecordInfo

__all__ = ["HEAD", "anchor", "frontier_text", "give_places", "head_of", "identity_of_record", "leaf", "note", "root_at"]

#: The key of the one row of `log_head`.
HEAD = 1
#: Where a session's `info` keeps the entries that have no place yet: moment, thing, sequence, hash.
PENDING = "entries_without_place"


def note(session: Session, entries: Sequence[Mapping[str, Any]]) -> None:
    """Remember written entries until they get their places."""
    pending = session.info.setdefault(PENDING, [])
    pending += [(entry["at"], entry["thing_id"], entry["sequence"], entry["hash"]) for entry in entries]


def give_places(session: Session) -> None:
    """Give each entry of this transaction the next place in the log. Whoever commits has called this last."""
    pending: list[tuple[str, int, int, str]] = session.info.pop(PENDING, [])
    if not pending:
        return
    connection = session.connection()
    head = LogHead.__table__.c
    held = connection.execute(select(head.size, head.frontier).where(head.id == HEAD).with_for_update()).first()
    tree = _tree_of(held)
    places = []
    for _, thing_id, sequence, digest in sorted(pending):
        tree.add(leaf(digest))
        places.append({"place": tree.size, "thing_id": thing_id, "sequence": sequence})
    try:
        insert(connection, LogPlace, places)
    except DBAPIError as problem:
        if not _is_taken(problem):
            raise
        raise _not_whole() from problem
    grown = {"size": tree.size, "frontier": frontier_text(tree)}
    connection.execute(update(LogHead).where(head.id == HEAD).values(grown))


def _tree_of(held: Any) -> Tree:
    if held is None:
        raise _not_whole()
    try:
        return Tree(held.size, map(bytes.fromhex, held.frontier.split()))
    except (AttributeError, TypeError, ValueError):
        raise _not_whole() from None


def _is_taken(problem: DBAPIError) -> bool:
    """Whether a problem means that a place is taken: by SQLSTATE, on SQLite by the driver's words."""
    return getattr(problem.orig, "sqlstate", "") == "23505" or "unique" in str(problem.orig).lower()


def _not_whole() -> Damaged:
    return Damaged(
        "log-not-whole",
        "The log of the journal has a gap, so nothing more can be written",
        hint="make a copy of the record, then run: matchmark verify",
    )


def leaf(digest: Any) -> bytes:
    """The content of a leaf: the entry's hash as written, 64 hexadecimal characters."""
    return str(digest).encode("utf-8", "surrogatepass")


def frontier_text(tree: Tree) -> str:
    """The frontier of a tree as it is kept."""
    return " ".join(node.hex() for node in tree.frontier)


def head_of(session: Session) -> tuple[int, str]:
    """How many entries the log holds, and the root (hexadecimal) of its tree, by what is kept of it."""
    head = LogHead.__table__.c
    tree = _tree_of(session.connection().execute(select(head.size, head.frontier).where(head.id == HEAD)).first())
    return tree.size, tree.root().hex()


def root_at(session: Session, size: int) -> str | None:
    """The tree's root (hexadecimal) when the log held `size` entries; None where it holds fewer now."""
    tree = Tree()
    entry, place = JournalEntry.__table__.c, LogPlace.__table__.c
    query = select(entry.hash).join(
        LogPlace.__table__, (entry.thing_id == place.thing_id) & (entry.sequence == place.sequence)
    )
    for (digest,) in session.connection().execute(query.where(place.place <= size).order_by(place.place)):
        tree.add(leaf(digest))
    return tree.root().hex() if tree.size == size else None


def identity_of_record(session: Session | Connection) -> str:
    """What tells this record from all others."""
    return str(session.scalar(select(RecordInfo.identity).order_by(RecordInfo.id).limit(1)))


def anchor(session: Session, size: int, root: str) -> str:
    """SHA-256 (hexadecimal) over which record this is, a number of entries, and their root: what to keep elsewhere."""
    said = canonical([identity_of_record(session), size, root])
    return hashlib.sha256(said.encode("utf-8", "surrogatepass")).hexdigest()
