"""Checks, before a paper leaves, whether the record fits its own journal in what the paper uses."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.facts.verify import cut_problems
from inventory.given_out.anchors import RecordState
from inventory.given_out.load_anchor import anchor_now
from inventory.people.verify import personal_problems
from inventory.store.bulk import collector_resting
from inventory.store.connection.engine import as_at_one_moment
from inventory.store.verify.cuts import read_cuts
from inventory.store.verify.things import chains_fit

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["checked_state"]

_NAMED = 3


def checked_state(
    record: Record, what: str, things: Collection[int] | None = None, *, unverified: bool = False
) -> RecordState:
    """How a paper (`what`: "sale sheet") stands to its record; `things`: those that it uses, None: all.

    Raises `Refused` where the record does not fit, unless `unverified`. What is committed is read, all as at one
    moment, whoever writes meanwhile.
    """
    with record.read() as session, collector_resting():
        declared(session)  # every table must be known to be compared
        as_at_one_moment(session)
        problems = chains_fit(session, things)
        problems += cut_problems(
            session, [cut for cut in read_cuts(session) if things is None or cut.thing_id in things]
        )
        if things is None:
            problems += personal_problems(session)
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
