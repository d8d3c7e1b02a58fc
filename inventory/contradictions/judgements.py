"""Which looks at a part cannot both be true, and which of them count. Pure: facts come in, in any order.

A seal does not grow back: once found missing or disturbed it counts so until it is renewed or the contradiction is
settled. Two different letters read from one part leave it without a clearly read letter. A word from elsewhere is not
of equal standing with our own look: what a sheet or passport says against it is a remark, and a good word never
replaces a bad look. A bad word of a person lowers as a look does (it is told against that person's own interest) until
we look ourselves.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from inventory.facts.order import in_order
from inventory.store.words.text import squeeze

__all__ = [
    "ANSWERS",
    "ANSWERS_OF_A_SEAL",
    "EARLIER_WRONG",
    "LETTER",
    "NOT_NOW",
    "RENEWED",
    "Contradiction",
    "Letter",
    "Look",
    "Seal",
    "answers_about",
    "letter_of",
    "look_of",
    "seals_of",
]

RENEWED = "renewed"
ANOTHER_SEAL = "another seal"
EARLIER_WRONG = "the earlier look was wrong"
MINE_WRONG = "mine was wrong"
NOT_NOW = "cannot be settled now"
#: What can settle a contradiction about a seal, and about anything else.
ANSWERS_OF_A_SEAL = (RENEWED, ANOTHER_SEAL, EARLIER_WRONG, MINE_WRONG, NOT_NOW)
ANSWERS = (EARLIER_WRONG, MINE_WRONG, NOT_NOW)
#: What a contradiction about the match code is about; about a seal it is "seal NAME".
LETTER = "letter"
_SEAL = "seal "
_BAD = ("missing", "disturbed")
_OWN = ("seen", "measured")
#: How a word is known that never counts as newer than our own look.
_WRITTEN = ("from a sheet", "written in a sheet", "from a list", "passport")
_FROM_THE_PART = ("part", "dated picture")
_DOUBT = re.compile(r"\s+or\s+|[?/]+", re.IGNORECASE)
#: So many letters without a digit are a word for *not known*, not a code.
_A_WORD = 4


@dataclass(frozen=True)
class Look:
    """One look at one seal, one reading of a letter (`seal` is empty), or a renewal that a settlement states.

    `says`: the state or the letter; `own`: we looked ourselves; `written`: a sheet or passport says it. Days are ISO,
    `on` EDTF; `recorded` its UTC moment.
    """

    seal: str
    says: str
    own: bool
    written: bool
    paper: bool
    fact: str
    on: str
    earliest: str
    latest: str
    counts_from: str
    ranked: str
    recorded: str
    document: int | None = None

    @property
    def order(self) -> tuple[str, str, str]:
        """Where it comes among others."""
        return self.counts_from, self.ranked, self.fact

    @property
    def told(self) -> str:
        """The look in a sentence: "missing on 2025-09-02"."""
        whose = "" if self.own or self.paper else ", not by our own look"
        return f"{self.says} on {self.on}{whose}"


@dataclass(frozen=True)
class Contradiction:
    """Facts that cannot both be true, or (`remark`) a word against our own look.

    `about`: the stable name by which it is settled. `counts`: what counts meanwhile. `settle`: the answers that can
    settle it; none if it is settled or a remark. `put_off`: somebody answered that it cannot be settled now.
    `settled`: the answer that settled it without paper, picture or test, so that finding and word both stay in view.
    """

    about: str
    looks: tuple[Look, ...]
    counts: str
    settle: tuple[str, ...] = ()
    put_off: bool = False
    settled: str = ""
    remark: bool = False
    further: tuple[str, ...] = ()

    @property
    def open(self) -> bool:
        """Whether it lowers what it is about."""
        return bool(self.settle)

    @property
    def facts(self) -> tuple[str, ...]:
        """The facts, oldest first, then the settlements of it."""
        return tuple(dict.fromkeys((*(look.fact for look in self.looks), *self.further)))

    @property
    def found(self) -> str:
        """The facts in one line: "cap: missing on 2025-09-02; intact on 2026-03-12"."""
        told = "; ".join(look.told for look in self.looks)
        return f"{self.about.removeprefix(_SEAL)}: {told}"

    @property
    def says(self) -> str:
        """The whole of it in one line."""
        if self.settled:
            return f"{self.found}; settled by word only: {self.settled}"
        if self.remark:
            return f"{self.found}; {self.counts}"
        return f"{self.found}; these cannot both be true, and until it is settled {self.counts}"

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {"about": self.about, "says": self.says, "facts": list(self.facts), "settle": list(self.settle)}


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


@dataclass(frozen=True)
class Letter:
    """The readings of the letter that count, oldest first, what does not fit, and the facts that were wrong."""

    codes: tuple[str, ...]
    contradiction: Contradiction | None = None
    dropped: frozenset[str] = frozenset()


def answers_about(about: str) -> tuple[str, ...]:
    """The answers that can settle a contradiction about something."""
    return ANSWERS_OF_A_SEAL if about.startswith(_SEAL) else ANSWERS


def look_of(fact: Any) -> Look:
    """A look from a row of `seal_sighting`."""
    return _look(fact, "seal_sighting", fact.seal, fact.state, fact.document_id)


def seals_of(sightings: Iterable[Any], settlements: Iterable[Any] = ()) -> dict[str, Seal]:
    """What counts of each seal, from rows of `seal_sighting` and `settlement` that count."""
    by_seal: dict[str, list[Any]] = {}
    ordered = in_order(sightings)
    for fact in ordered:
        by_seal.setdefault(fact.seal, []).append(fact)
    settled: dict[str, list[Any]] = {}
    for fact in settlements:
        settled.setdefault(fact.about, []).append(fact)
    found = {}
    for name, looks in by_seal.items():
        walk = _Walk(name)
        for fact in in_order([*looks, *settled.get(f"{_SEAL}{name}", ())]):
            if _settles(fact):
                walk.settle(fact)
            else:
                walk.look(look_of(fact))
        found[name] = walk.seal()
    return found


def letter_of(markings: Iterable[Any], settlements: Iterable[Any] = ()) -> Letter:
    """What counts of the letter, from rows of `marking` and `settlement` that count."""
    readings = {fact.id: read for fact in markings if (read := _reading(fact)) is not None}
    if any(read.own for read in readings.values()):
        readings = {key: read for key, read in readings.items() if read.own}
    settling = [fact for fact in settlements if fact.about == LETTER]
    standing: list[Look] = []
    dropped: set[str] = set()
    shown: tuple[Look, ...] = ()
    settled, put_off, further = "", False, []
    for fact in in_order([*(fact for fact in markings if fact.id in readings), *settling]):
        if not _settles(fact):
            read = readings[fact.id]
            put_off = put_off and read.says in _codes(standing)
            standing.append(read)
        elif len(_codes(standing)) > 1:
            further.append(f"settlement-{fact.id}")
            put_off = fact.answer == NOT_NOW
            if not put_off:
                shown, last = _one_of_each(standing), standing[-1].says
                wrong = [look for look in standing if (look.says == last) == (fact.answer == MINE_WRONG)]
                dropped.update(look.fact for look in wrong)
                standing = [look for look in standing if look not in wrong]
                settled = "" if fact.document_id is not None else _told(fact)
    codes = _codes(standing)
    found = None
    if len(codes) > 1:
        counts = "no letter counts as clearly read"
        found = Contradiction(LETTER, _one_of_each(standing), counts, ANSWERS, put_off, further=tuple(further))
    elif settled:
        found = Contradiction(LETTER, shown, f"{codes[0]} counts", settled=settled, further=tuple(further))
    return Letter(codes, found, frozenset(dropped))


@dataclass
class _Walk:
    """The looks at one seal, taken in their order."""

    name: str
    counted: list[Look] = field(default_factory=list)
    bad: Look | None = None
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
            if _BAD.index(look.says) > _BAD.index(self.bad.says):
                return  # the worse stays
            if look.counts_from != self.bad.counts_from:
                self.over, self.put_off = [], False
        elif last is not None and last.own and look.written and last.says != "not seen":
            self.remark = (last, look)
            return
        else:
            self._clear()
            same_day = last is not None and last.counts_from == look.counts_from and last.own == look.own
            if same_day and last is not None and last.says in ("intact", "never fitted"):
                self.over = [last]
                self.counted.remove(last)
        self.bad = look
        self.counted.append(look)

    def _renewed(self, look: Look) -> None:
        if not look.paper and self.bad is None and self.last is not None and self.last.says == RENEWED:
            return  # the bare word adds nothing to an earlier renewal
        self._clear()
        self.counted.append(look)

    def _good(self, look: Look) -> None:
        last = self.last
        if self.bad is not None:
            if self.bad.own == look.own:
                self.over.append(look)
                self.put_off = False
            elif look.own:
                told = self.bad
                self._clear()
                self.counted.append(look)
                self.remark = (told, look)
            else:
                self.remark = (self.bad, look)
        elif last is None or not (last.says == RENEWED or (last.own and not look.own and last.says != "not seen")):
            self.counted.append(look)

    def _clear(self) -> None:
        """Nothing found before counts any longer against the seal."""
        self.bad, self.over, self.settled, self.put_off, self.shown, self.remark = None, [], "", False, (), ()

    def settle(self, fact: Any) -> None:
        """Take an answer to what is open."""
        if self.bad is None or not self.over:
            return
        self.further.append(f"settlement-{fact.id}")
        if fact.answer == NOT_NOW:
            self.put_off = True
            return
        bad, over = self.bad, self.over
        bad_first = _by_age([bad, over[-1]])[0] is bad
        told = "" if fact.document_id is not None else _told(fact)
        if fact.answer == RENEWED:
            self._clear()
            self.counted.append(_look(fact, "settlement", self.name, RENEWED, fact.document_id))
        elif (fact.answer == EARLIER_WRONG) if bad_first else (fact.answer == MINE_WRONG):
            self._clear()
            self.counted = [*(look for look in self.counted if look.says not in _BAD), over[-1]]
        else:
            self.over = []
        self.settled, self.shown = told, tuple(_by_age([bad, *over])) if told else ()

    def seal(self) -> Seal:
        """The result."""
        about, further = f"{_SEAL}{self.name}", tuple(self.further)
        found = None
        if self.bad is not None and self.over:
            looks = _by_age([self.bad, *self.over])
            counts = f"it counts as {self.bad.says}"
            found = Contradiction(about, looks, counts, ANSWERS_OF_A_SEAL, self.put_off, further=further)
        elif self.settled:
            state = self.counted[-1].says
            found = Contradiction(about, self.shown, f"it counts as {state}", settled=self.settled, further=further)
        elif self.remark:
            counts = f"our own look counts: {next(look for look in self.remark if look.own).says}"
            found = Contradiction(about, _by_age(self.remark), counts, remark=True)
        return Seal(self.name, tuple(self.counted), found)


def _by_age(looks: Iterable[Look]) -> tuple[Look, ...]:
    """Looks, oldest first."""
    return tuple(sorted(looks, key=lambda look: look.order))


def _settles(fact: Any) -> bool:
    return hasattr(fact, "answer")


def _told(fact: Any) -> str:
    return f"{fact.answer} ({fact.why})" if fact.why else str(fact.answer)


def _look(fact: Any, table: str, seal: str, says: str, document: int | None) -> Look:
    return Look(
        seal=seal,
        says=says,
        own=fact.how_known in _OWN,
        written=fact.how_known in _WRITTEN,
        paper=document is not None,
        fact=f"{table}-{fact.id}",
        on=fact.so_from,
        earliest=fact.earliest,
        latest=fact.latest,
        counts_from=fact.counts_from,
        ranked=fact.ranked,
        recorded=fact.recorded,
        document=document,
    )


def _reading(fact: Any) -> Look | None:
    """The letter that a marking reads from the part itself, folded; None if it reads none clearly."""
    code, origin = fact.match_code, fact.match_code_read_from or "part"
    if not code or fact.match_code_state not in (None, "read") or origin not in _FROM_THE_PART:
        return None
    folded = _folded(code)
    if not folded or _DOUBT.search(code) or (folded.isalpha() and len(folded) >= _A_WORD):
        return None
    return _look(fact, "marking", "", folded, None)


def _folded(code: str) -> str:
    return squeeze(code).upper()


def _codes(readings: Sequence[Look]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(look.says for look in readings))


def _one_of_each(readings: Sequence[Look]) -> tuple[Look, ...]:
    """The last reading of each letter, in the order of the letters."""
    return tuple({look.says: look for look in readings}.values())
