"""Reading and writing for the small views: a seal's state, a move, an amendment."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.errors import UnknownName
from inventory.facts import change
from inventory.facts.views import facts_of
from inventory.parts import queries
from inventory.places import actions as place_actions
from inventory.places.queries import place_named, places
from inventory.reference.data import reference_of
from inventory.seals import actions as seal_actions
from tui.data.entries import source_words
from tui.data.undo import judgements_resting_on

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


from typing import TYPE_CHECKING

from inventory.people.actions import HAND
from inventory.people.queries import contacts

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = [
    "SealLine",
    "StandingFact",
    "facts_to_amend",
    "hands",
    "judgements_on",
    "move_part",
    "note_seal",
    "place_labelled",
    "place_names",
    "seals_of",
    "take_fact_back",
]


@dataclass(frozen=True)
class SealLine:
    """A seal of a part, and how it was last found."""

    name: str
    last: str


@dataclass(frozen=True)
class StandingFact:
    """A fact that counts and may be taken back."""

    id: str
    says: str


def seals_of(session: Session, tag: str) -> tuple[SealLine, ...]:
    """The seals of a part: those its kind has, and others noted on it."""
    part = queries.part_row(session, tag)
    seen = {str(fact.values["seal"]): fact for fact in facts_of(session, part.id) if fact.table == "seal_sighting"}
    names = dict.fromkeys((*(reference_of(session).kind(part.kind).seals if part.kind else ()), *seen))
    return tuple(
        SealLine(name, f"{seen[name].values['state']} ({source_words(seen[name])})" if name in seen else "never noted")
        for name in names
    )


def note_seal(session: Session, by: str, tag: str, seal: str, state: str) -> str:
    """Record how a seal was found. Returns the name of the seal on record."""
    return str(change.fact_row(session, seal_actions.note_seal(session, by, tag, seal, state)).seal)


def place_names(session: Session) -> tuple[tuple[str, int], ...]:
    """All places, and how many parts are stored in each."""
    return tuple((place.name, place.parts) for place in places(session))


def place_labelled(session: Session, text: str) -> str:
    """The name of the place with this label. Raises `Refused` if none has it."""
    return place_named(session, text).name


def move_part(session: Session, by: str, tag: str, place: str, *, new: bool) -> str:
    """Put a part at a place; with `new`, enter the place first if it is unknown.

    Returns the name of the place, and what went with the part.
    """
    try:
        place = place_named(session, place).name
    except UnknownName:
        if not new:
            raise
        place_actions.add_place(session, by, place)
    place_actions.put(session, by, tag, place)
    along = queries.goes_along(session, queries.part_row(session, tag).id)
    return f"{place}, with {', '.join(other.tag for other in along)}" if along else place


def facts_to_amend(session: Session, tag: str) -> tuple[StandingFact, ...]:
    """The facts of a part that count, newest first."""
    part = queries.part_row(session, tag)
    facts = sorted(facts_of(session, part.id), key=lambda fact: fact.recorded, reverse=True)
    return tuple(StandingFact(fact.id, f"{fact.says} ({source_words(fact)})") for fact in facts)


def judgements_on(session: Session, tag: str, fact: str) -> tuple[str, ...]:
    """The judgements that rest on one fact of a part."""
    return judgements_resting_on(session, {queries.part_row(session, tag).id}, {fact})


def take_fact_back(session: Session, by: str, fact: str, reason: str) -> str:
    """Withdraw a fact, with the reason."""
    return change.withdraw(session, by, fact, reason)


def hands(session: Session) -> list[str]:
    """The people who have written in this record, by name."""
    return [contact.name for contact in contacts(session) if contact.role == HAND]
