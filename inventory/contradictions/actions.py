"""Settling a contradiction."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from sqlalchemy.orm import Session

from inventory.contradictions.facts import checked_settlement
from inventory.contradictions.looks import BETWEEN, BOTH, EARLIER_WRONG, POSITION, SEAL, TEST
from inventory.contradictions.queries import contradictions_on, thing_named
from inventory.contradictions.tables import Settlement
from inventory.documents.actions import take_in
from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.facts.write import write
from inventory.store.days.dates import when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.tables import Base
from inventory.store.words.text import clean, fold

__all__ = ["settle"]


def settle(
    session: Session,
    by: str,
    tag: str,
    about: str,
    answer: str,
    *,
    why: str | None = None,
    document: Path | None = None,
    beside: Callable[[Act, int], Sequence[Base]] | None = None,
) -> str:
    """Settle what does not fit on a part. A `document` or picture settles it for good; a bare word stays in view.

    `tag` may be the name of a car, for what does not fit at its positions; that is settled on one of the two parts.
    `beside` makes further rows of the same act, from the act and the part's key.
    Returns the fact's id. Raises `Refused` if nothing of that name is open.
    """
    registry = declared(session)
    part, car = thing_named(session, tag)
    about, answer, why = clean(about).casefold(), clean(answer).casefold(), clean(why or "") or None
    every = contradictions_on(session, part, car)
    known = {one.contradiction.about: one.contradiction for one in every if one.contradiction.open}
    meant = {fold(name) for name in (about, f"{SEAL}{about}", f"{POSITION}{about}", f"{TEST}{about}")}
    about = next((name for name in known if fold(name) in meant), about)
    words = [one.contradiction for one in every if one.contradiction.settled and fold(one.contradiction.about) in meant]
    if about not in known and words:
        raise Refused(
            "nothing-to-settle",
            f"{words[-1].about} of {clean(tag)} is settled: {words[-1].settled}",
            where="about",
            hint=f"to open it again: matchmark fact withdraw {words[-1].facts[-1]} --reason ...",
        )
    checked_settlement(about, answer, why, paper=document is not None)
    if about not in known:
        raise Refused(
            "nothing-to-settle",
            f'Nothing called "{about}" is open on {clean(tag)}',
            where="about",
            hint=f"open there: {', '.join(known)}" if known else "to see what is open: matchmark contradictions",
        )
    if about.startswith(TEST) and known[about].of:
        part = known[about].looks[-1].thing
    elif known[about].of:
        meant_by = known[about].looks[0 if answer in (EARLIER_WRONG, BETWEEN, BOTH) else -1]
        part, about = meant_by.thing, f"{about}, {meant_by.fact}"
    act = registry.begin_act(session, "contradictions settle", by, part)
    when = when_on(None, act.today)
    rows: list[Base] = []
    document_id = None
    if document is not None:
        document_id, rows = take_in(session, act, part, document, shows=about, when=when)
    how = "document" if document_id is not None else "stated"
    columns = {"about": about, "answer": answer, "why": why, "document_id": document_id}
    fact = make_fact(Settlement, act, part, when, how_known=how, **columns)
    write(session, act, [*rows, fact, *(beside(act, part) if beside else ())])
    return fact_id(Settlement, fact.id)
