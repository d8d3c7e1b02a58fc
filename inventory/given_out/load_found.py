"""Reads what is to be said of an anchor that was looked for in a record's past: when it was, what came later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.given_out.tables import GivenOut, PaperWritten
from inventory.store.days.moments import kept_moment_in, read_moment
from inventory.store.days.zone import day_of, zone_of
from inventory.store.tables import JournalEntry, LogPlace
from inventory.store.verify.cuts import cut_since
from inventory.store.verify.past import Sought, found_before_log
from inventory.store.verify.problems import Problem

__all__ = ["Found", "look_up"]

_ENTRY, _PLACE = JournalEntry.__table__.c, LogPlace.__table__.c


@dataclass(frozen=True)
class Found:
    """Where in a record's past an anchor is: after how many `entries` (None: nowhere), the ISO `day` of the last of
    them, how many entries came `later`, `before_log`: it was given out by a version without a log.

    `papers`: the papers on record that bear it. `lists`: the papers whose own fingerprint it is, which is no anchor.
    `concerned`: how many problems concern what was written by then. `cut_since`: from how many of these entries words
    were removed later. `when`: the moment for people.
    """

    entries: int | None
    day: str | None = None
    later: int | None = None
    before_log: bool = False
    papers: tuple[str, ...] = ()
    lists: tuple[str, ...] = ()
    concerned: int = 0
    cut_since: int = 0
    when: str = ""

    def as_dict(self) -> dict[str, Any] | None:
        """The JSON; null where it is not in the record's past."""
        if self.entries is None:
            return None
        names = ("entries", "day", "later", "before_log", "papers", "concerned", "cut_since")
        return {name: list(value) if isinstance(value := getattr(self, name), tuple) else value for name in names}

    @property
    def says(self) -> str:
        """What was found, in sentences."""
        if self.entries is None:
            return self._not_found
        many = "1 entry" if self.entries == 1 else f"{self.entries} entries"
        what = "It was given out before the log, and the state is" if self.before_log else "That state is"
        later = "1 entry" if self.later == 1 else f"{self.later or 'no'} entries"
        first = f"{what} in this record's past, at entry {self.entries} of the log ({self.when})"
        stands = f" It stands on {', '.join(self.papers)}." if self.papers else ""
        if self.concerned:
            which = "1 of the problems concerns" if self.concerned == 1 else f"{self.concerned} of the problems concern"
            return f"{first}: {many} till then, {later} later.{stands} But {which} what was written by then"
        if self.cut_since:
            which = "1 entry" if self.cut_since == 1 else f"{self.cut_since} entries"
            but = f", save {which} from which words were removed: what is left there is provable only since then"
            return f"{first}. Nothing before it was changed since{but}. {later.capitalize()} came later.{stands}"
        return f"{first}. Nothing before it was changed since; {later} came later.{stands}"

    @property
    def _not_found(self) -> str:
        if self.lists:
            return f"That is no anchor but the fingerprint of {', '.join(self.lists)}: check its file instead"
        if self.papers:
            return (
                f"It stands on {', '.join(self.papers)} and is not in this record's past: entries from before were "
                "changed, or this is a copy from before"
            )
        return (
            "It is not: no state in this record's past has that anchor. It is of another record, or of a later state "
            "than this copy, or a digit is wrong, or entries from before it were changed"
        )


def look_up(session: Session, sought: Sought, size: int, problems: Sequence[Problem]) -> Found:
    """What is to be said of an anchor, once the log was read; `size`: how many entries it holds."""
    entries, before_log = sought.entries, False
    papers = _papers(session, PaperWritten.anchor, sought.digits, PaperWritten)
    if entries is None:
        entries = found_before_log(session, sought)
        before_log = entries is not None
    if entries is None:
        tables = (PaperWritten, GivenOut)
        lists = [name for table in tables for name in _papers(session, table.fingerprint, sought.digits, table)]
        return Found(None, papers=papers, lists=tuple(dict.fromkeys(lists)))
    at = session.scalar(_at_place().where(_PLACE.place == entries))
    moment, zone = read_moment(at), zone_of(session)
    return Found(
        entries,
        None if moment is None else day_of(moment, zone).isoformat(),
        size - entries,
        before_log,
        papers,
        concerned=_concerned(session, problems, entries),
        cut_since=cut_since(session, entries),
        when=kept_moment_in(at, zone),
    )


def _at_place() -> Any:
    same = (_ENTRY.thing_id == _PLACE.thing_id) & (_ENTRY.sequence == _PLACE.sequence)
    return select(_ENTRY.at).join_from(LogPlace.__table__, JournalEntry.__table__, same)


def _papers(session: Session, column: Any, digits: str, table: Any) -> tuple[str, ...]:
    rows = session.execute(select(table.what, table.number).where(column.startswith(digits)).order_by(table.id))
    return tuple(dict.fromkeys(f"{what} no. {number}" for what, number in rows))


def _concerned(session: Session, problems: Sequence[Problem], entries: int) -> int:
    """How many problems concern an entry among the first, or what it says."""
    named = {(problem.key, problem.entry) for problem in problems if isinstance(problem.key, int)}
    keys = {key for key, entry in named if isinstance(entry, int)}
    places = select(_PLACE.thing_id, _PLACE.sequence).where(_PLACE.place <= entries)
    within = {(key, number) for key, number in session.execute(places) if key in keys} if keys else set()
    return sum((problem.key, problem.entry) in within for problem in problems)
