"""A count as it stands: what should lie on each shelf, what was scanned, and what follows for each part. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from inventory.places.tree import above

__all__ = [
    "ASKED",
    "AWAY",
    "ELSEWHERE",
    "HERE",
    "NOT_HERE",
    "TO_COUNT",
    "TO_FIND",
    "UNREAD",
    "Counted",
    "CountedPart",
    "House",
    "Line",
    "Shelf",
    "Tick",
    "folded",
    "found",
    "lines_of",
    "shelves_left",
    "state_so_far",
]

HERE, NOT_HERE, ELSEWHERE = "here", "not here", "elsewhere"
#: Its shelf was not counted yet; it is kept with a part that was ticked, and nobody said that it is there too; a label
#: that no part has.
TO_COUNT, ASKED, UNREAD = "to count", "kept with another", "unknown label"
#: The same, where one stands.
TO_FIND = "to find"
#: Sent or lent out: by the record it cannot be here.
AWAY = "away"


@dataclass(frozen=True)
class Shelf:
    """A place in the order of the walk, with its depth."""

    id: int
    name: str
    depth: int = 0


@dataclass(frozen=True)
class CountedPart:
    """A part as a count needs it. `place_id`: where it belongs; `instead`: where else it is by the record, in words.

    `as_one`: the keys of the parts that came off as one with it and are kept together.
    """

    id: int
    tag: str
    what: str
    place_id: int | None
    instead: str = ""
    as_one: tuple[int, ...] = ()


@dataclass(frozen=True)
class House:
    """What is to be counted: all places in the order of the walk, those in the scope, and what belongs there."""

    shelves: tuple[Shelf, ...]
    within: Mapping[int, int | None]
    scope_id: int | None
    inside: frozenset[int]
    parts: Mapping[int, CountedPart]

    def name(self, key: int | None) -> str:
        """The name of a place."""
        return next((shelf.name for shelf in self.shelves if shelf.id == key), "no place noted")

    def is_in(self, inner: int | None, outer: int | None) -> bool:
        """Whether a place is another one, or lies in it."""
        return inner is not None and outer is not None and outer in above(self.within, inner)


@dataclass(frozen=True)
class Tick:
    """A part was scanned: when (UTC), and at which place (None: nothing was said of the place)."""

    at: str
    place_id: int | None


@dataclass
class Counted:
    """What a draft of a count holds. `shelf_id`: the place scanned last; `shelves`: all that were scanned.

    `unread`: scans that are no part of the record: why, when, and at which place. `of`: the name of what is counted, ""
    for everything.
    """

    begun: str
    scope_id: int | None = None
    shelf_id: int | None = None
    ticks: dict[int, Tick] = field(default_factory=dict)
    shelves: dict[int, str] = field(default_factory=dict)
    unread: dict[str, tuple[str, str, int | None]] = field(default_factory=dict)
    closed: int | None = None
    of: str = ""


@dataclass(frozen=True)
class Line:
    """One line of the count. `place_id`: the shelf it stands under; `says`: what is odd; `part_id`: None of a label.

    `found_id`: where it was found, if that is another place: the room in which its shelf stands.
    """

    state: str
    place_id: int | None
    tag: str
    what: str
    says: str = ""
    at: str = ""
    part_id: int | None = None
    found_id: int | None = None

    @property
    def lies_in(self) -> int | None:
        """The key of the place where it was found or, if it was not, looked for."""
        return self.place_id if self.found_id is None else self.found_id

    @property
    def may_move(self) -> bool:
        """Whether the record can follow it to where it was found: it belongs on another shelf, or on none."""
        return self.state == ELSEWHERE and self.place_id is not None and self.says.startswith("belongs in")


def folded(events: Collection[Mapping[str, Any]]) -> Counted | None:
    """What the events of a draft add up to; None without a beginning."""
    counted: Counted | None = None
    for event in events:
        at = str(event.get("at", ""))
        if "begun" in event:
            counted = Counted(str(event["begun"]), event.get("scope"), of=str(event.get("name") or ""))
        elif counted is None:
            continue
        elif "place" in event:
            counted.shelf_id = event["place"]
            counted.shelves[event["place"]] = at
        elif "part" in event:
            counted.ticks[event["part"]] = Tick(at, event.get("in"))
        elif "off" in event:
            counted.ticks.pop(event["off"], None)
        elif "unread" in event:
            counted.unread[str(event["unread"])] = str(event.get("says", "")), at, counted.shelf_id
        elif "closed" in event:
            counted.closed = event["closed"]
    return counted


def shelves_left(house: House, counted: Counted) -> list[Shelf]:
    """The places that hold something by the record and were not counted yet, in the order of the walk."""
    done = _done(house, counted)
    holding = {part.place_id for part in house.parts.values() if not part.instead}
    return [shelf for shelf in house.shelves if shelf.id in holding and shelf.id not in done]


def lines_of(house: House, counted: Counted, others: Mapping[int, CountedPart]) -> list[Line]:
    """All lines in shelf order, then by tag. `others`: parts that were scanned and belong to no counted place."""
    done = _done(house, counted)
    at: dict[int | None, list[Line]] = defaultdict(list)
    for part in {**others, **house.parts}.values():
        tick = counted.ticks.get(part.id)
        line = _missing(house, counted, part, done) if tick is None else found(house, part, tick)
        if line is not None:
            at[line.place_id].append(line)
    for label, (says, when, shelf) in counted.unread.items():
        at[shelf].append(Line(UNREAD, shelf, label, "", says, when))
    walk = [*(shelf.id for shelf in house.shelves), None]
    return [line for key in walk for line in sorted(at[key], key=lambda each: each.tag)]


def state_so_far(line: Line, counted: Counted) -> str:
    """The state while the count goes on: what is missing where one stands is only still to find."""
    return TO_FIND if line.state == NOT_HERE and line.place_id == counted.shelf_id else line.state


def _done(house: House, counted: Counted) -> set[int]:
    """The places that were counted: their own label was scanned or, where no place was, a part of theirs was ticked.

    Who stands in a room and ticks what lies on a shelf in it has not gone through that shelf.
    """
    loose = (house.parts[key] for key, tick in counted.ticks.items() if key in house.parts and tick.place_id is None)
    here = {part.place_id for part in loose if not part.instead}
    return {key for key in (*here, *counted.shelves) if key is not None}


def _at_home(house: House, part: CountedPart, tick: Tick) -> bool:
    """Whether a part was found where it belongs, or within that, or nothing was said of the place."""
    if part.instead or part.place_id is None:
        return False
    return (
        tick.place_id is None or house.is_in(part.place_id, tick.place_id) or house.is_in(tick.place_id, part.place_id)
    )


def found(house: House, part: CountedPart, tick: Tick) -> Line:
    """The line of a part that was scanned."""
    if _at_home(house, part, tick) and part.place_id in house.inside:
        return Line(HERE, part.place_id, part.tag, part.what, "", tick.at, part.id, tick.place_id)
    place_id = tick.place_id if tick.place_id is not None else house.scope_id
    says = part.instead or f"belongs in {house.name(part.place_id)}"
    if not part.instead and part.place_id is None:
        says = "belongs in no place yet"
    return Line(ELSEWHERE, place_id, part.tag, part.what, says, tick.at, part.id)


def _missing(house: House, counted: Counted, part: CountedPart, done: Collection[int]) -> Line | None:
    if part.id not in house.parts:
        return None
    beside = [house.parts[key].tag for key in part.as_one if key in counted.ticks and key in house.parts]
    state, says = TO_COUNT, ""
    if part.instead:
        state, says = AWAY, part.instead
    elif beside:
        state, says = ASKED, f"came off as one with {', '.join(beside)}, which is ticked: is it there too?"
    elif part.place_id in done:
        state = NOT_HERE
    return Line(state, part.place_id, part.tag, part.what, says, "", part.id)
