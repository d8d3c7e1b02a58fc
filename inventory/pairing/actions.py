"""Filing a specialist's paper on a sensor, reserving a part, releasing it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.actions import take_in
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.pairing.candidate import PAIRED_KINDS, SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.judgements import refuse_unpaired
from inventory.pairing.tables import RELEASED, RESERVATION_STATES, RESERVED, Reservation, Setting
from inventory.parts.queries import part_row
from inventory.parts.tables import Part
from inventory.people.actions import begin_act
from inventory.provenance.tables import Provenance
from inventory.store.days.dates import when_on
from inventory.store.facts import as_of, fact_id, make_fact
from inventory.store.words.names import one_of
from inventory.store.words.text import clean, short_enough, squeeze

__all__ = ["checked_setting", "file_paper", "refuse_gone", "release", "reserve", "reserved_now"]


def file_paper(
    session: Session,
    by: str,
    tag: str,
    document: Path,
    *,
    unit: str | None = None,
    unit_number: str | None = None,
    unit_code: str | None = None,
    on: str | None = None,
) -> str:
    """Write down that a specialist set a sensor, with the paper and the control unit it names. Return the fact's id.

    Without a day it was set by the day on which it last came back, if it was sent out and no later paper is on file;
    else today.
    """
    part = part_row(session, tag)
    refuse_unpaired(Candidate(part.tag, part.kind or "other", "", "", 0.0), SENSOR_KIND)
    key = part_row(session, unit).id if unit is not None else None
    values = checked_setting(session, {"unit_id": key, "unit_number": unit_number, "unit_code": unit_code})
    act = begin_act(session, "pairs paper", by, part.id)
    when = when_on(on or _came_back(session, part.id), act.today)
    document_id, rows = take_in(session, act, part.id, document, shows="paper", when=when)
    fact = make_fact(Setting, act, part.id, when, how_known="document", document_id=document_id, **values)
    write(session, act, [*rows, fact])
    return fact_id(Setting, fact.id)


def _came_back(session: Session, part_id: int) -> str | None:
    """The day on which a part that was sent out came back, unless it was set since."""
    custody = select(Provenance.how, Provenance.so_from, Provenance.counts_from).where(
        Provenance.thing_id == part_id, Provenance.how.in_(("sent out", "came back"))
    )
    ways = session.execute(as_of(custody, Provenance)).all()
    if [how for how, *_ in ways[-2:]] != ["sent out", "came back"]:
        return None
    _, day, since = ways[-1]
    later = as_of(select(Setting.id).where(Setting.thing_id == part_id, Setting.counts_from >= since), Setting)
    return None if session.scalars(later).first() is not None else str(day)


def checked_setting(session: Session, values: dict[str, Any]) -> dict[str, Any]:
    """The control unit that a paper names, checked: one on record, or a number with its code, or none."""
    number, code = (clean(values[name] or "") or None for name in ("unit_number", "unit_code"))
    if values["unit_id"] is not None:
        if number or code:
            raise Refused(
                "named-twice",
                "Give either the control unit's label, or its number and code",
                hint="the label is enough if the unit is on record",
            )
        unit = session.get_one(Part, values["unit_id"])
        refuse_unpaired(Candidate(unit.tag, unit.kind or "other", "", "", 0.0), UNIT_KIND)
    if bool(number) != bool(code):
        missing = "code" if number else "number"
        raise Refused(
            "half-named",
            f"The {missing} is missing: give a control unit's number and code together",
            where=missing,
            hint="leave out both if the paper names no control unit",
        )
    if number and not squeeze(short_enough("part number", number)):
        raise Refused("number-missing", "The part number is empty", where="number")
    return {**values, "unit_number": number, "unit_code": code}


def reserve(session: Session, by: str, tag: str, *, why: str | None = None, on: str | None = None) -> str:
    """Reserve a sensor or control unit: no plan puts it in a pair. Return the fact's id."""
    part = part_row(session, tag)
    if part.kind not in PAIRED_KINDS:
        refuse_unpaired(Candidate(part.tag, part.kind or "other", "", "", 0.0), SENSOR_KIND)
    refuse_gone(part)
    if reserved_now(session, part.id):
        raise Refused("reserved-already", f"{part.tag} is already reserved")
    return _say(session, by, "pairs reserve", part, RESERVED, why, on)


def release(session: Session, by: str, tag: str, *, why: str | None = None, on: str | None = None) -> str:
    """Release a reserved part. Return the fact's id."""
    part = part_row(session, tag)
    if not reserved_now(session, part.id):
        raise Refused("not-reserved", f"{part.tag} is not reserved")
    return _say(session, by, "pairs release", part, RELEASED, why, on)


def refuse_gone(part: Part) -> None:
    """Refuse to reserve a part that has left the house."""
    if part.gone:
        raise Refused(
            "part-gone",
            f"{part.tag} is recorded as {part.gone}, so it cannot be reserved",
            hint='if it is back: matchmark provenance note TAG --how "came back"',
        )


def reserved_now(session: Session, part_id: int) -> bool:
    """Whether a part is reserved, by the last fact about it."""
    query = as_of(select(Reservation.state).where(Reservation.thing_id == part_id), Reservation)
    said = session.scalars(query).all()
    return bool(said) and said[-1] == RESERVED


def _say(session: Session, by: str, what: str, part: Part, state: str, why: str | None, on: str | None) -> str:
    act = begin_act(session, what, by, part.id)
    one_of("word on keeping back", state, RESERVATION_STATES, "state of a reservation")
    fact = make_fact(
        Reservation, act, part.id, when_on(on, act.today), how_known="stated", state=state, why=clean(why or "") or None
    )
    write(session, act, [fact])
    return fact_id(Reservation, fact.id)
