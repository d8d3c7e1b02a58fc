"""Takes one scan into the draft of a count, and says what it was: the same in a command and in the browser."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from inventory.counting.queries import is_closed, loose_at, parts_by_key, scan_of, the_places
from inventory.counting.sheet import ELSEWHERE, HERE, UNREAD, Counted, CountedPart, Tick, found
from inventory.counting.write_draft import CountDraft
from inventory.errors import Refused
from inventory.places.queries import place_named
from inventory.store.days import clock
from inventory.store.days.zone import in_zone, zone_of

__all__ = ["PLACE", "Taken", "begin_count", "open_count", "take_off", "take_scan"]

PLACE = "place"
_NONE_OPEN = "No count is open"
_BEGIN = "matchmark stocktake begin [PLACE]"


@dataclass(frozen=True)
class Taken:
    """What a scan was: a place, here, elsewhere, or an unknown label; the sentence; `again`: ticked before."""

    state: str
    says: str
    tag: str = ""
    again: bool = False

    @property
    def rings(self) -> bool:
        """Whether eyes are needed: the bell rings once."""
        return self.state in (ELSEWHERE, UNREAD)


def begin_count(session: Session, draft: CountDraft, place: str | None) -> Counted:
    """Begin a count of a place and all within it, or of everything. Raises `Refused` if one is open."""
    held = draft.read()
    if held is not None and not is_closed(session, held):
        raise Refused(
            "count-open",
            f"A count is open, begun {held.begun[:10]}, {len(held.ticks)} parts ticked",
            hint="matchmark stocktake show; then close it, or drop it",
        )
    if place is not None:
        view = place_named(session, place)
        draft.begin(view.id, view.name)
    else:
        draft.begin(None)
    return open_count(session, draft)


def open_count(session: Session, draft: CountDraft) -> Counted:
    """The count that is open. Raises `Refused` if there is none; one that was taken back is open again."""
    counted = draft.read()
    if counted is None:
        raise Refused("no-count-open", _NONE_OPEN, hint=_BEGIN)
    if is_closed(session, counted):
        raise Refused("no-count-open", f"{_NONE_OPEN}; count {counted.closed} is closed", hint=_BEGIN)
    return counted


def take_scan(session: Session, draft: CountDraft, text: str, *, keep: bool = True) -> Taken:
    """Take a scanned or typed text into the draft: a place says where one stands, a part is ticked there.

    `keep`: what is no label of this record is kept too, to be looked at in the end.
    """
    counted = open_count(session, draft)
    scan = scan_of(session, text)
    if scan.part is not None:
        return _tick(session, draft, counted, scan.part)
    if scan.place is None:
        if keep:
            draft.add(unread=scan.text, says=scan.says)
        return Taken(UNREAD, f"{scan.text}: {scan.says}", scan.text)
    house = the_places(session, counted.scope_id)
    draft.add(place=scan.place.id, name=scan.place.name)
    to_find = len(set(loose_at(session, [scan.place.id])) - set(counted.ticks))
    outside = "" if scan.place.id in house.inside else "; it is outside what is counted"
    return Taken(PLACE, f"{scan.place.name}: {to_find} to find{outside}", scan.place.name)


def take_off(session: Session, draft: CountDraft, text: str) -> Taken:
    """Take a tick off again. Raises `Refused` if that part has none."""
    counted, scan = open_count(session, draft), scan_of(session, text)
    if scan.part is None or scan.part.id not in counted.ticks:
        raise Refused("not-ticked", f"{scan.text} is not ticked", where=scan.text)
    draft.add(off=scan.part.id)
    return Taken(HERE, f"{scan.part.tag}: no longer ticked", scan.part.tag)


def _tick(session: Session, draft: CountDraft, counted: Counted, part: CountedPart) -> Taken:
    before = counted.ticks.get(part.id)
    house = the_places(session, counted.scope_id)
    tick = Tick(clock.stamp(clock.now()), counted.shelf_id)
    line = found(house, part, tick)
    if before is not None and before.place_id == tick.place_id:
        says = f"{part.tag} counted {_hour(session, before.at)}"
        return Taken(line.state, says, part.tag, again=True)
    draft.add(part=part.id, **{"in": counted.shelf_id}, tag=part.tag)
    moved = f", counted {_hour(session, before.at)} in {house.name(before.place_id)}" if before else ""
    where = house.name(line.place_id) if line.place_id is not None else ""
    if line.state == ELSEWHERE:
        lies = f"; it lies in {where}" if where else ""
        return Taken(ELSEWHERE, f"{part.tag} {line.says}{lies}{moved}", part.tag, again=before is not None)
    return Taken(HERE, f"{part.tag} here, {where}{moved}{_kept_with(session, counted, part)}", part.tag)


def _kept_with(session: Session, counted: Counted, part: CountedPart) -> str:
    """What came off as one with the part and is not ticked yet: it is asked about, never ticked with it."""
    others = [key for key in part.as_one if key not in counted.ticks]
    if not others:
        return ""
    tags = sorted(each.tag for each in parts_by_key(session, others).values())
    return f". It came off as one with {', '.join(tags)}: scan {'it' if len(tags) == 1 else 'them'} too"


def _hour(session: Session, at: str) -> str:
    return in_zone(datetime.fromisoformat(at), zone_of(session)).strftime("%H:%M")
