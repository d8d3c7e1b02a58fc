"""Looks, and what it means that two of them do not fit. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from inventory.facts.how_known import WRITTEN, is_own

__all__ = [
    "ANOTHER_SEAL",
    "ANSWERS",
    "ANSWERS_OF_A_POSITION",
    "ANSWERS_OF_A_SEAL",
    "ANSWERS_OF_WHEREABOUTS",
    "BETWEEN",
    "BOTH",
    "EARLIER_WRONG",
    "FROM_THE_PART",
    "LETTER",
    "MINE_WRONG",
    "NOT_NOW",
    "POSITION",
    "RENEWED",
    "SEAL",
    "TEST",
    "WHEREABOUTS",
    "Contradiction",
    "Look",
    "answers_about",
    "by_age",
    "look_from",
    "settles",
    "told",
]

RENEWED = "renewed"
ANOTHER_SEAL = "another seal"
EARLIER_WRONG = "the earlier look was wrong"
MINE_WRONG = "mine was wrong"
NOT_NOW = "cannot be settled now"
#: Both were so: it came off, or came back, between them.
BETWEEN = "moved between"
#: Two parts sat at one position together.
BOTH = "both sat here"
#: What can settle a contradiction about a seal, about where a part is, about a position, and about anything else.
ANSWERS_OF_A_SEAL = (RENEWED, ANOTHER_SEAL, EARLIER_WRONG, MINE_WRONG, NOT_NOW)
ANSWERS_OF_WHEREABOUTS = (BETWEEN, EARLIER_WRONG, MINE_WRONG, NOT_NOW)
ANSWERS_OF_A_POSITION = (BETWEEN, EARLIER_WRONG, MINE_WRONG, BOTH, NOT_NOW)
ANSWERS = (EARLIER_WRONG, MINE_WRONG, NOT_NOW)
#: What a contradiction about the match code, or about where a part is, is about; others are "seal NAME", "test NAME" or
#: "position NAME" (two parts there; its settlement is "position NAME, FACT").
LETTER = "letter"
WHEREABOUTS = "whereabouts"
SEAL = "seal "
POSITION = "position "
TEST = "test "
#: Where a letter was read that counts as read on the part itself.
FROM_THE_PART = ("part", "dated picture")


@dataclass(frozen=True)
class Look:
    """One look at one seal, one reading of a letter (`seal` is empty), or a renewal that a settlement states.

    `says`: the state or the letter; `own`: we looked ourselves; `written`: a sheet or passport says it; `thing`: the
    key of what it is about. Days are ISO, `on` EDTF; `recorded` its UTC moment.
    """

    seal: str
    says: str
    own: bool
    written: bool
    paper: bool
    fact: str
    thing: int
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
    """Facts that cannot both be true, or (`remark`) what is only named, such as a word against our own look.

    `about`: the stable name by which it is settled. `counts`: what counts meanwhile. `settle`: the answers that can
    settle it; none if it is settled or a remark. `put_off`: somebody answered that it cannot be settled now.
    `settled`: the answer that settled it without paper, picture or test, so that finding and word both stay in view.
    `of`: the name of the car whose position it is about; "" if it is about the thing itself.
    """

    about: str
    looks: tuple[Look, ...]
    counts: str
    settle: tuple[str, ...] = ()
    put_off: bool = False
    settled: str = ""
    remark: bool = False
    further: tuple[str, ...] = ()
    of: str = ""

    @property
    def open(self) -> bool:
        """Whether it lowers what it is about."""
        return bool(self.settle)

    @property
    def name(self) -> str:
        """What it is about, for people: "cap", "letter", "Green tourer, position inner wing"."""
        return f"{f'{self.of}, ' if self.of else ''}{self.about.removeprefix(SEAL)}"

    @property
    def place_open(self) -> bool:
        """Whether it leaves open where the part is."""
        return self.settle in (ANSWERS_OF_WHEREABOUTS, ANSWERS_OF_A_POSITION)

    @property
    def facts(self) -> tuple[str, ...]:
        """The facts, oldest first, then the settlements of it."""
        return tuple(dict.fromkeys((*(look.fact for look in self.looks), *self.further)))

    @property
    def found(self) -> str:
        """The facts in one line: "cap: missing on 2025-09-02; intact on 2026-03-12"."""
        every = "; ".join(dict.fromkeys(look.told for look in self.looks))
        return f"{self.name}: {every}"

    @property
    def brief(self) -> str:
        """How it stands in a few words: "cap: missing or intact, open"."""
        if self.remark:
            return f"{self.name}: {self.counts}"
        words = " or ".join(dict.fromkeys(look.says for look in self.looks))
        return f"{self.name}: {words}, {'settled by word only' if self.settled else 'open'}"

    @property
    def in_short(self) -> str:
        """The facts and how it stands, for a cell: "cap: missing on 2025-09-02; intact on 2026-03-12; open"."""
        return f"{self.found}; {f'settled by word only: {self.settled}' if self.settled else 'open'}"

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


def answers_about(about: str) -> tuple[str, ...]:
    """The answers that can settle a contradiction about something."""
    if about == WHEREABOUTS:
        return ANSWERS_OF_WHEREABOUTS
    if about.startswith(POSITION):
        return ANSWERS_OF_A_POSITION
    return ANSWERS_OF_A_SEAL if about.startswith(SEAL) else ANSWERS


def by_age(looks: Iterable[Look]) -> tuple[Look, ...]:
    """Looks, oldest first."""
    return tuple(sorted(looks, key=lambda look: look.order))


def settles(fact: Any) -> bool:
    """Whether a row is a settlement."""
    return hasattr(fact, "answer")


def told(fact: Any) -> str:
    """What a settlement says: its answer, and why."""
    return f"{fact.answer} ({fact.why})" if fact.why else str(fact.answer)


def look_from(fact: Any, table: str, seal: str, says: str, document: int | None) -> Look:
    """A look, from a row of a table of facts."""
    return Look(
        seal=seal,
        says=says,
        own=is_own(fact),
        written=fact.how_known in WRITTEN,
        paper=document is not None,
        fact=f"{table}-{fact.id}",
        thing=fact.thing_id,
        on=fact.so_from,
        earliest=fact.earliest,
        latest=fact.latest,
        counts_from=fact.counts_from,
        ranked=fact.ranked,
        recorded=fact.recorded,
        document=document,
    )
