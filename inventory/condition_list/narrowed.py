"""A condition list of some of its items, with their own numbers, totals and gaps. Pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import date

from inventory.condition_list.evidence_index import with_numbers
from inventory.condition_list.gaps import seen_lately
from inventory.condition_list.item_values import Item
from inventory.condition_list.totals import WITH_MATE, totals_of
from inventory.condition_list.values import ConditionList

__all__ = ["narrowed"]


def narrowed(drawn: ConditionList, tags: Collection[str], elsewhere: str) -> ConditionList:
    """The list of these parts; `elsewhere`: why the others are left out.

    A pair counts here whichever half is on it: with one half lost, the pair is. What the half alone is worth stands
    beside, and that the other half is not on this list.
    """
    kept = [item for item in drawn.items if item.tag in tags]
    numbers = {item.tag: number for number, item in enumerate(kept, 1)}
    mates = {item.value.with_tag: item for item in drawn.items if item.value and item.value.with_tag}
    items, evidence = with_numbers([_numbered(item, numbers, mates.get(item.tag)) for item in kept])
    sums = totals_of(items, {each.name: each.security for each in drawn.premises if each.security})
    gaps = tuple(replace(gap, item=numbers[gap.tag]) for gap in drawn.gaps if gap.tag in numbers)
    since = {item.tag for item in drawn.items} - numbers.keys()
    later = tuple(replace(each, item=numbers.get(each.tag)) for each in drawn.later if each.tag not in since)
    left_out = ({"number": len(drawn.items) - len(items), "reason": elsewhere},)
    return replace(
        drawn,
        items=tuple(items),
        evidence=evidence,
        totals=sums.counted,
        totals_by_tax=sums.by_tax,
        other_totals=sums.other,
        other_totals_by_heading=sums.by_heading,
        totals_proposed=sums.proposed,
        premises=sums.premises,
        largest_loss=sums.largest_loss,
        converted=None,
        changes=None,
        without_picture=sum(not item.has_picture for item in items),
        without_value=sums.without_value,
        seen_within_12_months=len(seen_lately(items, date.fromisoformat(drawn.as_of))),
        stale_values=sums.stale,
        gaps=gaps,
        later=later,
        left_out=left_out,
    )


def _numbered(item: Item, numbers: Mapping[str, int], first: Item | None) -> Item:
    """An item with its number on this list; `first`: the half that has the value of its pair, if that is another."""
    number = numbers[item.tag]
    if item.heading == WITH_MATE and first is not None and first.value is not None:
        if first.tag in numbers:
            return replace(item, number=number, why=f"valued as one pair with {first.tag}, item {numbers[first.tag]}")
        value = replace(first.value, with_tag=first.tag)
        item = replace(item, value=value, heading=first.heading, counted_in_total=first.counted_in_total)
        item = replace(item, why=f"valued as one pair with {first.tag}")
    mate = item.value.with_tag if item.value else None
    if mate and mate not in numbers:
        item = replace(item, remarks=(*item.remarks, f"the value is of the pair; {mate} is not on this list"))
    return replace(item, number=number)
