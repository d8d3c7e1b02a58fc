"""Reading the journal's chains back: do the entries fit one another, and what rows do they imply.

Whatever stands in an entry may have been changed by hand, so nothing in it is trusted to be of its type.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Connection, select

from inventory.store.journal.entries import FIRST_HASH
from inventory.store.journal.images import entry_hash, read_images
from inventory.store.tables import JournalEntry
from inventory.store.verify.cuts import UNREADABLE, cuts_said
from inventory.store.verify.problems import Finding, shown, when_written

__all__ = ["Implied", "Replay", "Said", "replay"]

_COLUMNS = JournalEntry.__table__.c.keys()


@dataclass(frozen=True, slots=True)
class Said:
    """The entry that said how a row, or one column of it, is."""

    entry: Any
    at: Any


@dataclass(slots=True)
class Implied:
    """A row as the journal says it is; which entry of which thing made it, and which changed which column since."""

    image: dict[str, Any]
    thing_id: Any
    made: Said
    changed: dict[str, Said] = field(default_factory=dict)

    def said(self, column: str) -> Said:
        """The entry that said last what stands in a column."""
        return self.changed.get(column, self.made)


@dataclass
class Replay:
    """What some chains come to: the rows they imply, by table and key, and where entries do not fit."""

    entries: int = 0
    rows: dict[tuple[str, Any], Implied] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    left: dict[Any, dict[Any, Any]] = field(default_factory=dict)

    def images(self) -> dict[tuple[str, Any], dict[str, Any]]:
        """The rows implied, without where they were said."""
        return {where: implied.image for where, implied in self.rows.items()}


def replay(connection: Connection, within: ColumnElement[bool], tables: Collection[str]) -> Replay:
    """Read the chains `within`, each from its first entry on."""
    found = Replay()
    query = select(JournalEntry.__table__).where(within).order_by(JournalEntry.thing_id, JournalEntry.sequence)
    entries = (dict(zip(_COLUMNS, row, strict=True)) for row in connection.execute(query).all())
    for _, chain in groupby(entries, key=lambda entry: entry["thing_id"]):
        sequence, previous = 0, FIRST_HASH
        for entry, after in _with_next(whole := list(chain)):
            found.entries += 1
            _check_place(found, entry, sequence, previous)
            _check_hash(found, entry, after, whole)
            _take_images(found, entry, tables)
            sequence, previous = entry["sequence"], entry["hash"]
    return found


def _with_next(chain: list[dict[str, Any]]) -> list[tuple[dict[str, Any], dict[str, Any] | None]]:
    return list(zip(chain, [*chain[1:], None], strict=True))


def _check_place(found: Replay, entry: dict[str, Any], sequence: Any, previous: Any) -> None:
    """Does the entry follow the one before it?"""
    if isinstance(sequence, int) and entry["sequence"] != sequence + 1:
        says = f": entry {sequence + 1} of its journal is missing; entry {shown(entry['sequence'])} comes next"
        found.findings.append(_finding(entry, "sequence", says))
    elif entry["previous"] != previous:
        says = f"{_said(entry)}: it does not follow the entry before it"
        found.findings.append(_finding(entry, "previous", says))


def _check_hash(
    found: Replay, entry: dict[str, Any], after: dict[str, Any] | None, chain: list[dict[str, Any]]
) -> None:
    """Does the entry give its own hash? Where the next entry still has the right one, the hash was changed.

    An entry from which words were removed gives the digest that a later entry of its chain says instead.
    """
    try:
        fits = entry_hash(entry)
    except (TypeError, ValueError):
        fits = ""
    if fits == entry["hash"]:
        return
    if fits and after is not None and after["previous"] == entry["hash"] and _left(found, chain, entry) == fits:
        return
    if after is not None and after["previous"] == fits:
        found.findings.append(_finding(entry, "hash", f"{_said(entry)}: its hash was changed"))
    else:
        found.findings.append(
            _finding(entry, None, f"{_said(entry)}: what stands in the journal does not give its hash")
        )


def _left(found: Replay, chain: list[dict[str, Any]], entry: dict[str, Any]) -> Any:
    """The digest of what is left of an entry, by the last redaction of it that a later entry of its chain made."""
    thing = entry["thing_id"]
    if thing not in found.left:
        found.left[thing] = {}
        for later in chain:
            try:
                found.left[thing] |= {cut.sequence: cut.left for cut in cuts_said(later)}
            except UNREADABLE:
                continue
    return found.left[thing].get(entry["sequence"])


def _take_images(found: Replay, entry: dict[str, Any], tables: Collection[str]) -> None:
    """Take over the rows an entry wrote; a row of another thing has no place in it."""
    said = Said(entry["sequence"], entry["at"])
    try:
        written = read_images(entry)
        for table, key, image in written.made:
            if says := _take_made(found, entry["thing_id"], said, table, key, image, tables):
                found.findings.append(_finding(entry, "images", f"{_said(entry)}: {says}"))
        for table, key, image in written.changed:
            if says := _take_changed(found, entry["thing_id"], said, table, key, image):
                found.findings.append(_finding(entry, "images", f"{_said(entry)}: {says}"))
    except UNREADABLE:
        found.findings.append(_finding(entry, "images", f"{_said(entry)}: its rows cannot be read"))


def _take_made(
    found: Replay, thing_id: Any, said: Said, table: str, key: Any, image: dict[str, Any], tables: Collection[str]
) -> str | None:
    """Take over a row that an entry has whole; gives what is wrong with it."""
    if table not in tables or image.get("id") != key or image.get("thing_id", key) != thing_id:
        return f"it claims a row of {shown(table)} that is not of this thing"
    before = found.rows.get((table, key))
    found.rows[table, key] = Implied(image, thing_id, said)
    if before is not None and before.thing_id != thing_id:
        return f"its row of {shown(table)} stands in the journal of another thing as well"
    return None


def _take_changed(found: Replay, thing_id: Any, said: Said, table: str, key: Any, image: dict[str, Any]) -> str | None:
    """Take over what an entry changed in a row that was made before; gives what is wrong with it."""
    before = found.rows.get((table, key))
    if before is None or before.thing_id != thing_id:
        return f"it changes a row of {shown(table)} that was not made in the journal of this thing"
    before.image.update(image)
    before.changed.update(dict.fromkeys(image, said))
    return None


def _finding(entry: dict[str, Any], column: str | None, says: str) -> Finding:
    number = entry["sequence"] if isinstance(entry["sequence"], int) else None
    return Finding(entry["thing_id"], JournalEntry.__tablename__, column, says, number)


def _said(entry: dict[str, Any]) -> str:
    return f", {when_written(entry['at'])}, {shown(entry['act']).strip(chr(34))}"
