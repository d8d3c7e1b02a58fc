"""Two parts at one position of a car at one time, which cannot both be true. Pure: facts come in, in any order.

Facts are rows as `contradictions.whereabouts` takes them, with the `tag` of their part.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from inventory.contradictions.looks import (
    ANSWERS_OF_A_POSITION,
    EARLIER_WRONG,
    NOT_NOW,
    POSITION,
    Contradiction,
    told,
)
from inventory.contradictions.whereabouts import LEFT, Whereabouts, fact_of, is_ours, look_at
from inventory.facts.order import in_order, order_key

__all__ = ["at_one_position"]


def at_one_position(
    position: int,
    facts: Iterable[Any],
    where: Mapping[int, Whereabouts],
    settlements: Iterable[Any] = (),
) -> list[Contradiction]:
    """Two parts at one position of a car at one time. `facts`: all of every part that was ever there."""
    every = in_order(facts)
    settling = list(settlements)
    there: dict[int, Any] = {}
    aside: dict[int, Any] = {}
    ever: set[int] = set()
    off: Any = None
    found = []
    for fact in every:
        part, here = fact.thing_id, fact.position_id == position
        against: list[Any] = []
        arrived = fact.table == "fitting" and part not in there
        if here and (arrived or (fact.table == "removal" and part not in ever)):
            known = (*aside.values(), *there.values())
            there_then = (each for each in known if fact.table == "fitting" or fact.earliest > each.latest)
            against = [each for each in there_then if not _came_off(each, fact, every, where)]
        if fact.table == "removal":
            twice = here and off is not None and off.thing_id != part and fact.strip_down_id is not None
            if twice and off.strip_down_id == fact.strip_down_id:
                against.append(off)
        found += [_two_parts(first, fact, where, settling) for first in against]
        if fact_of(fact) in where[part].wrong:
            by = where[part].by.get(fact_of(fact))
            if here and by is not None and by.answer == EARLIER_WRONG and by.about.startswith(POSITION):
                aside[part] = fact
            continue
        off = fact if here and fact.table == "removal" else off
        if here and fact.table == "fitting":
            ever.add(part)
            there, aside, off = {part: fact}, {}, None
        elif fact.table in ("fitting", "removal") or fact.says in LEFT or (fact.table == "move" and fact.says):
            there.pop(part, None)
    return [each for each in found if each is not None]


def _came_off(first: Any, then: Any, every: list[Any], where: Mapping[int, Whereabouts]) -> bool:
    """Whether the first part may have come off before the second was there."""
    its = where[first.thing_id]
    return fact_of(first) in (its.ended | its.wrong) - its.by.keys() or any(
        each.thing_id == first.thing_id
        and each.table == "removal"
        and each.earliest <= then.latest
        and each.latest >= first.earliest
        and not _before_on_one_day(each, first)
        for each in every
    )


def _before_on_one_day(one: Any, other: Any) -> bool:
    """Whether both were on the same day, which is certain, and the first was written down before the other."""
    days = {one.earliest, one.latest, other.earliest, other.latest}
    return len(days) == 1 and order_key(one) < order_key(other)


def _two_parts(first: Any, then: Any, where: Mapping[int, Whereabouts], settlements: list[Any]) -> Contradiction | None:
    about = f"{POSITION}{then.position.casefold()}"
    looks = tuple(
        replace(look, says=f"{fact.tag} {'fitted' if fact.table == 'fitting' else 'came off'}")
        for fact, look in zip((first, then), map(look_at, (first, then)), strict=True)
    )
    by = where[first.thing_id].by.get(fact_of(first))
    if by is None and fact_of(then) in where[then.thing_id].wrong:  # that it came off later settles nothing
        by = where[then.thing_id].by.get(fact_of(then))
    if by is not None or (then.override and is_ours(first) == is_ours(then)):
        word = then.override if by is None else "" if by.document_id is not None else told(by)
        further = () if by is None else (f"settlement-{by.id}",)
        return Contradiction(about, looks, "", settled=word, further=further, of=then.car) if word else None
    if is_ours(first) != is_ours(then):
        own = next(look.says for look in looks if look.own)
        return Contradiction(about, looks, f"our own counts: {own}", remark=True, of=then.car)
    answers = [
        each
        for each in settlements
        if each.about in (f"{about}, {fact_of(first)}", f"{about}, {fact_of(then)}")
        if each.answer == NOT_NOW and order_key(each) > order_key(then)
    ]
    return Contradiction(
        about,
        looks,
        "the position and the whereabouts of both parts count as open",
        ANSWERS_OF_A_POSITION,
        put_off=bool(answers),
        further=tuple(f"settlement-{each.id}" for each in answers),
        of=then.car,
    )
