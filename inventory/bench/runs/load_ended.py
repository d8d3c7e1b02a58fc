"""Reads the work on units that ends their earlier runs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.ended import Ended, OnTheUnit, ended_by
from inventory.facts.views import FactView
from inventory.parts.tables import Work
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among

__all__ = ["ended"]


def ended(session: Session, runs: Sequence[FactView], when: AsOf = NOW) -> list[Ended | None]:
    """For each run the work on the unit that ended it, in a state of the record, in the order given; one statement."""
    columns = (Work.thing_id, Work.id, Work.what, Work.so_from, Work.earliest, Work.latest, Work.ranked)
    query = select(*columns).where(among(Work.thing_id, {run.thing_id for run in runs}), Work.area == "on the unit")
    done: dict[int, list[OnTheUnit]] = defaultdict(list)
    for thing, key, *values in session.execute(as_of(query, Work, when)):
        done[thing].append(OnTheUnit(fact_id(Work, key), *values))
    return [ended_by(run, done[run.thing_id]) for run in runs]
