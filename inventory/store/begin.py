"""The first entry of a new record: the record itself."""

from __future__ import annotations

import secrets
from importlib.metadata import version

from sqlalchemy.orm import Session

from inventory.store.clock import now, stamp
from inventory.store.facts import Act
from inventory.store.journal import write
from inventory.store.keys import new_things
from inventory.store.tables import RecordInfo

__all__ = ["RECORD_THING", "first_entry"]

#: The record is the first thing in itself; facts about it (a list given out) are told of this key.
RECORD_THING = 1


def first_entry(session: Session) -> None:
    """Write down that the record was made, when, and by which version of the program."""
    (thing,) = new_things(session, "record_info")
    moment = now()
    act = Act("new", thing.id, stamp(moment), moment.astimezone().date(), secrets.token_hex(8))
    info = RecordInfo(id=thing.id, identity=secrets.token_hex(16), made_at=act.at, made_by=version("matchmark"))
    write(session, act, [thing, info])
