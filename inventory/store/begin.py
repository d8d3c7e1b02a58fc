"""The first entry of a new record: the record itself."""

from __future__ import annotations

import secrets
from importlib.metadata import version

from sqlalchemy.orm import Session

from inventory.store.days import clock
from inventory.store.days.zone import day_of, machine_zone
from inventory.store.facts import Act
from inventory.store.journal.entries import write
from inventory.store.journal.keys import new_things
from inventory.store.journal.log import give_places
from inventory.store.tables import RecordInfo

__all__ = ["RECORD_THING", "first_entry"]

#: The record is the first thing in itself; facts about it (a list given out) are told of this key.
RECORD_THING = 1


def first_entry(session: Session) -> None:
    """Write down that the record was made, when, in which time zone, and by which version of the program."""
    (thing,) = new_things(session, "record_info")
    moment, zone = clock.now_for(session), machine_zone()
    act = Act("new", thing.id, clock.stamp(moment), day_of(moment, zone), secrets.token_hex(8))
    made_by = version("matchmark")
    info = RecordInfo(id=thing.id, identity=secrets.token_hex(16), made_at=act.at, made_by=made_by, zone=zone)
    write(session, act, [thing, info])
    give_places(session)
