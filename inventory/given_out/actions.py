"""Actions: number a paper that is written for others, and state to whom it was given."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.write import write
from inventory.given_out.anchors import Anchor
from inventory.given_out.queries import WrittenPaper, written_papers
from inventory.given_out.tables import GivenOut, PaperWritten
from inventory.people.actions import begin_act, new_contact
from inventory.people.queries import names_of_contacts
from inventory.store.days.dates import when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.words.near import name_on_record
from inventory.store.words.text import clean

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["given", "next_number", "paper_called", "refuse_near_name", "written"]


def next_number(session: Session, what: str) -> int:
    """The number of the next paper of this sort ("condition list"); a number is never used again.

    Whoever writes it holds the record's own thing (`begin_act` or `lock_things` with `RECORD_THING`) from here on, so
    that two people who write at once get two numbers.
    """
    used = [
        session.scalar(select(func.max(table.number)).where(table.what == what)) or 0
        for table in (PaperWritten, GivenOut)
    ]
    return max(used) + 1


def written(
    session: Session,
    act: Act,
    thing_id: int,
    what: str,
    number: int,
    fingerprint: str,
    *,
    anchor: Anchor | None,
    as_of: str | None = None,
    known_on: str | None = None,
    options: str | None = None,
    edition: str | None = None,
) -> str:
    """Store that a paper was written to a file, as a fact about `thing_id`. Returns the fact's id.

    `anchor`: the record's when the paper was drawn; None where the record does not fit. `options`: canonical JSON of
    what was asked for, without names of people.
    """
    values: dict[str, Any] = {"what": what, "number": number, "fingerprint": fingerprint, "as_of": as_of}
    if anchor is not None:
        values |= {"anchor": anchor.text, "anchor_size": anchor.size}
    values |= {"known_on": known_on, "options": options, "edition": edition}
    fact = make_fact(PaperWritten, act, thing_id, when_on(None, act.today), how_known="stated", **values)
    write(session, act, [fact])
    return fact_id(PaperWritten, fact.id)


def given(record: Record, by: str, what: str, number: int, to: str, on: str | None = None) -> str:
    """Store that a written paper was given to somebody, by name, on a day. Returns the fact's id.

    Somebody new is entered as a contact. One paper can be given to several.
    """
    with record.write() as session:
        paper = paper_called(session, what, number)
        act = begin_act(session, "given out", by, paper.thing_id)
        when = when_on(on, act.today)
        if when.latest.isoformat() < paper.written_on:
            says = f"{what} no. {number} was written on {paper.written_on}, after {when.edtf}"
            raise Refused("given-before-written", says.capitalize(), where="--on")
        key, rows = new_contact(session, act, to, when)
        values: dict[str, Any] = {"what": what, "number": number, "fingerprint": paper.fingerprint, "to_id": key}
        fact = make_fact(GivenOut, act, paper.thing_id, when, **values)
        write(session, act, [*rows, fact])
        return fact_id(GivenOut, fact.id)


def refuse_near_name(session: Session, to: str) -> None:
    """Raise `NearName` if somebody on record has nearly this name, before a paper for them is written."""
    name_on_record(session.info, "contact", clean(to), names_of_contacts(session))


def paper_called(session: Session, what: str, number: int) -> WrittenPaper:
    """The written paper of this sort with this number."""
    papers = {paper.number: paper for paper in written_papers(session, what)}
    if number not in papers:
        known = f"the last is no. {max(papers)}" if papers else "none was written yet"
        raise Refused("no-such-paper", f"There is no {what} no. {number}", hint=known)
    return papers[number]
