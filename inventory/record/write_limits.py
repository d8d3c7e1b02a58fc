"""Takes a workshop's own limits into the record, from a file."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import select

from inventory.errors import Refused
from inventory.facts.write import write
from inventory.people.actions import begin_act
from inventory.record.load_limits import LAY_BESIDE, limits_text
from inventory.record.tables import WorkshopData
from inventory.reference.workshop import entries
from inventory.reference.workshop.read_workshop import file_beside, text_of
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import one_day, when_on
from inventory.store.days.moments import read_moment
from inventory.store.days.zone import day_of, zone_of
from inventory.store.facts import NOW, Act, AsOf, fact_id, make_fact
from inventory.store.tables import RecordInfo

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.record import Record

__all__ = ["differs_from_record", "file_to_take", "take_limits", "take_limits_beside"]


def take_limits(session: Session, by: str, file: Path, on: str | None = None) -> str | None:
    """Take in the limits of a file, in force from a day on (ISO 8601; by default today). Gives the fact.

    None if that day's are the same. Raises `Refused`, naming file and line, for a wrong entry.
    """
    text = text_of(file)
    entries.read(text, str(file))
    act = begin_act(session, "limits take", by, RECORD_THING)
    day = one_day(on, "--on", act.today)
    taken, _, _ = limits_text(session, AsOf.on(day, None, act.today))
    if taken is not None and taken.digest == _digest(text):
        return None
    return _take(session, act, text, file.name, day.isoformat(), "stated")


def file_to_take(record: Path | None) -> tuple[str, str] | None:
    """Name and text of the file that lies beside a record (None: on a server), checked; None if there is none.

    Raises `Refused` for a wrong entry: without it, the record would be judged otherwise.
    """
    file = file_beside(record)
    if file is None:
        return None
    text = text_of(file)
    entries.read(text, str(file))
    return file.name, text


def take_limits_beside(session: Session, name: str, text: str) -> None:
    """Take in what lay beside a record while limits were no facts: in force since it was made, and known all along."""
    act = begin_act(session, "limits take", "matchmark", RECORD_THING)
    if limits_text(session, NOW)[0] is not None:
        return  # of a record that was brought down a revision, and up again
    made = read_moment(session.scalar(select(RecordInfo.made_at)))
    day = day_of(made, zone_of(session)) if made is not None else act.today
    why = "it lay beside the record, which was judged by it before limits were kept in the record"
    _take(session, act, text, name, min(day, act.today).isoformat(), LAY_BESIDE, why)


def differs_from_record(record: Record) -> str:
    """What to say if the file beside a record is not what the record goes by now; empty if it is, or if there is none.

    A file that cannot be read is not refused, only said.
    """
    try:
        file = file_beside(record.path)
        if file is None:
            return ""
        text = text_of(file)
    except Refused as refusal:
        return f"{refusal.message}; the record goes by the limits that were taken in"
    taken = record.reference.taken
    if taken is not None and taken.digest == _digest(text):
        return ""
    return f"{file.name} is not what the record goes by; to take it in: matchmark limits take {file}"


def _take(session: Session, act: Act, text: str, name: str, on: str, how_known: str, why: str | None = None) -> str:
    given = {"text": text, "digest": _digest(text), "file_name": name}
    fact = make_fact(WorkshopData, act, RECORD_THING, when_on(on, act.today), how_known=how_known, **given)
    fact.reason = why
    write(session, act, [fact])
    return fact_id(WorkshopData, fact.id)


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()
