"""How a second part can come off a position that is empty already, and the rows that say so."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from inventory.cars.actions import new_position
from inventory.cars.tables import Position
from inventory.contradictions.looks import BOTH, POSITION
from inventory.contradictions.tables import Settlement
from inventory.errors import Refused
from inventory.facts.views import own_columns
from inventory.parts.tables import Note, Part
from inventory.store.days.clock import stamp
from inventory.store.days.dates import When, parse_when
from inventory.store.facts import Act, make_fact, take_place
from inventory.store.journal.keys import supersede
from inventory.store.tables import Base
from inventory.store.words.text import clean, fold
from inventory.teardown.load_history import Passage, emptied_by, histories
from inventory.teardown.tables import Fitting, Removal

__all__ = ["BOTH", "ONE_PART", "WENT_BACK", "Second", "emptied", "read_second", "refused_as_emptied", "rows_of_second"]

#: The answers beside a place: the other part sat there.
ONE_PART, WENT_BACK = "one part", "went back on"
_OTHER = "other at "


@dataclass(frozen=True)
class Second:
    """How it can be: `other_at` is the position where the other part sat; else `answer` is one of three."""

    answer: str = ""
    other_at: str = ""

    def __str__(self) -> str:
        return f"{_OTHER}{self.other_at}" if self.other_at else self.answer


def read_second(text: str) -> Second:
    """Read an answer as it is typed. Raises `Refused` if it is none."""
    words = clean(text)
    if fold(words).startswith(fold(_OTHER)) and (place := words[len(_OTHER) :].strip()):
        return Second(other_at=place)
    answer = next((each for each in (BOTH, ONE_PART, WENT_BACK) if fold(words) == fold(each)), None)
    if answer is None:
        raise Refused(
            "second-how",
            f'"{words}" does not say how a second part can come off there',
            hint=f"one of: {_OTHER}POSITION, {ONE_PART}, {BOTH}, {WENT_BACK}",
        )
    return Second(answer)


def emptied(session: Session, position_id: int, strip_down_id: int, part: Part | None) -> Passage | None:
    """The removal that emptied a position in this strip-down; None if the part may come off it unasked."""
    if part is not None and part.fitted == "yes" and part.position_id == position_id:
        return None
    history = histories(session, [position_id]).get(position_id, [])
    return emptied_by(history, strip_down_id, part.id if part else None)


def refused_as_emptied(session: Session, position_id: int, by: Passage) -> Refused:
    """The refusal of a second part at a position, as long as nobody says how it can be."""
    name = session.get_one(Position, position_id).name
    return Refused(
        "position-emptied",
        f'"{name}" is empty already: {by.tag} ({by.kind or "part"}, number {by.number}) came off it on {by.on}',
        where=name,
        hint=f'another --position, or how it can be: --second "{_OTHER}POSITION", "{ONE_PART}", "{BOTH}" or '
        f'"{WENT_BACK}"',
    )


def rows_of_second(
    session: Session, act: Act, second: Second, by: Passage, label: str | None, when: When
) -> list[Base]:
    """The rows that an answer needs beside the second part. `by`: the removal that emptied the position.

    `label`: what is stuck on the second part. Raises `Refused` if the other part did not sit where it is said.
    """
    old = session.get_one(Removal, int(by.fact.rpartition("-")[2]))
    assert old.position_id is not None
    if second.other_at:
        return _moved(session, act, old, second.other_at)
    if second.answer == BOTH:
        about = f"{POSITION}{session.get_one(Position, old.position_id).name.casefold()}, {by.fact}"
        said: dict[str, Any] = {"about": about, "answer": BOTH, "why": None, "document_id": None}
        return [make_fact(Settlement, act, by.part_id, when, how_known="stated", **said)]
    if second.answer == ONE_PART:
        text = f"had a second label, {label}, which was peeled off" if label else "was to be logged a second time"
        return [make_fact(Note, act, by.part_id, when, text=text)]
    columns = {"car_id": old.car_id, "position_id": old.position_id}
    fitted = make_fact(Fitting, act, by.part_id, when, how_known="stated", **columns)
    # It was so before what else this act writes.
    fitted.ranked = stamp(datetime.fromisoformat(fitted.ranked) - timedelta(microseconds=1))
    return [fitted]


def _moved(session: Session, act: Act, old: Removal, place: str) -> list[Base]:
    """The removal of the other part, corrected to another position."""
    key, rows = new_position(session, old.car_id, place)
    if old.strip_down_id is not None and (by := emptied(session, key, old.strip_down_id, None)) is not None:
        raise refused_as_emptied(session, key, by)
    columns = {name: getattr(old, name) for name in own_columns(Removal)} | {"position_id": key}
    when = replace(parse_when(old.so_from), told=old.told or "")
    anew = make_fact(Removal, act, old.thing_id, when, how_known=old.how_known, **columns)
    anew.reason = "a second part came off the position first noted"
    take_place(anew, old)
    supersede(session, act, old, anew)
    return [*rows, old, anew]
