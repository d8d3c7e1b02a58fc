"""The gaps of a condition list: what is not known about its items. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from datetime import date

from inventory.condition_list.held_on import STALE_YEARS, months_before
from inventory.condition_list.totals import WITH_MATE
from inventory.condition_list.values import Gap, Item
from inventory.reference.data import Reference

__all__ = ["gaps_of", "seen_lately"]


def gaps_of(items: Sequence[Item], seen: Set[int], basis: str, reference: Reference) -> tuple[Gap, ...]:
    """Every gap of every item, in the order of the items; `seen`: the numbers of those seen lately."""
    known = {kind.name: kind for kind in reference.kinds}
    sorts = {(item.kind, item.part_number) for item in items if item.kind in known}
    factory_seals = {(kind, number): reference.factory_seals(kind, number or "") for kind, number in sorts}
    found = []
    for item in items:
        kind = known.get(item.kind)
        says = [*_of_existence(item, item.number in seen), *_of_looks(item), *_of_worth(item, basis)]
        if kind is not None and kind.procedures and not item.runs:
            says.append("never measured here")
        if kind is not None and kind.match_code and item.match_code is None:
            says.append(f"match code: {item.match_code_state or 'not looked at'}")
        fitted = factory_seals.get((item.kind, item.part_number), ())
        unseen = sorted({*fitted} - {seal.seal for seal in item.seals}) if fitted else ()
        if unseen:
            says.append(f"seal never looked at: {', '.join(unseen)}")
        found += [Gap(item.number, item.tag, said) for said in says]
    return tuple(found)


def seen_lately(items: Iterable[Item], day: date) -> set[int]:
    """The numbers of the items that somebody saw within twelve months before the day."""
    since = months_before(day, 12).isoformat()
    return {item.number for item in items if item.last_seen is not None and item.last_seen.when.latest >= since}


def _of_existence(item: Item, seen_lately: bool) -> Iterator[str]:
    if item.where.state == "open":
        yield item.where.says
    if item.not_here:
        yield item.not_here
    if not item.has_picture:
        yield "no picture"
    if item.serial is None:
        yield item.serial_told or "no serial on record"
    if item.last_seen is None:
        yield "no sighting is on record"
    elif not seen_lately:
        yield f"not seen since {item.last_seen.when.on}"
    if item.where.state in ("loose", "on a car") and item.where.premises is None:
        yield "premises not known"
    if item.came == "not known":
        yield "how it came here is not known"


def _of_looks(item: Item) -> Iterator[str]:
    if item.condition is None or item.condition.category is None:
        yield "condition not assessed"
    if item.condition is None or item.condition.missing is None:
        yield "completeness not known"


def _of_worth(item: Item, basis: str) -> Iterator[str]:
    if item.value is None and item.heading != WITH_MATE:
        yield f'no value stated on the basis "{basis}"'
    elif item.value is not None and item.value.stale:
        yield f"value older than {STALE_YEARS} years: stated {item.value.when.on}"
