"""Actions: remove a person for good, with the words of the record that name them; wipe what stays behind."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.redact import redact
from inventory.facts.take_back import given_reason
from inventory.people.actions import acts_together, blank_contact
from inventory.removal.mention import Mention
from inventory.removal.queries import people_called
from inventory.store.connection.wipe import wipe
from inventory.store.journal.entries import lock_things
from inventory.store.record import Record
from inventory.store.tables import Base

__all__ = ["refuse_reason", "remove_person", "wipe_record"]


def remove_person(
    session: Session, by: str, name: str, reason: str, chosen: Sequence[Mention] = ()
) -> list[tuple[Mention, Refused]]:
    """Erase a person's name, address and telephone, and cut the chosen words, in one transaction.

    Returns what could not be cut, and why. `wipe_record` is to follow, once this is committed.
    """
    refuse_reason(session, name, reason)
    lock_things(session, [mention.thing_id for mention in chosen])
    with acts_together(session):
        blank_contact(session, by, name, reason)
        left = []
        for mention in chosen:
            try:
                redact(session, by, mention.fact, reason, words=mention.words, column=mention.column)
            except Refused as refusal:
                left.append((mention, refusal))
    return left


def refuse_reason(session: Session, name: str, reason: str) -> None:
    """Refuse an empty reason, and one that names the person who is to be removed."""
    whole, _ = people_called(session, name)
    if whole.cut(given_reason(reason)) != given_reason(reason):
        says = "The reason would keep the name that is to be removed"
        raise Refused("reason-keeps-words", says, where="--reason", hint="give a reason without the name")


def wipe_record(record: Record) -> str:
    """Overwrite what was removed in the record's file, or on its server; "" or why that must be done again later."""
    return wipe(record.engine, [table.name for table in Base.metadata.sorted_tables])
