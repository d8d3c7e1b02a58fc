"""Noting the state of a seal."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.contradictions.actions import settle
from inventory.contradictions.looks import ANOTHER_SEAL
from inventory.documents.actions import take_in
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act
from inventory.reference.data import reference_of
from inventory.seals.states import STATES
from inventory.seals.tables import SealSighting
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.tables import Base
from inventory.store.words.names import one_of
from inventory.store.words.near import name_on_record
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean, fold

__all__ = ["meant_seal", "note_seal", "settle_as_another_seal", "sighting", "usual_seals"]


def note_seal(
    session: Session,
    by: str,
    tag: str,
    seal: str,
    state: str,
    *,
    on: str | None = None,
    document: Path | None = None,
    how_known: str = "seen",
) -> str:
    """Write down the state of a seal of a part. `renewed` counts only with a `document`. Return the fact's id."""
    part = part_row(session, tag)
    act = begin_act(session, "seal note", by, part.id)
    when = when_on(on, act.today)
    rows: list[Base] = []
    document_id = None
    if document is not None:
        document_id, rows = take_in(session, act, part.id, document, shows="seal", when=when)
    seal = meant_seal(session, part.id, seal)
    fact = sighting(act, part.id, seal, state, when, document_id=document_id, how_known=how_known)
    write(session, act, [*rows, fact])
    return fact_id(SealSighting, fact.id)


def settle_as_another_seal(
    session: Session, by: str, tag: str, about: str, seal: str, state: str, *, on: str | None = None
) -> str:
    """Settle what does not fit of a seal: the later look, its state and day, was at another seal, and is noted there.

    One act. Returns the settlement's id.
    """

    def beside(act: Act, part_id: int) -> list[Base]:
        return [sighting(act, part_id, meant_seal(session, part_id, seal), state, when_on(on, act.today))]

    return settle(session, by, tag, about, ANOTHER_SEAL, why=f"it was the {seal}", beside=beside)


def meant_seal(session: Session, part_id: int, seal: str) -> str:
    """The name of a seal as it is on record, or as typed if it is new. Raises `NearName`.

    On record are the names that kinds of part have and those noted on this part; else those noted on any part.
    """
    name = name_given("name of the seal", seal)
    usual = usual_seals(session)
    here = select(SealSighting.seal).where(SealSighting.thing_id == part_id).distinct()
    known = sorted(usual.union(session.scalars(here)))
    if fold(name) not in map(fold, known):
        known = sorted(usual.union(session.scalars(select(SealSighting.seal).distinct())))
    return name_on_record(session.info, "seal", name, known) or name


def usual_seals(session: Session) -> set[str]:
    """The names of seals that the reference data know."""
    return {each for kind in reference_of(session).kinds for each in kind.seals}


def sighting(
    act: Act,
    part_id: int,
    seal: str,
    state: str,
    when: When,
    *,
    document_id: int | None = None,
    how_known: str = "seen",
) -> SealSighting:
    """The fact of one look at one seal. Raises `Refused` for a missing name, `UnknownName` for an unknown state."""
    name, word = name_given("name of the seal", seal).casefold(), clean(state).casefold()
    if not name:
        raise Refused("seal-without-name", "Say which seal", hint="for example: cap, case label, sealant")
    one_of("seal state", word, STATES)
    return make_fact(
        SealSighting, act, part_id, when, how_known=how_known, seal=name, state=word, document_id=document_id
    )
