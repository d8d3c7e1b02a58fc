"""Reading for counts: the house, what a scan is, and which parts the last count did not find."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.counting.missing import missed, says_missed
from inventory.counting.sheet import NOT_HERE, Counted, CountedPart, House, Line, Shelf, lines_of
from inventory.counting.tables import CountLine, Stocktake
from inventory.errors import Refused, UnknownName
from inventory.facts.declare import declared
from inventory.facts.how_known import is_own
from inventory.facts.order import order_key
from inventory.parts.load_as_one import as_one
from inventory.parts.queries import PartLine, lines, part_row
from inventory.parts.tables import Part
from inventory.parts.tags import is_tag, parse
from inventory.places.queries import PlaceView, place_named, places_within, shelf_order
from inventory.places.tables import Place
from inventory.provenance.load_away import parts_away
from inventory.provenance.tables import Provenance
from inventory.store.days.date_words import day_words
from inventory.store.days.zone import today_in
from inventory.store.facts import NOW, AsOf, as_of
from inventory.store.many import among

__all__ = [
    "NotHere",
    "Scan",
    "house_of",
    "is_closed",
    "lines_now",
    "loose_at",
    "not_here",
    "parts_by_key",
    "scan_of",
    "the_places",
]


@dataclass(frozen=True)
class Scan:
    """What was scanned: a place, a part, or neither (`says`: why)."""

    text: str
    place: PlaceView | None = None
    part: CountedPart | None = None
    says: str = ""


@dataclass(frozen=True)
class NotHere:
    """A part that the last count looked for and did not find, and nobody has seen since. `day`: EDTF."""

    part_id: int
    tag: str
    what: str
    place: str | None
    day: str
    occasion: str

    @property
    def says(self) -> str:
        """The finding in words: "not here on 12 March 2026 (count 3)"."""
        return says_missed(self.day, self.occasion)

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {"on": self.day, "place": self.place, "occasion": self.occasion, "says": self.says}


def the_places(session: Session, scope_id: int | None) -> House:
    """The places in the order of the walk, without the parts."""
    shelves = shelf_order(session)
    inside = places_within(session, scope_id) if scope_id is not None else {place.id for _, place in shelves}
    walk = tuple(Shelf(place.id, place.name, depth) for depth, place in shelves)
    return House(walk, {place.id: place.within_id for _, place in shelves}, scope_id, frozenset(inside), {})


def house_of(session: Session, scope_id: int | None) -> House:
    """The places in the order of the walk, and the loose parts that belong in the scope (None: everywhere).

    Parts that are on a car or gone are not looked for; those that are away are, but never missing.
    """
    house = the_places(session, scope_id)
    return replace(
        house, parts=parts_by_key(session, loose_at(session, house.inside if scope_id is not None else None))
    )


def loose_at(session: Session, places: Collection[int] | None) -> Sequence[int]:
    """The keys of the parts that lie at some places by the record; None: of all that are neither on a car nor gone."""
    wanted = select(Part.id).where(Part.kind.is_not(None), Part.gone.is_(None), Part.fitted != "yes")
    return session.scalars(wanted if places is None else wanted.where(among(Part.place_id, places))).all()


def parts_by_key(session: Session, keys: Collection[int]) -> dict[int, CountedPart]:
    """Parts as a count needs them, by key."""
    at: dict[int, int | None] = dict(session.execute(select(Part.id, Part.place_id).where(among(Part.id, keys))).all())
    kept = as_one(session)
    away = {each.tag: f"is {each.how} since {day_words(each.since)}" for each in parts_away(session, today_in(session))}
    return {
        line.id: CountedPart(
            *(line.id, line.tag, _what(line), at[line.id]),
            *(_instead(line) or away.get(line.tag, ""), kept.get(line.id, ())),
        )
        for line in lines(session, list(keys))
    }


def lines_now(session: Session, counted: Counted) -> tuple[House, list[Line]]:
    """The house as it is on record now, and all lines of a count in it."""
    house = house_of(session, counted.scope_id)
    others = parts_by_key(session, [key for key in counted.ticks if key not in house.parts])
    return house, lines_of(house, counted, others)


def scan_of(session: Session, text: str) -> Scan:
    """What a scanned or typed text is: the name or label of a place, or the label of a part."""
    shown = text.strip()[:80]
    try:
        if is_tag(shown):
            return Scan(shown, part=next(iter(parts_by_key(session, [part_row(session, shown).id]).values())))
        return Scan(shown, place=place_named(session, shown))
    except UnknownName as unknown:
        if (misread := _misread(shown)) is not None:
            return Scan(shown, says=misread)
        near = f"; near: {', '.join(unknown.near)}" if unknown.near else ""
        return Scan(shown, says=f"neither a label nor a place of this record{near}")
    except Refused as refused:
        return Scan(shown, says=refused.message)


def _misread(text: str) -> str | None:
    """What is wrong with a text that has the form of a part's label; None if it has not."""
    try:
        parse(text)
    except Refused as refused:
        return refused.message if refused.code == "tag-check" else None
    return None


