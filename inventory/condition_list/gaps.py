"""The gaps of a condition list: what is not known about its items, first what matters most. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.condition_list.held_on import STALE_YEARS, months_before
from inventory.condition_list.list_values import NOT_READ
from inventory.condition_list.totals import WITH_MATE
from inventory.condition_list.values import Gap, Item
from inventory.reference.data import Reference

__all__ = ["ASKS", "gaps_of", "seen_lately"]

#: Why a gap of each sort matters, in the order in which they matter to an insurer. Workshop judgement, no source.
ASKS: Mapping[str, str] = {
    "whose": "what is not known to be ours is in no total, and another cover may be meant for it",
    "whereabouts": "nobody can say that it is here",
    "contradiction": "two findings cannot both be true; until it is settled the worse one counts",
    "not shown here": "nothing on record says that it was here by the day of the list",
    "existence": "after a theft, the first questions are whether it existed, and which one it was",
    "value": "without a value on this basis it adds nothing to the total",
    "premises": "cover depends on the place",
    "never tested": "nothing says whether it works",
    "origin": "how it came is the first proof of whose it is",
    "looks": "nobody can say later whether damage is new",
    "old value": f"prices move in {STALE_YEARS} years",
    "seals and letter": "they decide which units belong together",
    "relation": "insurers and scrutineers ask whether it is original to its car",
    "completeness": "nobody can say later whether something is missing",
    NOT_READ: "what stands there may answer one of these questions",
}
_NONE: Mapping[int, Sequence[str]] = {}
#: The ranks of the sorts, 1 matters most.
_RANKS = {sort: rank for rank, sort in enumerate(ASKS, 1)}


def gaps_of(
    items: Sequence[Item],
    seen: Set[int],
    basis: str,
    reference: Reference,
    unread: Mapping[int, Sequence[str]] = _NONE,
) -> tuple[Gap, ...]:
    """Every gap of every item; `seen`: the numbers of those seen lately; `unread`: the headers of cells not read.

    By rank, then the items worth most (each in its own currency), then by number.
    """
    kinds = _Kinds.of(items, reference)
    worth = _places_by_worth(items)
    found = []
    for item in items:
        of_item = [*_of_presence(item), *_of_existence(item, item.number in seen)]
        of_item += [*_of_looks(item, kinds), *_of_worth(item, basis)]
        of_item += [(NOT_READ, f'a cell under "{header}" could not be read') for header in unread.get(item.number, ())]
        found += [Gap(item.number, item.tag, says, sort, _RANKS[sort], ASKS[sort]) for sort, says in of_item]
    found.sort(key=lambda gap: (gap.rank, worth[gap.item], gap.item))
    return tuple(found)


def seen_lately(items: Iterable[Item], day: date) -> set[int]:
    """The numbers of the items that somebody saw within twelve months before the day."""
    since = months_before(day, 12).isoformat()
    return {item.number for item in items if item.last_seen is not None and item.last_seen.when.latest >= since}


@dataclass(frozen=True)
class _Kinds:
    """What is asked of each kind: whether tests are on file, whether it has a letter, its seals by part number."""

    tested: frozenset[str]
    lettered: frozenset[str]
    seals: Mapping[tuple[str, str | None], tuple[str, ...]]

    @classmethod
    def of(cls, items: Sequence[Item], reference: Reference) -> _Kinds:
        known = {kind.name: kind for kind in reference.kinds}
        sorts = {(item.kind, item.part_number) for item in items if item.kind in known}
        return cls(
            frozenset(name for name, kind in known.items() if kind.procedures),
            frozenset(name for name, kind in known.items() if kind.match_code),
            {(kind, number): reference.factory_seals(kind, number or "") for kind, number in sorts},
        )


def _places_by_worth(items: Sequence[Item]) -> dict[int, int]:
    """The place of each item among those valued in its currency, the highest value first; without a value the last."""
    by_currency: dict[str, list[tuple[Decimal, int]]] = defaultdict(list)
    for item in items:
        if item.value is not None:
            by_currency[item.value.currency].append((-Decimal(item.value.amount), item.number))
    places = {item.number: len(items) for item in items}
    for valued in by_currency.values():
        places.update({number: place for place, (_, number) in enumerate(sorted(valued))})
    return places


def _of_presence(item: Item) -> Iterator[tuple[str, str]]:
    if item.whose == "not known":
        yield "whose", "whose it is, is not known"
    if item.where.state == "open":
        yield "whereabouts", item.where.says
    if item.not_here:
        yield "whereabouts", item.not_here
    for each in item.contradictions:
        if each.settle:
            yield "contradiction", each.found
    if item.not_shown_here:
        yield "not shown here", "nothing says that it was here by the day"
    if item.where.state in ("loose", "on a car") and item.where.premises is None:
        yield "premises", "premises not known"
    if item.came == "not known":
        yield "origin", "how it came here is not known"


def _of_existence(item: Item, seen_lately: bool) -> Iterator[tuple[str, str]]:
    if not item.has_picture:
        yield "existence", "no picture"
    if item.serial is None and item.serial_state != "none on it":
        yield "existence", item.serial_told or "no serial on record"
    if item.last_seen is None:
        yield "existence", "no sighting is on record"
    elif not seen_lately:
        yield "existence", f"not seen since {item.last_seen.when.on}"


def _of_looks(item: Item, kinds: _Kinds) -> Iterator[tuple[str, str]]:
    if item.kind in kinds.tested and not item.runs:
        yield "never tested", "never measured here"
    if item.condition is None or item.condition.category is None:
        yield "looks", "condition not assessed"
    if item.complete == "not known":
        yield "completeness", "completeness not known"
    if item.kind in kinds.lettered and item.match_code is None:
        yield "seals and letter", f"match code: {item.match_code_state or 'not looked at'}"
    if item.where.state == "on a car" and (item.relation is None or item.relation.relation == "not known"):
        yield "relation", "its relation to the car is not known"
    fitted = kinds.seals.get((item.kind, item.part_number), ())
    unseen = sorted({*fitted} - {seal.seal for seal in item.seals})
    if unseen:
        yield "seals and letter", f"seal never looked at: {', '.join(unseen)}"


def _of_worth(item: Item, basis: str) -> Iterator[tuple[str, str]]:
    if item.value is None and item.heading != WITH_MATE:
        yield "value", f'no value stated on the basis "{basis}"'
    if item.value is not None and item.value.stale:
        yield "old value", f"value older than {STALE_YEARS} years: stated {item.value.when.on}"
