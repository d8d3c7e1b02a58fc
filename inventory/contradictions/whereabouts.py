"""Where a part is, and which facts about it cannot both be true. Pure: facts come in, in any order.

A part that is fitted cannot be fitted elsewhere, come off elsewhere or lie on a shelf without having come off; one that
left cannot be looked at here without having come back. At one position of a car there is one part. Facts of vague days
contradict each other only if nothing on record may lie between them. What a sheet or a person says does not count
against what we did or saw ourselves.

Facts are rows with the columns of all facts and `table`, `says`, `car_id`, `position_id`, `strip_down_id`, `override`,
`car` and `position` (names). A row of another table than those of moves, fittings, removals and provenance is a look.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from inventory.contradictions.looks import (
    ANSWERS_OF_WHEREABOUTS,
    BETWEEN,
    EARLIER_WRONG,
    MINE_WRONG,
    NOT_NOW,
    POSITION,
    WHEREABOUTS,
    Contradiction,
    Look,
    look_from,
    settles,
    told,
)
from inventory.facts.declare import FROM_SHEETS
from inventory.facts.order import in_order, order_key

__all__ = [
    "CAME",
    "COMING",
    "LEFT",
    "PLACE_COLUMNS",
    "Whereabouts",
    "at_one_position",
    "moves_that_count",
    "whereabouts_of",
]

#: How a part can come (back) into the workshop, in the order in which the words are offered.
COMING = (
    "bought",
    "given",
    "exchanged",
    "inherited",
    "came with a car",
    "found",
    "left here by a customer",
    "lent in",
    "came back",
    "not known",
)
CAME = frozenset(COMING)
#: How a part can leave for good.
LEFT = frozenset({"sold", "given away", "returned", "scrapped", "lost", "stolen"})
#: The columns of the facts that are judged here, as far as their tables have them.
PLACE_COLUMNS = (
    *("id", "thing_id", "so_from", "earliest", "latest", "counts_from", "ranked", "recorded", "how_known"),
    *("car_id", "position_id", "strip_down_id", "override"),
)
_OWN = ("seen", "measured", "seen by us", "document")


@dataclass(frozen=True)
class Whereabouts:
    """What does not fit about where a part is, and the facts (by id) that no longer count.

    `wrong`: they never were so. `ended`: it was so, but no longer. `by`: the settlement that says so, for each of them.
    `until`: for some that ended, the ISO day from which a later fact shows the part elsewhere.
    """

    contradictions: tuple[Contradiction, ...] = ()
    wrong: frozenset[str] = frozenset()
    ended: frozenset[str] = frozenset()
    by: Mapping[str, Any] = field(default_factory=dict)
    until: Mapping[str, str] = field(default_factory=dict)

    @property
    def open(self) -> bool:
        """Whether where it is counts as open."""
        return any(each.open for each in self.contradictions)

    @property
    def found(self) -> str:
        """What is open, in one line."""
        return "; ".join(each.found.partition(": ")[2] for each in self.contradictions if each.open)


def whereabouts_of(facts: Iterable[Any], settlements: Iterable[Any] = ()) -> Whereabouts:
    """What does not fit about where one part is, from its facts that count."""
    every = in_order(facts)
    walk = _Walk(every)
    settling = [fact for fact in settlements if fact.about == WHEREABOUTS or fact.about.startswith(POSITION)]
    for fact in in_order([*every, *settling]):
        if settles(fact):
            walk.settle(fact)
        else:
            walk.take(fact)
    return walk.found()


def moves_that_count(moves: Iterable[Any]) -> list[Any]:
    """Moves without those that only a sheet tells, if it was not kept up to a day after a move of ours."""
    every = list(moves)
    ours = max((fact.latest for fact in every if fact.how_known not in FROM_SHEETS), default="")
    return [fact for fact in every if fact.how_known not in FROM_SHEETS or fact.earliest > ours]


@dataclass
class _Walk:
    """The facts about one part, taken in their order.

    `on_cars`: its fittings and removals that count so far; `gone`: how it left. `earlier` and `over`: what cannot both
    be true.
    """

    every: list[Any]
    on_cars: list[Any] = field(default_factory=list)
    gone: Any = None
    earlier: Any = None
    over: list[Any] = field(default_factory=list)
    put_off: bool = False
    remark: tuple[Any, ...] = ()
    settled: str = ""
    shown: tuple[Any, ...] = ()
    further: list[str] = field(default_factory=list)
    wrong: set[str] = field(default_factory=set)
    ended: set[str] = field(default_factory=set)
    by: dict[str, Any] = field(default_factory=dict)
    until: dict[str, str] = field(default_factory=dict)

    @property
    def fitted(self) -> Any:
        """The fitting that counts now; None if it is on no car."""
        last = self.on_cars[-1] if self.on_cars else None
        return last if last is not None and last.table == "fitting" and _id(last) not in self.ended else None

    def take(self, fact: Any) -> None:
        """Take one more fact."""
        if fact.table == "provenance":
            if fact.says in CAME and self.gone is not None and self.fitted is not None:
                self.ended.add(_id(self.fitted))  # it left with that car, or came off it to be given away
            self.gone = fact if fact.says in LEFT else None if fact.says in CAME else self.gone
            return
        stands = self._against(fact)
        if stands is not None and not self._clash(stands, fact):
            return
        if fact.table in ("fitting", "removal"):
            self.on_cars.append(fact)

    def _against(self, fact: Any) -> Any:
        """The fact that stands and cannot be true together with this one; None if there is none."""
        if self.gone is not None and fact.earliest > self.gone.latest and not self._between(self.gone, fact, CAME):
            return self.gone
        fitted = self.fitted
        if fitted is None:
            last = self.on_cars[-1] if self.on_cars else None
            twice = last is not None and fact.table == "removal" and _one_day(last, fact) and last.car_id != fact.car_id
            return last if twice else None
        elsewhere = fact.table == "move" and bool(fact.says) and fact.earliest >= fitted.latest
        elsewhere |= fact.table in ("fitting", "removal") and not _same_spot(fitted, fact)
        return fitted if elsewhere and not self._between(fitted, fact, ()) else None

    def _between(self, first: Any, then: Any, coming: Iterable[str]) -> bool:
        """Whether on record it may have come back, or come off, between two facts."""
        return any(
            each.earliest <= then.latest and each.latest >= first.earliest and each is not then
            for each in self.every
            if (each.says in coming if coming else each.table == "removal" and _same_spot(first, each))
        )

    def _clash(self, stands: Any, fact: Any) -> bool:
        """Note two facts that cannot both be true; whether the later one counts meanwhile."""
        if _own(stands) != _own(fact):
            self.remark = (stands, fact)
            (self.wrong if _own(stands) else self.ended).add(_id(fact if _own(stands) else stands))
            if not _own(stands):
                self.until[_id(stands)] = fact.counts_from
            if _own(fact) and stands is self.gone:
                self.gone = None
            return _own(fact)
        if fact.override and stands is not self.gone:
            self.settled, self.shown = fact.override, (stands, fact)
            return True
        if self.earlier is None:
            self.earlier, self.over, self.settled = stands, [], ""
        self.put_off = self.put_off and _sort(fact) in map(_sort, self.over)
        self.over.append(fact)
        return True

    def settle(self, fact: Any) -> None:
        """Take an answer to what is open."""
        if fact.about != WHEREABOUTS:
            self._at_a_position(fact)
        elif self.earlier is None:
            if self.gone is not None and fact.answer in (EARLIER_WRONG, BETWEEN):
                self._drop(self.gone, fact)
        elif fact.answer == NOT_NOW:
            self.put_off = True
            self.further.append(f"settlement-{fact.id}")
        else:
            self.further.append(f"settlement-{fact.id}")
            self.settled = "" if fact.document_id is not None else told(fact)
            self.shown = (self.earlier, *self.over) if self.settled else ()
            over, standing = self.over, [self.earlier, *(each for each in self.over[:-1] if _places(each))]
            self.earlier, self.over, self.put_off = None, [], False
            for each, then in zip(standing, [*standing[1:], over[-1]], strict=True):
                self.until[_id(each)] = then.counts_from
            for each in over if fact.answer == MINE_WRONG else standing:
                self._drop(each, fact)

    def _at_a_position(self, settlement: Any) -> None:
        meant = settlement.about.rpartition(", ")[2]
        fact = next((each for each in self.on_cars if _id(each) == meant), None)
        if fact is None or settlement.answer == NOT_NOW:
            return
        self._drop(fact, settlement)
        self.over = [each for each in self.over if _id(each) not in self.wrong]
        if not self.over or self.earlier is fact:
            self.earlier, self.over = None, []

    def _drop(self, fact: Any, settlement: Any) -> None:
        """A fact no longer counts."""
        self.by[_id(fact)] = settlement
        if fact is self.gone:
            self.gone = None
        if settlement.answer == BETWEEN:
            self.ended.add(_id(fact))
        else:
            self.wrong.add(_id(fact))
            self.on_cars = [each for each in self.on_cars if each is not fact]

    def found(self) -> Whereabouts:
        """The result."""
        found = None
        further = tuple(self.further)
        if self.earlier is not None:
            looks = _looks((self.earlier, *self.over))
            counts = "where it is counts as open"
            found = Contradiction(
                WHEREABOUTS, looks, counts, ANSWERS_OF_WHEREABOUTS, put_off=self.put_off, further=further
            )
        elif self.settled:
            found = Contradiction(
                WHEREABOUTS, _looks(self.shown), "the later counts", settled=self.settled, further=further
            )
        elif self.remark:
            looks = _looks(self.remark)
            counts = f"our own counts: {next(look.says for look in looks if look.own)}"
            found = Contradiction(WHEREABOUTS, looks, counts, remark=True)
        every = (found,) if found is not None else ()
        return Whereabouts(every, frozenset(self.wrong), frozenset(self.ended), self.by, self.until)


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
        if _id(fact) in where[part].wrong:
            by = where[part].by.get(_id(fact))
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
    return _id(first) in (its.ended | its.wrong) - its.by.keys() or any(
        each.thing_id == first.thing_id
        and each.table == "removal"
        and each.earliest <= then.latest
        and each.latest >= first.earliest
        for each in every
    )


def _two_parts(first: Any, then: Any, where: Mapping[int, Whereabouts], settlements: list[Any]) -> Contradiction | None:
    about = f"{POSITION}{then.position.casefold()}"
    looks = tuple(
        replace(look, says=f"{fact.tag} {'fitted' if fact.table == 'fitting' else 'came off'}")
        for fact, look in zip((first, then), map(_look, (first, then)), strict=True)
    )
    by = where[first.thing_id].by.get(_id(first))
    if by is None and _id(then) in where[then.thing_id].wrong:  # that it came off later settles nothing
        by = where[then.thing_id].by.get(_id(then))
    if by is not None or (then.override and _own(first) == _own(then)):
        word = then.override if by is None else "" if by.document_id is not None else told(by)
        further = () if by is None else (f"settlement-{by.id}",)
        return Contradiction(about, looks, "", settled=word, further=further, of=then.car) if word else None
    if _own(first) != _own(then):
        own = next(look.says for look in looks if look.own)
        return Contradiction(about, looks, f"our own counts: {own}", remark=True, of=then.car)
    answers = [
        each
        for each in settlements
        if each.about in (f"{about}, {_id(first)}", f"{about}, {_id(then)}")
        if each.answer == NOT_NOW and order_key(each) > order_key(then)
    ]
    return Contradiction(
        about,
        looks,
        "what is there, and where both are, counts as open",
        ANSWERS_OF_WHEREABOUTS,
        put_off=bool(answers),
        further=tuple(f"settlement-{each.id}" for each in answers),
        of=then.car,
    )


def _same_spot(one: Any, other: Any) -> bool:
    """Whether two facts may be about one position of one car."""
    positions = {one.position_id, other.position_id} - {None}
    return bool(one.car_id == other.car_id and len(positions) < 2)


def _one_day(one: Any, other: Any) -> bool:
    return bool(one.earliest == one.latest == other.earliest == other.latest)


def _id(fact: Any) -> str:
    return f"{fact.table}-{fact.id}"


def _sort(fact: Any) -> tuple[str, int | None]:
    """By what it is asked about again: another car is, one more look is not."""
    return (fact.table if fact.car_id is not None else "", fact.car_id)


def _places(fact: Any) -> bool:
    """Whether a fact says for longer where a part is: a look or a move shows only that it was there."""
    return fact.table in ("fitting", "removal", "provenance")


def _own(fact: Any) -> bool:
    return fact.how_known in _OWN


def _looks(facts: Iterable[Any]) -> tuple[Look, ...]:
    """The first and the last two of some facts: of many looks after a sale the first and the last tell enough."""
    every = list(facts)
    return tuple(map(_look, every[:2] + every[2:][-1:]))


def _look(fact: Any) -> Look:
    spot = ", ".join(name for name in (fact.car, fact.position) if name)
    word = {"fitting": f"fitted to {spot}", "removal": f"came off {spot}", "move": f"put in {fact.says}"}.get(
        fact.table, fact.says
    )
    return replace(look_from(fact, fact.table, "", word, None), own=_own(fact))
