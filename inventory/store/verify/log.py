"""Does the log hold every entry once, and does its head fit the tree over them?

A tail, a whole chain or any single entry that was taken out leaves its place behind; taken out with its place it leaves
a gap, or a log that is shorter than its head says; and whatever was done, the tree over what is left has another root.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.store.journal.log import HEAD, frontier_text, leaf
from inventory.store.journal.merkle import Tree
from inventory.store.tables import JournalEntry, LogHead, LogPlace
from inventory.store.verify.past import Sought
from inventory.store.verify.problems import Finding, Problem, named, shown
from inventory.store.verify.times import Times

__all__ = ["Log", "log_problems", "read_log"]

_LOG, _HEAD = LogPlace.__tablename__, LogHead.__tablename__
_ENTRY, _PLACE = JournalEntry.__table__.c, LogPlace.__table__.c
_SAME = (_ENTRY.thing_id == _PLACE.thing_id) & (_ENTRY.sequence == _PLACE.sequence)


@dataclass
class Log:
    """The tree over the entries in the order of the log, the last place given, and where the log is not whole."""

    tree: Tree = field(default_factory=Tree)
    last: int = 0
    findings: list[Finding] = field(default_factory=list)


def read_log(session: Session, times: Times | None = None, sought: Sought | None = None) -> Log:
    """Walk the log from its first place to its last; on the way look at times, and for an anchor."""
    found = Log()
    query = select(_PLACE.place, _PLACE.thing_id, _PLACE.sequence, _ENTRY.hash, _ENTRY.at).outerjoin_from(
        LogPlace.__table__, JournalEntry.__table__, _SAME
    )
    for place, thing_id, sequence, digest, at in session.connection().execute(query.order_by(_PLACE.place)):
        if place != found.last + 1:
            found.findings.append(_gap(found.last + 1, place - 1))
        found.last = place
        if digest is None:
            says = f": entry {shown(sequence)} of its journal has place {place} in the log and is gone"
            found.findings.append(Finding(thing_id, _LOG, None, says, _number(sequence)))
        else:
            found.tree.add(leaf(digest))
            if times is not None:
                times.see(place, at)
            if sought is not None and sought.entries is None:
                sought.see(found.tree)
    found.findings += _not_once(session)
    return found


def log_problems(session: Session, log: Log) -> list[Problem]:
    """What is wrong with the log and its head."""
    problems = named(session, log.findings)
    heads = session.connection().execute(select(LogHead.__table__).order_by(LogHead.id)).all()
    for other in heads:
        if other.id != HEAD:
            says = f"the log has a second head ({shown(other.id)})"
            problems.append(Problem("the log", None, _HEAD, "id", says))
    head = {each.id: each for each in heads}.get(HEAD)
    if head is None:
        return [*problems, Problem("the log", None, _HEAD, None, "the head of the log is missing")]
    if head.size != log.last:
        says = f"the log ends at place {log.last}; by its head it had {shown(head.size)} entries"
        problems.append(Problem("the log", None, _HEAD, "size", says))
    if not problems and head.frontier != frontier_text(log.tree):
        says = "the tree over the journal's entries is not that of the log's head; some were changed or put elsewhere"
        problems.append(Problem("the log", None, _HEAD, "frontier", says))
    return problems


def _not_once(session: Session) -> Iterator[Finding]:
    """Entries that have no place in the log, or more than one."""
    places = func.count(_PLACE.place)
    query = select(_ENTRY.thing_id, _ENTRY.sequence, places).outerjoin_from(
        JournalEntry.__table__, LogPlace.__table__, _SAME
    )
    grouped = query.group_by(_ENTRY.thing_id, _ENTRY.sequence).having(places != 1)
    for thing_id, sequence, many in session.connection().execute(grouped.order_by(_ENTRY.thing_id, _ENTRY.sequence)):
        has = "no place" if many == 0 else f"{many} places"
        says = f": entry {shown(sequence)} of its journal has {has} in the log"
        yield Finding(thing_id, _LOG, None, says, _number(sequence))


def _gap(first: int, last: int) -> Finding:
    says = (
        f"of the log place {first} is missing" if first == last else f"of the log places {first} to {last} are missing"
    )
    return Finding(None, _LOG, "place", says)


def _number(sequence: Any) -> int | None:
    return sequence if isinstance(sequence, int) else None
