"""Closing a count: its findings become facts; the record follows parts that lie elsewhere if that is wanted."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.counting.queries import lines_now
from inventory.counting.sheet import ELSEWHERE, HERE, NOT_HERE, Counted, Line
from inventory.counting.tables import CountLine, Stocktake
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts.load_as_one import as_one
from inventory.people.actions import begin_act
from inventory.places.tables import Move
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import When, when_on
from inventory.store.days.zone import day_of, zone_of
from inventory.store.facts import Act, make_fact
from inventory.store.many import among
from inventory.store.tables import Base

__all__ = ["Closed", "close"]


@dataclass(frozen=True)
class Closed:
    """What closing a count wrote. `number`: of the count; `twice`: findings that another count had written already."""

    number: int
    lines: tuple[Line, ...]
    moved: tuple[Line, ...]
    twice: int

    def many(self, state: str) -> int:
        """How many parts were found so."""
        return sum(line.state == state for line in self.lines)


def close(session: Session, by: str, counted: Counted, moves: Collection[int] = ()) -> Closed:
    """Write what a count found, as one act. `moves`: the keys of parts that the record is to follow.

    Only the shelves that were counted are judged. What another count wrote since this one began is not written twice,
    and what it found is not called missing. Raises `Refused` if nothing was counted.
    """
    _, every = lines_now(session, counted)
    found = [line for line in every if line.state in (HERE, ELSEWHERE, NOT_HERE) and line.part_id is not None]
    if not found:
        raise Refused(
            "nothing-counted", "No shelf is counted yet", hint="scan the label of a shelf, and what lies there"
        )
    keys = [line.part_id for line in found if line.part_id is not None]
    moved = [line for line in found if line.may_move and line.part_id in moves]
    along = as_one(session) if moved else {}
    with_them = {key for line in moved for key in along.get(line.part_id or 0, ())}
    act = begin_act(session, "stocktake close", by, RECORD_THING, *{*keys, *with_them})
    others = _written_since(session, keys, counted.begun)  # after the lock: two may close at once
    fresh = [line for line in found if not _known(line, others.get(line.part_id or 0, ()))]
    number = (session.scalar(select(func.max(Stocktake.number))) or 0) + 1
    days = _days(session, act, found)
    rows: list[Base] = [
        make_fact(
            *(CountLine, act, line.part_id, days[line.part_id]),
            occasion=f"count {number}",
            found=line.state,
            place_id=line.lies_in,
        )
        for line in fresh
        if line.part_id is not None
    ]
    rows += _moves(act, moved, along, days)
    closed = Closed(number, tuple(fresh), tuple(moved), len(found) - len(fresh))
    rows.append(_stocktake(session, act, counted, closed))
    write(session, act, rows)
    return closed


def _days(session: Session, act: Act, found: Sequence[Line]) -> dict[int, When]:
    """For each part the day on which it was counted."""
    zone = zone_of(session)
    today = when_on(None, act.today)
    scanned = {line.part_id: day_of(datetime.fromisoformat(line.at), zone) for line in found if line.at}
    return {
        key: when_on(day.isoformat(), act.today) if (day := scanned.get(key)) and day < act.today else today
        for key in (line.part_id for line in found)
        if key is not None
    }


def _moves(act: Act, moved: Sequence[Line], along: dict[int, tuple[int, ...]], days: dict[int, When]) -> list[Base]:
    """The moves; what came off as one with a part goes with it, unless it is moved itself."""
    to = {key: line for line in moved for key in (*along.get(line.part_id or 0, ()), line.part_id) if key is not None}
    to.update({line.part_id: line for line in moved if line.part_id is not None})
    return [make_fact(Move, act, key, days[line.part_id or 0], place_id=line.place_id) for key, line in to.items()]


def _stocktake(session: Session, act: Act, counted: Counted, closed: Closed) -> Stocktake:
    begun = day_of(datetime.fromisoformat(counted.begun), zone_of(session)).isoformat()
    return make_fact(
        Stocktake,
        act,
        RECORD_THING,
        when_on(None, act.today),
        number=closed.number,
        scope_id=counted.scope_id,
        begun=begun,
        here=closed.many(HERE),
        not_here=closed.many(NOT_HERE),
        elsewhere=closed.many(ELSEWHERE),
    )


def _written_since(session: Session, keys: Sequence[int], begun: str) -> dict[int, list[CountLine]]:
    """What other counts, closed since this one began, wrote of these parts, by part, oldest first."""
    wanted = select(CountLine).where(
        among(CountLine.thing_id, keys), CountLine.recorded > begun, CountLine.superseded_by.is_(None)
    )
    found: dict[int, list[CountLine]] = {}
    for line in session.scalars(wanted.order_by(CountLine.recorded, CountLine.id)):
        if line.occasion.startswith("count "):
            found.setdefault(line.thing_id, []).append(line)
    return found


def _known(line: Line, others: Sequence[CountLine]) -> bool:
    """Whether another count says the same already, or found what this one calls missing."""
    if not others:
        return False
    last = others[-1]
    if line.state == NOT_HERE:
        return True
    return last.found == line.state and last.place_id == line.lies_in
