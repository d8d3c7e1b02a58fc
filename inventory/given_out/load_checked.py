"""Checks, before a paper or a copy leaves, whether the record fits its own journal in what that uses."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.facts.verify import cut_problems
from inventory.given_out.anchors import RecordState
from inventory.given_out.load_anchor import anchor_now
from inventory.people.verify import personal_problems
from inventory.store.bulk import collector_resting
from inventory.store.connection.engine import as_at_one_moment
from inventory.store.connection.refusals import is_undecodable
from inventory.store.verify.cuts import read_cuts
from inventory.store.verify.problems import Problem
from inventory.store.verify.things import chains_fit

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["checked_state", "problems_found"]

_NAMED = 3


def problems_found(session: Session, things: Collection[int] | None = None) -> list[Problem]:
    """What does not fit of these things, those that their facts name, and words removed; None: of all, with names."""
    declared(session)  # every table must be known to be compared
    with collector_resting():
        try:
            found = chains_fit(session, things)
            cuts = [cut for cut in read_cuts(session) if things is None or cut.thing_id in things]
            people = personal_problems(session) if things is None else ()
            return [*found, *cut_problems(session, cuts), *people]
        except OperationalError as problem:
            if not is_undecodable(problem):
                raise
            return [Problem("the record", None, None, None, "the record has a text that cannot be read")]


def checked_state(
    record: Record, what: str, things: Collection[int] | None = None, *, unverified: bool = False
) -> RecordState:
    """How a paper (`what`: "sale sheet") stands to its record; `things`: those that it uses, None: all.

    Raises `Refused` where the record does not fit, unless `unverified`. It reads one committed state of the record,
    also while others write.
    """
    with record.read() as session:
        as_at_one_moment(session)
        problems = problems_found(session, things)
        if not problems:
            return RecordState(anchor_now(session))
    if unverified:
        return RecordState(problems=len(problems))
    first = "; ".join(each.says for each in problems[:_NAMED])
    more = f"; and {len(problems) - _NAMED} more" if len(problems) > _NAMED else ""
    raise Refused(
        "record-does-not-fit",
        f"The record was changed outside the program, so no {what} is written: {first}{more}",
        hint="matchmark verify shows all of it; --unverified writes it all the same, marked on every page",
    )
