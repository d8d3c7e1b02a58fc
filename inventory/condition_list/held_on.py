"""What was true of a part on a day, by the condition list's rules of time. Pure: facts come in, in any order.

A fact was true by a day if it counts from that day or before: a vague one counts from its latest possible day or from
the day it was recorded, whichever is earlier. Of each kind of statement the latest by the day counts, ties by the time
recorded. Callers leave out what was not known on the day asked for.
"""

from __future__ import annotations

import calendar
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from operator import itemgetter
from typing import Any

from inventory.contradictions.whereabouts import Whereabouts, is_coming, moves_that_count
from inventory.facts.how_known import is_own
from inventory.facts.order import by_day, in_order, order_key
from inventory.parts.judgements import AWAY, BACK, CAME, LEFT

__all__ = [
    "STALE_YEARS",
    "Cover",
    "Presence",
    "Sighting",
    "away",
    "car_on",
    "counted",
    "counting",
    "last_seen",
    "months_before",
    "old_before",
    "on_list",
    "place_on",
    "shown_here",
    "whose_statement",
]

#: Ways of coming which mean that the part was not here before. A part that came back was ours all the time.
_FIRST_CAME = CAME - BACK
#: Facts that can be stated of a part that nobody has here.
_NOT_OF_PRESENCE = frozenset({"valuation", "settlement", "relation", "note", "unread_cell"})
#: A value older than this says little about today. Workshop judgement.
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
    """The last fact which shows that somebody saw the part, and how."""

    fact: Any
    how: str


def counting(facts: Mapping[str, Sequence[Any]], place: Whereabouts) -> Mapping[str, Sequence[Any]]:
    """The facts of a part without those about where it is that no longer count."""
    if not (place.wrong or place.ended):
        return facts
    over = {
        table: place.wrong | (place.ended if table in ("provenance", "fitting") else frozenset())
        for table in ("provenance", "fitting", "removal", "move")
    }
    return {
        table: [fact for fact in told if f"{table}-{fact.id}" not in over.get(table, ())]
        for table, told in facts.items()
    }


def on_list(provenance: Iterable[Any], until: str, day: date) -> Presence:
    """Whether a part is on the list of a day.

    It is, unless a fact says that it came after the day (the earliest possible day of its coming is later) or had left
    by then (the latest possible day is not later).
    """
    passages = [fact for fact in in_order(provenance) if fact.how in LEFT or is_coming(fact, fact.how)]
    said = by_day(passages, until)
    if said:
        gone = said[-1].how in LEFT
        return Presence(not gone, f"had left by {day}: {said[-1].how}" if gone else "")
    later = [fact for fact in passages if fact.how not in BACK]
    if later and later[0].how in CAME and later[0].earliest > until:
        return Presence(False, f"came after {day}")
    return Presence(True)


def shown_here(facts: Mapping[str, Sequence[Any]], until: str) -> bool:
    """Whether anything says that a part was here by a day: a fact of then, or that it came off a car later."""
    if any(
        fact.counts_from <= until for table, told in facts.items() if table not in _NOT_OF_PRESENCE for fact in told
    ):
        return True
    return car_on(facts.get("removal", ()), facts.get("fitting", ()), until) is not None


def whose_statement(provenance: Iterable[Any], until: str) -> Any | None:
    """The fact that says whose a part was on a day; None: it is our own.

    If there is none by the day, the fact of its coming counts, if it may have come before the day.
    """
    told = [fact for fact in in_order(provenance) if fact.whose]
    said = by_day(told, until)
    if said:
        return said[-1]
    first = next(iter(told), None)
    came = first is not None and first.how in _FIRST_CAME and first.earliest <= until
    return first if came else None


def away(provenance: Iterable[Any], fittings: Iterable[Any], until: str) -> Any | None:
    """The fact that sent a part out or lent it, if it was away on a day; None if it was back or fitted by then."""
    custody = [fact for fact in provenance if fact.how in AWAY | CAME or fact.whose == "lent out"]
    said = by_day([*custody, *fittings], until)
    last = said[-1] if said else None
    is_away = last is not None and (getattr(last, "how", "") in AWAY or getattr(last, "whose", "") == "lent out")
    return last if is_away else None


def car_on(removals: Sequence[Any], fittings: Sequence[Any], until: str) -> int | None:
    """The key of the car that a part was on; None: loose.

    If there is no fact by the day and the next one is a removal from a car, it was on that car until then.
    """
    ordered = in_order([*removals, *fittings])
    said = by_day(ordered, until)
    if said:
        return said[-1].car_id if any(said[-1] is fact for fact in fittings) else None
    came_off = bool(ordered) and any(ordered[0] is fact for fact in removals)
    return ordered[0].car_id if came_off else None


def place_on(moves: Sequence[Any], fittings: Sequence[Any], until: str) -> int | None:
    """The key of the place where a part was stored; None if not known."""
    counting_moves = moves_that_count(by_day(moves, until), by_day(fittings, until))
    said = by_day([*counting_moves, *fittings], until)
    return said[-1].place_id if said and any(said[-1] is fact for fact in moves) else None


def counted(whose: str, is_away: bool, car: str | None, insured_whole: bool) -> Cover:
    """Whether a part's value counts: if it is our own and here, loose or on a car that is not insured whole."""
    if whose == "not known":
        return Cover(False, "whose not known", "nobody knows whose it is, so it is in no total")
    if whose in ("customer's", "lent in", "the insurer's"):
        return Cover(False, "held for others", f"not our own: {whose}")
    if car is not None and insured_whole:
        return Cover(False, "on cars insured whole", f"on car {car}, which is insured whole")
    if is_away:
        return Cover(False, "away", "our own, but not in the house")
    return Cover(True, "counted", f"our own, on car {car}, which is not insured whole" if car else "our own, loose")


def last_seen(
    told: Mapping[str, Sequence[Any]], until: str, shows: Mapping[str, Callable[[Any], str]]
) -> Sighting | None:
    """The last sighting of a part by ourselves, up to a day; `told`: its facts by the name of their table.

    `shows`: by table, a function that says how a fact shows that the part was seen ("": it does not).
    """
    found = [
        (order_key(fact), place, fact, how)
        for place, (table, facts) in enumerate(told.items())
        if table in shows
        for fact in facts
        if fact.counts_from <= until and is_own(fact) and (how := shows[table](fact))
    ]
    if not found:
        return None
    *_, fact, how = max(found, key=itemgetter(0, 1))
    return Sighting(fact, how)


def old_before(day: date) -> str:
    """The ISO day before which a value is old on the day of the list: three years earlier."""
    return months_before(day, 12 * STALE_YEARS).isoformat()


def months_before(day: date, months: int) -> date:
    """The same day `months` months earlier, or the last day of that month if it is shorter."""
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))
