"""Where a part is, and which facts about it cannot both be true. Pure: facts come in, in any order.

A part that is fitted cannot be fitted elsewhere, come off elsewhere or lie on a shelf without having come off; one that
left cannot be looked at here without having come back. Facts of vague days contradict each other only if nothing on
record may lie between them. What a sheet or a person says does not count against what we did or saw ourselves.

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
    BOTH,
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
from inventory.facts.how_known import FROM_SHEETS, is_own
from inventory.facts.order import in_order
from inventory.store.days.dates import FIRST_DAY

__all__ = [
    "BACK",
    "CAME",
    "COMING",
    "LEFT",
    "PLACE_COLUMNS",
    "Whereabouts",
    "fact_of",
    "is_coming",
    "is_ours",
    "look_at",
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
    "found again",
    "not known",
)
CAME = frozenset(COMING)
#: Ways of coming of a part that had been here before.
BACK = frozenset({"came back", "found again"})
#: How a part can leave for good.
LEFT = frozenset({"sold", "given away", "returned", "scrapped", "lost", "stolen"})
#: The columns of the facts that are judged here, as far as their tables have them.
PLACE_COLUMNS = (
    *("id", "thing_id", "so_from", "earliest", "latest", "counts_from", "ranked", "recorded", "how_known"),
    *("car_id", "position_id", "strip_down_id", "override"),
)


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
        """Whether its whereabouts count as open."""
        return any(each.open for each in self.contradictions)

    @property
    def found(self) -> str:
        """What is open, in one line."""
        return "; ".join(each.found.partition(": ")[2] for each in self.contradictions if each.open)


def is_coming(fact: Any, how: str) -> bool:
    """Whether a fact of how a part came or went says that it came, so that one that had left is here again.

    A sheet that names no day only says how the part once came: a price beside "SOLD 2023" brings nothing back.
    """
    once = fact.how_known in FROM_SHEETS and fact.earliest == FIRST_DAY.isoformat()
    return how in CAME and (how in BACK or not once)


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


def moves_that_count(moves: Iterable[Any], fittings: Iterable[Any] = ()) -> list[Any]:
    """Moves without those that only a sheet tells, if it was not kept up to a day after a move or fitting of ours."""
    every = list(moves)
    ours = max((fact.latest for fact in (*every, *fittings) if fact.how_known not in FROM_SHEETS), default="")
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
        return last if last is not None and last.table == "fitting" and fact_of(last) not in self.ended else None

    def take(self, fact: Any) -> None:
        """Take one more fact."""
        if fact.table == "provenance":
            came = is_coming(fact, fact.says)
            if came and self.gone is not None and self.fitted is not None:
                self.ended.add(fact_of(self.fitted))  # it left with that car, or came off it to be given away
            self.gone = fact if fact.says in LEFT else None if came else self.gone
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
        if is_ours(stands) != is_ours(fact):
            self.remark = (stands, fact)
            (self.wrong if is_ours(stands) else self.ended).add(fact_of(fact if is_ours(stands) else stands))
            if not is_ours(stands):
                self.until[fact_of(stands)] = fact.counts_from
            if is_ours(fact) and stands is self.gone:
                self.gone = None
            return is_ours(fact)
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
                self.until[fact_of(each)] = then.counts_from
            for each in over if fact.answer == MINE_WRONG else standing:
                self._drop(each, fact)

    def _at_a_position(self, settlement: Any) -> None:
        meant = settlement.about.rpartition(", ")[2]
        fact = next((each for each in self.on_cars if fact_of(each) == meant), None)
        if fact is None or settlement.answer == NOT_NOW:
            return
        if settlement.answer == BOTH:
            self.by[meant] = settlement  # both facts stand
            return
        self._drop(fact, settlement)
        self.over = [each for each in self.over if fact_of(each) not in self.wrong]
        if not self.over or self.earlier is fact:
            self.earlier, self.over = None, []

    def _drop(self, fact: Any, settlement: Any) -> None:
        """A fact no longer counts."""
        self.by[fact_of(fact)] = settlement
        if fact is self.gone:
            self.gone = None
        if settlement.answer == BETWEEN:
            self.ended.add(fact_of(fact))
        else:
            self.wrong.add(fact_of(fact))
            self.on_cars = [each for each in self.on_cars if each is not fact]

    def found(self) -> Whereabouts:
        """The result."""
        found = None
        further = tuple(self.further)
        if self.earlier is not None:
            looks = _looks((self.earlier, *self.over))
            counts = "its whereabouts count as open"
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


def _same_spot(one: Any, other: Any) -> bool:
    """Whether two facts may be about one position of one car."""
    positions = {one.position_id, other.position_id} - {None}
    return bool(one.car_id == other.car_id and len(positions) < 2)


def _one_day(one: Any, other: Any) -> bool:
    return bool(one.earliest == one.latest == other.earliest == other.latest)


def fact_of(fact: Any) -> str:
    """The id of a fact: "fitting-12"."""
    return f"{fact.table}-{fact.id}"


def _sort(fact: Any) -> tuple[str, int | None]:
    """By what it is asked about again: another car is, one more look is not."""
    return (fact.table if fact.car_id is not None else "", fact.car_id)


def _places(fact: Any) -> bool:
    """Whether a fact says for longer where a part is: a look or a move shows only that it was there."""
    return fact.table in ("fitting", "removal", "provenance")


def is_ours(fact: Any) -> bool:
    """Whether we did or saw it ourselves, or a paper shows it."""
    return is_own(fact) or bool(fact.how_known == "document")


def _looks(facts: Iterable[Any]) -> tuple[Look, ...]:
    """The first and the last two of some facts: of many looks after a sale the first and the last tell enough."""
    every = list(facts)
    return tuple(map(look_at, every[:2] + every[2:][-1:]))


def look_at(fact: Any) -> Look:
    """A fact about where a part is, as a look."""
    spot = ", ".join(name for name in (fact.car, fact.position) if name)
    word = {"fitting": f"fitted to {spot}", "removal": f"came off {spot}", "move": f"put in {fact.says}"}.get(
        fact.table, fact.says
    )
    return replace(look_from(fact, fact.table, "", word, None), own=is_ours(fact))
