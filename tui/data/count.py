"""Reading and writing for Count. The draft is that of `matchmark stocktake`: a count goes on in either."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from inventory.counting.actions import close
from inventory.counting.queries import is_closed, lines_now
from inventory.counting.sheet import Counted, House, Line, shelves_left
from inventory.counting.write_draft import CountDraft
from inventory.counting.write_scan import begin_count, open_count, take_off, take_scan
from inventory.places.queries import place_named, shelf_order
from inventory.store.days.zone import in_zone, zone_of

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.counting.write_scan import Taken

__all__ = ["Scope", "Standing", "begin", "close_count", "drop", "one_scan", "standing", "untick", "where_to_count"]


@dataclass(frozen=True)
class Scope:
    """What can be counted: a place with all within it, or everything (`place` None), and how many parts that is."""

    place: str | None
    parts: int
    depth: int = 0


@dataclass(frozen=True)
class Standing:
    """The count as it stands. `hours`: hour and minute of each scan, by its moment."""

    house: House
    counted: Counted
    lines: tuple[Line, ...]
    hours: dict[str, str]
    left: tuple[str, ...]

    def many(self, state: str) -> int:
        """How many lines are in a state."""
        return sum(line.state == state for line in self.lines)

    @property
    def of(self) -> str:
        """What is counted."""
        return self.house.name(self.counted.scope_id) if self.counted.scope_id is not None else "everything"


def where_to_count(session: Session) -> tuple[Scope, ...]:
    """All that can be counted, in the order of the walk."""
    walk = shelf_order(session)
    return (
        Scope(None, sum(place.parts for _, place in walk)),
        *(Scope(place.name, place.in_all, depth) for depth, place in walk),
    )


def standing(session: Session, draft: CountDraft) -> Standing | None:
    """The count that is open; None if none is."""
    counted = draft.read()
    if counted is None or is_closed(session, counted):
        return None
    house, lines = lines_now(session, counted)
    zone = zone_of(session)
    hours = {line.at: in_zone(datetime.fromisoformat(line.at), zone).strftime("%H:%M") for line in lines if line.at}
    return Standing(house, counted, tuple(lines), hours, tuple(shelf.name for shelf in shelves_left(house, counted)))


def begin(session: Session, draft: CountDraft, place: str | None) -> Standing | None:
    """Begin a count; a place that is scanned or named is the first shelf too, if nothing lies within it."""
    begin_count(session, draft, place)
    if place is not None:
        view = place_named(session, place)
        if all(each.within_id != view.id for _, each in shelf_order(session)):
            take_scan(session, draft, view.name)
    return standing(session, draft)


def one_scan(session: Session, draft: CountDraft, text: str, *, keep: bool) -> tuple[Taken, Standing | None]:
    """Take a scan; what it was, and the count with it. `keep`: also what is no label of this record."""
    taken = take_scan(session, draft, text, keep=keep)
    return taken, standing(session, draft)


def untick(session: Session, draft: CountDraft, tag: str) -> Standing | None:
    """Take a tick off again."""
    take_off(session, draft, tag)
    return standing(session, draft)


def close_count(session: Session, by: str, draft: CountDraft, moves: Collection[int]) -> str:
    """Close the count; what it wrote, in words."""
    closed = close(session, by, open_count(session, draft), moves)
    draft.add(closed=closed.number)  # if the act is not committed, no count has this number, and the draft is open
    found = f"{closed.many('here')} here, {closed.many('not here')} not here, {closed.many('elsewhere')} elsewhere"
    moved = f", {len(closed.moved)} moved" if closed.moved else ""
    odd = [line.tag for line in closed.lines if line.state == "elsewhere" and not line.may_move]
    happened = f" Say on the card how {', '.join(odd)} came back." if odd else ""
    return f"Count {closed.number} closed: {found}{moved}.{happened}"


def drop(draft: CountDraft) -> None:
    """Delete the count."""
    draft.drop()
