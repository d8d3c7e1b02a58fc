"""Reading the journal's chains back: do the entries fit one another, and what rows do they imply.

Whatever stands in an entry may have been changed by hand, so nothing in it is trusted to be of its type.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, select

from inventory.store.journal import FIRST_HASH, SLOTS, entry_hash
from inventory.store.problems import Finding, shown, when_written
from inventory.store.tables import JournalEntry

__all__ = ["Implied", "Replay", "Totals", "replay"]

_MODULUS = 1 << 256


class Implied(NamedTuple):
    """A row as the journal says it is, and which entry of which thing said so last."""

    image: dict[str, Any]
    thing_id: Any
    entry: Any
    at: Any


@dataclass
class Totals:
    """Number and sum of the entry hashes that fall to each checkpoint row."""

    entries: list[int] = field(default_factory=lambda: [0] * SLOTS)
    sums: list[int] = field(default_factory=lambda: [0] * SLOTS)

    def add(self, thing_id: Any, digest: Any) -> None:
        """Count an entry in; a thing or hash that is none still counts, and makes the sum not fit."""
        slot = thing_id % SLOTS if isinstance(thing_id, int) else 0
        self.entries[slot] += 1
        self.sums[slot] = (self.sums[slot] + _number(digest)) % _MODULUS


@dataclass
class Replay:
    """What some chains come to: the rows they imply, by table and key, and where entries do not fit."""

    rows: dict[tuple[str, Any], Implied] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    def images(self) -> dict[tuple[str, Any], dict[str, Any]]:
        """The rows implied, without where they were said."""
        return {where: implied.image for where, implied in self.rows.items()}


def replay(connection: Connection, within: ColumnElement[bool], tables: Collection[str], totals: Totals) -> Replay:
    """Read the chains `within`, each from its first entry on; add what they count to `totals`."""
    found = Replay()
    query = select(JournalEntry.__table__).where(within).order_by(JournalEntry.thing_id, JournalEntry.sequence)
    entries = (dict(row) for row in connection.execute(query).mappings())
    for thing_id, chain in groupby(entries, key=lambda entry: entry["thing_id"]):
        sequence, previous = 0, FIRST_HASH
        for entry, after in _with_next(list(chain)):
            totals.add(thing_id, entry["hash"])
            _check_place(found, entry, sequence, previous)
            _check_hash(found, entry, after)
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


def _check_hash(found: Replay, entry: dict[str, Any], after: dict[str, Any] | None) -> None:
    """Does the entry give its own hash? Where the next entry still has the right one, the hash was changed."""
    try:
        fits = entry_hash(entry)
    except (TypeError, ValueError):
        fits = ""
    if fits == entry["hash"]:
        return
    if after is not None and after["previous"] == fits:
        found.findings.append(_finding(entry, "hash", f"{_said(entry)}: its hash was changed"))
    else:
        found.findings.append(
            _finding(entry, None, f"{_said(entry)}: what stands in the journal does not give its hash")
        )


def _take_images(found: Replay, entry: dict[str, Any], tables: Collection[str]) -> None:
    """Take over the rows an entry wrote; a row of another thing has no place in it."""
    try:
        images = [(table, key, dict(image)) for table, key, image in json.loads(entry["images"])]
        foreign = [table for table, key, image in images if not _belongs(entry, table, key, image, tables)]
        written = {(table, key): image for table, key, image in images if table not in foreign}
    except (TypeError, ValueError, RecursionError):
        found.findings.append(_finding(entry, "images", f"{_said(entry)}: its rows cannot be read"))
        return
    for table in foreign:
        says = f"{_said(entry)}: it claims a row of {shown(table)} that is not of this thing"
        found.findings.append(_finding(entry, "images", says))
    for where, image in written.items():
        before = found.rows.get(where)
        if before is not None and before.thing_id != entry["thing_id"]:
            says = f"{_said(entry)}: its row of {shown(where[0])} stands in the journal of another thing as well"
            found.findings.append(_finding(entry, "images", says))
        found.rows[where] = Implied(image, entry["thing_id"], entry["sequence"], entry["at"])


def _belongs(entry: dict[str, Any], table: Any, key: Any, image: dict[str, Any], tables: Collection[str]) -> bool:
    return table in tables and image.get("id") == key and image.get("thing_id", key) == entry["thing_id"]


def _finding(entry: dict[str, Any], column: str | None, says: str) -> Finding:
    number = entry["sequence"] if isinstance(entry["sequence"], int) else None
    return Finding(entry["thing_id"], JournalEntry.__tablename__, column, says, number)


def _said(entry: dict[str, Any]) -> str:
    return f", {when_written(entry['at'])}, {shown(entry['act']).strip(chr(34))}"


def _number(digest: Any) -> int:
    try:
        return int(digest, 16)
    except (TypeError, ValueError):
        return 0
