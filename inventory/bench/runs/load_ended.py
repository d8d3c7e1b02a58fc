"""Reads the work on units, and their mishaps, which end earlier runs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.ended import Ended, OnTheUnit, ended_by
from inventory.facts.views import FactView
from inventory.mishaps.tables import Mishap
from inventory.parts.tables import Work
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among

__all__ = ["ended"]


def ended(session: Session, runs: Sequence[FactView], when: AsOf = NOW) -> list[Ended | None]:
    """For each run the work or mishap that ended it, in a state of the record, in the order given; two statements."""
    things = {run.thing_id for run in runs}
    done: dict[int, list[OnTheUnit]] = defaultdict(list)
    for model, what in ((Work, Work.what), (Mishap, Mishap.mishap)):
        columns = (model.thing_id, model.id, what, model.so_from, model.earliest, model.latest, model.ranked)
        query = select(*columns).where(among(model.thing_id, things))
        query = query.where(Work.area == "on the unit") if model is Work else query
        for thing, key, *values in session.execute(as_of(query, model, when)):
            done[thing].append(OnTheUnit(fact_id(model, key), *values))
    for each in done.values():
        each.sort(key=lambda fact: (fact.latest, fact.ranked))
    return [ended_by(run, done[run.thing_id]) for run in runs]