def is_closed(session: Session, counted: Counted) -> bool:
    """Whether a draft is that of a closed count; no longer if the count was taken back."""
    if counted.closed is None:
        return False
    stands = select(Stocktake.id).where(Stocktake.number == counted.closed, Stocktake.superseded_by.is_(None))
    return session.scalar(stands) is not None


def not_here(session: Session, keys: Iterable[int] | None = None, when: AsOf = NOW) -> dict[int, NotHere]:
    """The parts that the last count did not find and that nobody has seen since, in a state of the record.

    It is a finding, not a loss: the part keeps its place until something else is known.
    """
    once = select(CountLine.thing_id).where(CountLine.found == NOT_HERE)  # most parts never were
    wanted = as_of(select(CountLine).where(CountLine.thing_id.in_(once)), CountLine, when)
    if keys is not None:
        wanted = wanted.where(among(CountLine.thing_id, list(keys)))
    last = {line.thing_id: line for line in session.scalars(wanted)}
    keys = [key for key, line in last.items() if line.found == NOT_HERE]
    seen, passages = _last_seen(session, keys, when), defaultdict(list)
    for fact in session.scalars(as_of(select(Provenance).where(among(Provenance.thing_id, keys)), Provenance, when)):
        passages[fact.thing_id].append(fact)
    left = [key for key in keys if missed([last[key]], seen.get(key), passages[key]) is not None]
    named: dict[int, str | None] = dict(session.execute(select(Place.id, Place.name)).all()) if left else {}
    return {
        line.id: NotHere(
            *(line.id, line.tag, _what(line), named.get(last[line.id].place_id or 0)),
            *(last[line.id].so_from, last[line.id].occasion),
        )
        for line in lines(session, left)
        if not line.gone
    }


def _last_seen(session: Session, keys: Sequence[int], when: AsOf) -> dict[int, Any]:
    """For each of some parts the last fact that shows that we had it before us."""
    seen: dict[int, Any] = {}
    for kind in declared(session).about("part") if keys else ():
        if kind.seen_how is None:
            continue
        facts: Iterable[Any] = session.scalars(
            as_of(select(kind.table).where(among(kind.table.thing_id, keys)), kind.table, when)
        )
        for fact in facts:
            before = seen.get(fact.thing_id)
            if is_own(fact) and kind.seen_how(fact) and (before is None or order_key(before) < order_key(fact)):
                seen[fact.thing_id] = fact
    return seen


def _what(line: PartLine) -> str:
    words = (line.kind or "part", line.maker, line.part_number, f"serial {line.serial}" if line.serial else None)
    return " ".join(word for word in words if word)


def _instead(line: PartLine) -> str:
    """Where a part is by the record, if it cannot lie on a shelf."""
    if line.gone:
        return f"is {line.gone} by the record"
    return f"is {line.where} by the record" if line.fitted else ""
