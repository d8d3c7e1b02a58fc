"""What counts of a seal, and which looks at it cannot both be true. Pure: facts come in, in any order.

A seal does not grow back: once found missing or disturbed it counts so until it is renewed or the contradiction is
settled. A word from elsewhere is not of equal standing with our own look: what a sheet or passport says against it is
a remark, and a good word never replaces a bad look. A bad word of a person lowers as a look does (it is told against
that person's own interest) until we look ourselves.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from inventory.contradictions.looks import (
    ANSWERS_OF_A_SEAL,
    EARLIER_WRONG,
    MINE_WRONG,
    NOT_NOW,
    RENEWED,
    SEAL,
    Contradiction,
    Look,
    by_age,
    look_from,
    settles,
    told,
)
from inventory.facts.order import in_order

__all__ = ["Seal", "seals_of"]

_BAD = ("missing", "disturbed")


@dataclass(frozen=True)
class Seal:
    """What counts of one seal: its looks, oldest first (the last is its state), and what does not fit."""

    name: str
    looks: tuple[Look, ...]
    contradiction: Contradiction | None = None

    @property
    def state(self) -> str:
        """What the seal counts as, in the word of the look."""
        return self.looks[-1].says


def seals_of(sightings: Iterable[Any], settlements: Iterable[Any] = ()) -> dict[str, Seal]:
    """What counts of each seal, from rows of `seal_sighting` and `settlement` that count."""
    by_seal: dict[str, list[Any]] = {}
    for fact in in_order(sightings):
        by_seal.setdefault(fact.seal, []).append(fact)
    settled: dict[str, list[Any]] = {}
    for fact in settlements:
        settled.setdefault(fact.about, []).append(fact)
    found = {}
    for name, looks in by_seal.items():
        walk = _Walk(name)
        for fact in in_order([*looks, *settled.get(f"{SEAL}{name}", ())]):
            if settles(fact):
                walk.settle(fact)
            else:
                walk.look(look_from(fact, "seal_sighting", fact.seal, fact.state, fact.document_id))
        found[name] = walk.seal()
    return found


@dataclass
class _Walk:
    """The looks at one seal, taken in their order.

    `bad`: the worst finding that counts, `own_bad` our own last one; `over`: good looks that do not fit it.
    """

    name: str
    counted: list[Look] = field(default_factory=list)
    bad: Look | None = None
    own_bad: Look | None = None
    over: list[Look] = field(default_factory=list)
    remark: tuple[Look, ...] = ()
    settled: str = ""
    shown: tuple[Look, ...] = ()
    put_off: bool = False
    further: list[str] = field(default_factory=list)

    @property
    def last(self) -> Look | None:
        """What counts so far."""
        return self.counted[-1] if self.counted else None

    def look(self, look: Look) -> None:
        """Take one more look."""
        if look.says == "not seen":
            if self.last is None or self.last.says == "not seen":
                self.counted.append(look)
        elif look.says in _BAD:
            self._bad(look)
        elif look.says == RENEWED:
            self._renewed(look)
        else:
            self._good(look)

    def _bad(self, look: Look) -> None:
        last = self.last
        if self.bad is not None:
            self.own_bad = look if look.own else self.own_bad
            worse = _BAD.index(self.bad.says) - _BAD.index(look.says)
            if worse < 0 or (worse == 0 and self.bad.own and not look.own):
                return  # the worse stays, and our own look before the word of others
            if look.counts_from != self.bad.counts_from:
                self.over, self.put_off = [], False
        elif last is not None and last.own and look.written and last.says != "not seen":
            self.remark = (last, look)
            return
        else:
            self._clear()
            if last is not None and look.own and not last.own and last.says in ("intact", "never fitted"):
                self.remark = (last, look)
            same_day = last is not None and last.counts_from == look.counts_from and last.own == look.own
            if same_day and last is not None and last.says in ("intact", "never fitted"):
                self.over = [last]
                self.counted.remove(last)
        self.bad, self.own_bad = look, look if look.own else self.own_bad
        self.counted.append(look)

    def _renewed(self, look: Look) -> None:
        if not look.paper and self.bad is None and self.last is not None and self.last.says == RENEWED:
            return  # the bare word adds nothing to an earlier renewal
        self._clear()
        self.counted.append(look)

    def _good(self, look: Look) -> None:
        last = self.last
        if self.bad is not None:
            if (self.own_bad is not None) == look.own:
                self.put_off = self.put_off and look.says in {each.says for each in self.over}
                self.over.append(look)
            elif look.own:
                found = self.bad
                self._clear()
                self.counted = [each for each in self.counted if each.own or each.says not in _BAD]
                if self.last is None or self.last.says != RENEWED:
                    self.counted.append(look)
                self.remark = (found, look)
            else:
                self.remark = (self.own_bad or self.bad, look)
        elif last is None or not (last.says == RENEWED or (last.own and not look.own and last.says != "not seen")):
            self.counted.append(look)

    def _clear(self) -> None:
        """Nothing found before counts any longer against the seal."""
        self.bad, self.own_bad, self.over, self.put_off = None, None, [], False
        self.settled, self.shown, self.remark = "", (), ()

    def settle(self, fact: Any) -> None:
        """Take an answer to what is open."""
        if self.bad is None or not self.over:
            return
        self.further.append(f"settlement-{fact.id}")
        if fact.answer == NOT_NOW:
            self.put_off = True
            return
        bad, over = self.bad, self.over
        bad_first = by_age([bad, over[-1]])[0] is bad
        word = "" if fact.document_id is not None else told(fact)
        if fact.answer == RENEWED:
            self._clear()
            self.counted.append(look_from(fact, "settlement", self.name, RENEWED, fact.document_id))
        elif (fact.answer == EARLIER_WRONG) if bad_first else (fact.answer == MINE_WRONG):
            self._clear()
            self.counted = [*(look for look in self.counted if look.says not in _BAD), over[-1]]
        else:
            self.over = []
        self.settled, self.shown = word, by_age([bad, *over]) if word else ()

    def seal(self) -> Seal:
        """The result."""
        about, further = f"{SEAL}{self.name}", tuple(self.further)
        found = None
        if self.bad is not None and self.over:
            looks = by_age([self.bad, *self.over])
            counts = f"it counts as {self.bad.says}"
            found = Contradiction(about, looks, counts, ANSWERS_OF_A_SEAL, self.put_off, further=further)
        elif self.settled:
            last = self.counted[-1]
            state = "disturbed" if last.says == RENEWED and not last.paper else last.says
            found = Contradiction(about, self.shown, f"it counts as {state}", settled=self.settled, further=further)
        elif self.remark:
            counts = f"our own look counts: {next(look for look in self.remark if look.own).says}"
            found = Contradiction(about, by_age(self.remark), counts, remark=True)
        return Seal(self.name, tuple(self.counted), found)
