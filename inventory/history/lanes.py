"""A part's history in three lanes: whose it was (title), who had it (custody), where it was fitted (use). Pure.

The lanes have different gaps: a part that is lent stays its owner's, and a part that is sold moves nowhere by that. So
each fact stands in the lanes it speaks of, in none because another lane seems to say so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from inventory.facts.order import in_order

__all__ = ["HERE", "LANES", "NOT_KNOWN", "TITLES", "Event", "Lane", "lane_of", "lanes_of"]

LANES = ("title", "custody", "use")
#: What each lane is called.
TITLES = {"title": "Whose", "custody": "With whom", "use": "Where fitted"}
HERE, NOT_KNOWN, NOWHERE = "here", "not known", "nowhere: scrapped"

#: Ways of coming by which it became ours, and those by which it only came here.
_BECAME_OURS = ("bought", "given", "exchanged", "inherited", "found", "came with a car")
_CAME_FOR_A_TIME = ("left here by a customer", "lent in")
_BACK = ("came back", "found again")
#: Ways of leaving: for good, for a time, and out of anybody's sight.
_LEFT_FOR_GOOD = ("sold", "given away", "returned")
_OUT_FOR_A_TIME = ("lent out", "sent out")
_OUT_OF_SIGHT = ("lost", "stolen")
_SETTLED = "settled by the insurer"
_PREPOSITIONS = {"sold": "to", "given away": "to", "returned": "to", "lent out": "to", "sent out": "to", _SETTLED: "to"}


@dataclass(frozen=True)
class Event:
    """One fact in one lane. `holder`: who has it from then on, or the car and position; `giver`: who had it before.

    Both are "" where the fact does not say. `on`: EDTF, with `told`, the words of a vague day. `known`: how it is
    known, with how certain. `ends`: it was taken off a car.
    """

    lane: str
    what: str
    holder: str
    giver: str
    on: str
    told: str | None
    earliest: str
    latest: str
    known: str
    fact: str
    text: str | None = None
    document: str | None = None
    ends: bool = False

    @property
    def when(self) -> str:
        """The day, in the words in which it was told if it is vague."""
        return self.told or self.on

    @property
    def says(self) -> str:
        """It in a few words, without its day."""
        if self.lane == "use":
            return f"{self.what} {self.holder}"
        other = self.holder if self.what in _PREPOSITIONS else self.giver
        party = f"{_PREPOSITIONS.get(self.what, 'from')} {other}" if other not in ("", HERE, NOT_KNOWN) else ""
        what = "came, not said how" if self.what == "not known" else self.what
        return " ".join(word for word in (what, party, f"({self.text})" if self.text else "") if word)

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {**vars(self), "says": self.says}


@dataclass(frozen=True)
class Lane:
    """One lane: its events, oldest first, and in words who has it now."""

    name: str
    events: tuple[Event, ...]

    @property
    def now(self) -> str:
        """Who has it now, or where it is fitted; "not known" if nothing says so."""
        if not self.events:
            return NOT_KNOWN
        last = self.events[-1]
        return "on no car" if last.ends else last.holder or NOT_KNOWN

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {"lane": self.name, "now": self.now, "events": [event.as_dict() for event in self.events]}


def lane_of(lanes: Sequence[Lane], name: str) -> Lane:
    """The lane of this name."""
    return next(lane for lane in lanes if lane.name == name)


def lanes_of(provenance: Iterable[Any], fittings: Iterable[Any], removals: Iterable[Any]) -> tuple[Lane, Lane, Lane]:
    """The three lanes of a part, from views of its facts."""
    told = in_order([*provenance, *fittings, *removals])
    events = _given_back_to_its_owner([event for fact in told for event in _events_of(fact)])
    title, custody, use = (tuple(event for event in events if event.lane == name) for name in LANES)
    return Lane("title", title), Lane("custody", custody), Lane("use", use)


def _given_back_to_its_owner(events: Iterable[Event]) -> list[Event]:
    """The events with what was returned after it was only left or lent here: it goes to whose it was all the time."""
    owner, found = "", []
    for event in events:
        if event.lane == "title" and event.what in _CAME_FOR_A_TIME:
            owner = event.holder
        elif event.what in _BECAME_OURS:
            owner = ""
        if owner and event.what == "returned":
            holder = owner if event.holder == NOT_KNOWN else event.holder
            event = replace(event, holder=holder, giver=owner if event.lane == "title" else HERE)
        found.append(event)
    return found


def _events_of(fact: Any) -> Iterator[Event]:
    if fact.table == "provenance":
        for lane, holder, giver in _passages(fact.values):
            yield _event(fact, lane, fact.values["how"], holder, giver)
    else:
        off = fact.table == "removal"
        car = " / ".join(str(fact.values[name]) for name in ("car", "position") if fact.values.get(name))
        yield _event(fact, "use", "came off" if off else "fitted to", car, "", ends=off)


def _passages(values: Any) -> Iterator[tuple[str, str, str]]:
    """The lanes that a way of coming or going speaks of, with who has it then and who had it before."""
    how, party = values["how"], values.get("party") or ""
    if how in _BECAME_OURS:
        ours = HERE if values.get("whose") in (None, "own") else str(values["whose"])
        yield "title", ours, party
        yield "custody", HERE, party
    elif how in _CAME_FOR_A_TIME:
        yield "title", party or ("a customer" if how == "left here by a customer" else "a lender"), ""
        yield "custody", HERE, party
    elif how in _BACK:
        yield "custody", HERE, party
    elif how in _LEFT_FOR_GOOD:
        yield "title", party or NOT_KNOWN, HERE if values.get("attribution") == "seen by us" else ""
        if values.get("lane") != "title" or values.get("attribution") == "seen by us":
            yield "custody", party or NOT_KNOWN, ""
    elif how in _OUT_FOR_A_TIME:
        yield "custody", party or NOT_KNOWN, HERE
    elif how in _OUT_OF_SIGHT:
        yield "custody", NOT_KNOWN, HERE
    elif how == _SETTLED:
        yield "title", party or "the insurer", HERE
    elif how == "scrapped":
        yield "title", NOWHERE, HERE
        yield "custody", NOWHERE, HERE
    else:
        lane = str(values.get("lane") or "title")
        yield lane, HERE if lane == "title" and values.get("whose") == "own" else NOT_KNOWN, party


def _event(fact: Any, lane: str, what: str, holder: str, giver: str, *, ends: bool = False) -> Event:
    values = fact.values
    return Event(
        lane=lane,
        what=what,
        holder=holder,
        giver=giver,
        on=fact.on,
        told=fact.told,
        earliest=fact.earliest,
        latest=fact.latest,
        known=_known(fact),
        fact=fact.id,
        text=values.get("text"),
        document=values.get("document"),
        ends=ends,
    )


def _known(fact: Any) -> str:
    """Who says so, and how certain that is; the words of a sheet or passport stay what they are."""
    values = fact.values
    said_by = f"said by {values['said_by']}" if values.get("said_by") else values.get("attribution")
    source = fact.known if fact.known not in ("", said_by, values.get("attribution")) else ""
    if said_by and source.startswith(said_by):
        said_by = ""
    return ", ".join(word for word in (said_by, values.get("certainty"), source) if word) or "seen by us"
