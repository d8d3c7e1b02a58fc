"""The gaps of a condition list: what is not known about its items. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from inventory.condition_list.held_on import STALE_YEARS, months_before
from inventory.condition_list.values import Gap, Item
from inventory.reference.data import Reference

__all__ = ["gaps_of", "seen_lately"]


def gaps_of(items: Sequence[Item], day: date, basis: str, reference: Reference) -> tuple[Gap, ...]:
    """Every gap of every item, in the order of the items."""
    known = {kind.name: kind for kind in reference.kinds}
    found = []
    for item in items:
        kind = known.get(item.kind)
        says = [*_of_existence(item, day), *_of_looks(item), *_of_worth(item, basis)]
        if kind is not None and kind.procedures and not item.runs:
            says.append("never measured here")
        if kind is not None and kind.match_code and item.match_code is None:
            says.append(f"match code: {item.match_code_state or 'not looked at'}")
        fitted = reference.factory_seals(kind.name, item.part_number or "") if kind is not None else ()
        unseen = sorted(set(fitted) - {seal.seal for seal in item.seals})
        if unseen:
            says.append(f"seal never looked at: {', '.join(unseen)}")
        found += [Gap(item.number, item.tag, said) for said in says]
    return tuple(found)


def seen_lately(item: Item, day: date) -> bool:
    """Whether somebody saw the item within twelve months before the day."""
    return item.last_seen is not None and min(item.last_seen.when.latest, day.isoformat()) >= _year_before(day)


def _year_before(day: date) -> str:
    return months_before(day, 12).isoformat()


def _of_existence(item: Item, day: date) -> Iterator[str]:
    if not item.has_picture:
        yield "no picture"
    if item.serial is None:
        yield "no serial on record"
    if item.last_seen is None:
        yield "no sighting is on record"
    elif not seen_lately(item, day):
        yield f"not seen since {item.last_seen.when.on}"
    if item.where.state == "loose" and item.where.premises is None:
        yield "premises not known"
    if item.came == "not known":
        yield "how it came here is not known"


def _of_looks(item: Item) -> Iterator[str]:
    if item.condition is None or item.condition.category is None:
        yield "condition not assessed"
    if item.condition is None or item.condition.missing is None:
        yield "completeness not known"


def _of_worth(item: Item, basis: str) -> Iterator[str]:
    if item.value is None:
        yield f'no value stated on the basis "{basis}"'
    elif item.value.stale:
        yield f"value older than {STALE_YEARS} years: stated {item.value.when.on}"
