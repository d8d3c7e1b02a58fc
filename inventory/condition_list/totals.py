"""What the values on a list add up to: which of an item's values counts, pairs valued once, totals. Pure.

Every item stands under one heading, and the sums of the headings never overlap. Amounts on different bases or in
different currencies are never added.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.condition_list.item_values import Item, Value
from inventory.condition_list.list_values import LargestLoss, Premises
from inventory.money import is_currency, total
from inventory.places.tree import PlacePremises

__all__ = [
    "AGREED",
    "HEADINGS",
    "NO_PREMISES",
    "PROPOSED",
    "WITH_MATE",
    "Totals",
    "own_value",
    "security_of",
    "totals_of",
    "valued_once",
]

#: The standing of an agreed value with the insurer's paper, and without.
AGREED = "agreed, with the insurer's paper"
PROPOSED = "proposed by the owner"
#: The headings of what is not in the total: each has a total of its own.
HEADINGS = ("on cars insured whole", "held for others", "away", "whereabouts open", "whose not known")
#: Outside every total, `other_totals` too.
_OUTSIDE = "whose not known"
#: The heading of the second half of a pair that is valued as one.
WITH_MATE = "valued with its mate"
NO_PREMISES = "premises not known"


@dataclass(frozen=True)
class Totals:
    """The totals of a list, each from currency to amount.

    `counted`: our own parts that are here; `by_tax`: the same, apart by what is said of tax. `other`: what is under
    `HEADINGS`, without what nobody knows whose it is. `proposed`: agreed values without the insurer's paper.
    """

    counted: dict[str, str]
    by_tax: dict[str, dict[str, str]]
    other: dict[str, str]
    by_heading: dict[str, dict[str, str]]
    proposed: dict[str, str]
    premises: tuple[Premises, ...]
    largest_loss: tuple[LargestLoss, ...]
    without_value: int
    stale: int


def own_value(values: Iterable[Value], basis: str) -> Value | None:
    """The value of a part by itself on a basis: the last one; one that is agreed comes before any proposal."""
    return _last(value for value in values if value.basis == basis and value.with_tag is None)


def _last(values: Iterable[Value]) -> Value | None:
    every = list(values)
    firm = [value for value in every if value.standing != PROPOSED]
    return next(reversed(firm or every), None)


def valued_once(items: Sequence[Item], basis: str) -> list[Item]:
    """The items, with each pair that is valued as one counted once, and proposals under their own heading.

    A pair's value stands if it is the last of both halves, both are listed, and both under one heading; then the first
    half has it, and what each is worth alone stands beside. Otherwise each half counts with its own value, if any.
    """
    by_tag = {item.tag: item for item in items}
    pairs = {item.tag: pair for item in items if (pair := _pair_value(item, basis)) is not None}
    done = []
    for item in items:
        pair = pairs.get(item.tag)
        if pair is not None:
            item = _half(item, pair, by_tag.get(pair.with_tag or ""), pairs, basis)
        done.append(_marked(item))
    return done


def _pair_value(item: Item, basis: str) -> Value | None:
    return _last(value for value in item.values if value.basis == basis and value.with_tag is not None)


def _half(item: Item, pair: Value, mate: Item | None, pairs: dict[str, Value], basis: str) -> Item:
    """One half of a pair that is valued as one."""
    alone = item.value
    against = _against(item, pair, mate, pairs, basis)
    if mate is None or against:
        stated = f"{pair.currency} {pair.amount} for it and {pair.with_tag} as one pair ({pair.when.on}) does not count"
        return replace(item, remarks=(*item.remarks, f"{stated}: {against}"))
    if item.number < mate.number:
        return replace(item, value=pair, value_alone=alone, why=f"{item.why}; valued as one pair with {mate.tag}")
    return replace(
        item,
        value=None,
        value_alone=alone,
        counted_in_total=False,
        heading=WITH_MATE,
        why=f"valued as one pair with {mate.tag}, item {mate.number}",
    )


def _against(item: Item, pair: Value, mate: Item | None, pairs: dict[str, Value], basis: str) -> str:
    """Why the value of a pair does not count; "" if it does."""
    if mate is None:
        return f"{pair.with_tag} is not on this list"
    other = pairs.get(mate.tag)
    if other is None or other.when.fact != pair.when.fact:
        return f"{mate.tag} was valued with another part" if other else f"{mate.tag} has another value"
    if item.heading != mate.heading:
        return f'{mate.tag} is under another heading, "{mate.heading}"'
    halves = (own_value(each.values, basis) for each in (item, mate))
    if pair.standing == PROPOSED and any(half is not None and half.standing == AGREED for half in halves):
        return "it is only proposed, and a value of one half is agreed"
    return ""


def _marked(item: Item) -> Item:
    """An item whose value is only proposed, or in a code that is no currency, says so."""
    value = item.value
    if value is None:
        return item
    if not is_currency(value.currency):
        item = replace(item, remarks=(*item.remarks, f"{value.currency} is not a currency: its value is not added"))
    if value.standing == PROPOSED and item.counted_in_total:
        why = f"{item.why}; no paper of the insurer and policy on record for this value"
        item = replace(item, heading="proposed", counted_in_total=False, why=why)
    return item


def totals_of(items: Sequence[Item], security: Mapping[str, str]) -> Totals:
    """The totals of items that were valued once; `security` of the premises by their name."""
    under: dict[str, list[Value]] = defaultdict(list)
    taxed: dict[str, list[Value]] = defaultdict(list)
    for item in items:
        value = item.value
        # A proposal never enters a total of agreed values, whatever its heading.
        if value is not None and (value.standing != PROPOSED or item.heading == "proposed"):
            under[item.heading].append(value)
            if item.counted_in_total:
                taxed[value.tax or "tax not stated"].append(value)
    premises, largest = _by_premises(items, security)
    return Totals(
        counted=_sum(under["counted"]),
        by_tax={said: _sum(values) for said, values in sorted(taxed.items())},
        other=_sum(value for heading in HEADINGS if heading != _OUTSIDE for value in under[heading]),
        by_heading={heading: _sum(under[heading]) for heading in HEADINGS},
        proposed=_sum(under["proposed"]),
        premises=premises,
        largest_loss=largest,
        without_value=sum(item.value is None and item.heading != WITH_MATE for item in items),
        stale=sum(item.value is not None and item.value.stale for item in items),
    )


def security_of(places: Iterable[PlacePremises]) -> dict[str, str]:
    """What is said of the security of premises, by their name; where places say different things, all of it."""
    said: dict[str, list[str]] = defaultdict(list)
    for place in places:
        if place.name and place.security and place.security not in said[place.name]:
            said[place.name].append(place.security)
    return {name: "; ".join(texts) for name, texts in said.items()}


def _sum(values: Iterable[Value]) -> dict[str, str]:
    return total((value.amount, value.currency) for value in values)


def _by_premises(
    items: Sequence[Item], security: Mapping[str, str]
) -> tuple[tuple[Premises, ...], tuple[LargestLoss, ...]]:
    """What is at each place of insurance, and the largest sum at one, by currency.

    A pair kept at two premises is in the total of its first half's. For the largest loss it counts at both: with one
    half lost, the pair is.
    """
    there: dict[str, list[Item]] = defaultdict(list)
    for item in items:
        if item.where.state != "away":
            there[item.where.premises or NO_PREMISES].append(item)
    counted = {
        name: [item.value for item in some if item.counted_in_total and item.value] for name, some in there.items()
    }
    at_risk = {name: list(values) for name, values in counted.items()}
    by_tag = {item.tag: item for item in items}
    for name, values in counted.items():
        for value in values:
            mate = by_tag.get(value.with_tag or "")
            if mate is not None and (elsewhere := mate.where.premises or NO_PREMISES) != name:
                at_risk[elsewhere].append(value)
    ordered = sorted(there, key=lambda name: (name == NO_PREMISES, name.casefold(), name))
    premises = tuple(
        Premises(
            name,
            town=_one(item.where.town for item in there[name]),
            security=security.get(name),
            items=len(there[name]),
            totals=_sum(counted[name]),
        )
        for name in ordered
    )
    largest: dict[str, LargestLoss] = {}
    for name in ordered:
        for currency, amount in _sum(at_risk[name]).items() if name != NO_PREMISES else ():
            if currency not in largest or Decimal(amount) > Decimal(largest[currency].amount):
                largest[currency] = LargestLoss(name, amount, currency)
    return premises, tuple(largest[currency] for currency in sorted(largest))


def _one(texts: Iterable[str | None]) -> str | None:
    """What all say of one thing; if they differ, every different one."""
    return "; ".join(dict.fromkeys(text for text in texts if text)) or None
