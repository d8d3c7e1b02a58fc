"""What held of a part on a day, by the condition list's rules of time. Pure: the facts come in, in any order.

A fact was so by a day if it counts from that day or before: a vague one counts from its latest possible day or
from the day it was recorded, whichever is earlier. Of each kind of statement the latest that was so by the day
counts, ties by the time recorded. What was not known on the day asked for is not handed in at all.
"""

from __future__ import annotations

import calendar
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.facts.order import by_day, in_order
from inventory.parts.judgements import AWAY, CAME, LEFT

__all__ = [
    "STALE_YEARS",
    "Cover",
    "Presence",
    "Sighting",
    "away",
    "car_on",
    "counted",
    "last_seen",
    "months_before",
    "on_list",
    "place_on",
    "stale",
    "whose_statement",
]

#: Ways of coming that say the part was not here before. One that came back was ours all the time.
_FIRST_CAME = CAME - {"came back"}
#: A value older than this says little of today. Workshop judgement.
STALE_YEARS = 3


@dataclass(frozen=True)
class Presence:
    """Whether a part is on the list; `reason` where it is not."""

    listed: bool
    reason: str = ""


@dataclass(frozen=True)
class Cover:
    """Whether a part's value counts in the total, under which heading it falls, and why."""

    counted: bool
    heading: str
    why: str


@dataclass(frozen=True)
class Sighting:
    """The last fact that somebody had the part before them, and how."""

    fact: Any
    how: str


def on_list(provenance: Iterable[Any], until: str, day: date) -> Presence:
    """Whether a part is on the list of a day.

    It is unless a fact says that it came after the day (the earliest possible day of its coming is later) or had
    left by it (the latest is not later).
    """
    passages = [fact for fact in in_order(provenance) if fact.how in LEFT or fact.how in CAME]
    said = by_day(passages, until)
    if said:
        gone = said[-1].how in LEFT
        return Presence(not gone, f"had left by {day}: {said[-1].how}" if gone else "")
    later = [fact for fact in passages if fact.how != "came back"]
    if later and later[0].how in CAME and later[0].earliest > until:
        return Presence(False, f"came after {day}")
    return Presence(True)


def whose_statement(provenance: Iterable[Any], until: str) -> Any | None:
    """The fact that says whose a part was on a day, or None: then it is our own.

    Where nothing was said by the day, a coming that may lie before it tells whose the part was when it came.
    """
    told = [fact for fact in in_order(provenance) if fact.whose]
    said = by_day(told, until)
    if said:
        return said[-1]
    first = next(iter(told), None)
    came = first is not None and first.how in _FIRST_CAME and first.earliest <= until
    return first if came else None


def away(provenance: Iterable[Any], fittings: Iterable[Any], until: str) -> Any | None:
    """The fact that sent a part out or lent it, where it was away on a day; being fitted or back here ends it."""
    custody = [fact for fact in provenance if fact.how in AWAY | CAME or fact.whose == "lent out"]
    said = by_day([*custody, *fittings], until)
    last = said[-1] if said else None
    is_away = last is not None and (getattr(last, "how", "") in AWAY or getattr(last, "whose", "") == "lent out")
    return last if is_away else None


def car_on(removals: Sequence[Any], fittings: Sequence[Any], until: str) -> int | None:
    """The key of the car a part was on, or None: loose.

    Where nothing was said by the day and the next word is that it came off a car, it was on that car until then.
    """
    ordered = in_order([*removals, *fittings])
    said = by_day(ordered, until)
    if said:
        return said[-1].car_id if any(said[-1] is fact for fact in fittings) else None
    came_off = bool(ordered) and any(ordered[0] is fact for fact in removals)
    return ordered[0].car_id if came_off else None


def place_on(moves: Sequence[Any], fittings: Sequence[Any], until: str) -> int | None:
    """The key of the place where a part lay, or None."""
    said = by_day([*moves, *fittings], until)
    return said[-1].place_id if said and any(said[-1] is fact for fact in moves) else None


def counted(whose: str, is_away: bool, car: str | None, insured_whole: bool) -> Cover:
    """Whether a part's value counts: what is our own and here, loose or on a car that is not insured whole."""
    if whose in ("customer's", "lent in"):
        return Cover(False, "held for others", f"not our own ({whose}): falls under another cover")
    if car is not None and insured_whole:
        return Cover(False, "on cars insured whole", f"on car {car}, which is insured whole")
    if is_away:
        return Cover(False, "away", "our own, but not in the house")
    return Cover(True, "counted", f"our own, on car {car}, which is not insured whole" if car else "our own, loose")


def last_seen(
    told: Mapping[str, Sequence[Any]], until: str, shows: Mapping[str, Callable[[Any], str]]
) -> Sighting | None:
    """The last time by a day that somebody had a part before them; `told`: its facts by the name of their table.

    `shows`: by table, how a fact shows that the part was seen, or "" where it does not.
    """
    found = [
        Sighting(fact, how)
        for table, facts in told.items()
        if table in shows
        for fact in facts
        if (how := shows[table](fact))
    ]
    by_fact = {id(sighting.fact): sighting for sighting in found}
    ordered = by_day([sighting.fact for sighting in found], until)
    return by_fact[id(ordered[-1])] if ordered else None


def stale(counts_from: str, day: date) -> bool:
    """Whether a value that counts from a day is older than three years on the day of the list."""
    return counts_from < months_before(day, 12 * STALE_YEARS).isoformat()


def months_before(day: date, months: int) -> date:
    """The same day so many months earlier, or the last day of that month where it has none."""
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))
