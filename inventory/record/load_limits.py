"""Reads a workshop's own limits: facts of the record, each the whole text of a file, in force from its day on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from inventory.errors import Refused
from inventory.reference.data import PROGRAM, Reference, TakenIn
from inventory.store.connection.readonly import Source, fetch_all
from inventory.store.days.date_words import day_words

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.facts import AsOf

__all__ = ["LAY_BESIDE", "LimitsOnRecord", "LimitsTaken", "limits_taken", "limits_text"]

#: How limits are known that lay beside the record when limits became facts of it: they were in force on any day before.
LAY_BESIDE = "lay beside the record"
_READ = "limits read in this session"
_LAST = "ORDER BY fact.counts_from DESC, fact.ranked DESC, fact.id DESC LIMIT 1"
#: The newest key of all, and what was in force: the last that stood, else what lay beside the record before.
_IN_FORCE = """
SELECT every.newest, held.id, held.so_from, held.digest
FROM (SELECT max(id) AS newest FROM workshop_data) AS every
LEFT JOIN workshop_data AS held ON held.id = COALESCE(
  (SELECT fact.id FROM workshop_data AS fact WHERE {stood} {last}),
  (SELECT fact.id FROM workshop_data AS fact WHERE fact.how_known = '{beside}' AND {not_ended} {last}))
"""


class LimitsOnRecord:
    """The reference data of one open record, by state; each text is read once.

    A session asks once for each state, so that what somebody else took in counts from the next session on. `asked`:
    whether anything was judged. `meant`: the kinds that were meant by misspelt names.
    """

    def __init__(self) -> None:
        self.asked = False
        self.meant: Mapping[str, str] = {}
        self._made: dict[tuple[int | None, int], Reference] = {}

    def of(self, session: Session, when: AsOf | None = None) -> Reference:
        """The data in force in a state of the record; without one, now."""
        read: dict[AsOf | None, Reference] = session.info.setdefault(_READ, {})
        asked = None if when is None or when.limits_now else when
        if asked not in read:
            read[asked] = self.at(session, asked)
        return read[asked]

    def at(self, source: Source, when: AsOf | None = None) -> Reference:
        """The same, asked anew, of anything that can be asked."""
        self.asked = True
        ((newest, key, on, digest),) = fetch_all(source, _question(when), when.parameters if when else None)
        found = PROGRAM
        if newest is not None:
            if (key, newest) not in self._made:
                self._made[key, newest] = _made(source, key, on, digest)
            found = self._made[key, newest]
        return replace(found, meant=self.meant) if self.meant else found


def _question(when: AsOf | None) -> str:
    """The SQL text that asks for what was in force; of now, only what stands."""
    stood, not_ended = "fact.superseded_by IS NULL", "1 = 0"
    if when is not None:
        stood, not_ended = when.sql("fact"), when.not_ended("fact")
    return _IN_FORCE.format(stood=stood, last=_LAST, beside=LAY_BESIDE, not_ended=not_ended)


def _made(source: Source, key: int | None, on: str, digest: str) -> Reference:
    """The reference data with the limits of one fact (None: the program's), and names from the others."""
    others = []
    own = Reference()
    for fact, file, text in fetch_all(source, "SELECT id, file_name, text FROM workshop_data ORDER BY id DESC"):
        if fact == key:
            taken = TakenIn(f"workshop_data-{fact}", on, digest)
            own = Reference(file, _read(text, file, taken), taken=taken)
            continue
        try:
            others.append(Reference(file, _read(text, file)))
        except Refused:
            continue  # only names are wanted of it
    return replace(own, others=tuple(others))


def _read(text: str, file: str, taken: TakenIn | None = None) -> dict[str, Any]:
    """The contents of limits on record. They were checked when they were taken in, by the rules of that day."""
    from inventory.reference.workshop import entries

    try:
        return entries.read(text, file)
    except Refused as refusal:
        if taken is None:
            raise
        says = f"This version cannot read the workshop's own limits of {day_words(taken.on)} ({taken.fact})"
        hint = "write them out with matchmark limits write FILE, correct that line, and take them in again"
        raise Refused("limits-not-readable", f"{says}: {refusal.message}", where=taken.fact, hint=hint) from None


@dataclass(frozen=True)
class LimitsTaken:
    """Limits on record: the fact, the day they count from (EDTF), who took them in and when, from which file.

    `in_force`: whether they are those of now.
    """

    fact: str
    on: str
    recorded_on: str
    by: str
    file: str
    digest: str
    reason: str | None
    in_force: bool

    def as_dict(self) -> dict[str, object]:
        """The object that stands in JSON."""
        return dict(vars(self))

    @property
    def says(self) -> str:
        """The limits in a line."""
        why = f"; {self.reason}" if self.reason else ""
        now = "  in force now" if self.in_force else ""
        taken = f"taken in from {self.file} by {self.by} on {self.recorded_on}"
        return f"{self.fact}  from {day_words(self.on)}, {taken}{why}{now}"


def limits_taken(session: Session) -> list[LimitsTaken]:
    """All limits on record that were not taken back, oldest first."""
    from inventory.people.queries import names_of_people

    rows = fetch_all(
        session,
        "SELECT id, so_from, recorded_on, by_id, file_name, digest, reason FROM workshop_data "
        "WHERE superseded_by IS NULL ORDER BY counts_from, ranked, id",
    )
    people = names_of_people(session, {by for _, _, _, by, *_ in rows})
    return [
        LimitsTaken(f"workshop_data-{key}", on, recorded, people[by], file, digest, reason, place == len(rows))
        for place, (key, on, recorded, by, file, digest, reason) in enumerate(rows, 1)
    ]


def limits_text(session: Session, when: AsOf) -> tuple[TakenIn | None, str, str]:
    """What was in force in a state of the record: its fact (None: the program's alone), file and text.

    It need not be readable by this version.
    """
    ((_, key, on, digest),) = fetch_all(session, _question(when), when.parameters)
    if key is None:
        return None, "", ""
    ((file, text),) = fetch_all(session, "SELECT file_name, text FROM workshop_data WHERE id = :key", {"key": key})
    return TakenIn(f"workshop_data-{key}", on, digest), file, text
