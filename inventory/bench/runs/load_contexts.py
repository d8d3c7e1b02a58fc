"""Builds the contexts in which runs are judged, for many runs at once, in about a dozen statements.

Only this module builds a `RunContext` for a run on record, so history, card, list, pairs and evidence always agree.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.instruments.queries import Instruments
from inventory.bench.load_things import CAR, MeasuredThing, measured_things
from inventory.bench.runs.load_installed_pair import pairs_on
from inventory.bench.runs.load_references import References
from inventory.bench.tables import BenchRun
from inventory.bench.typed_run import RunContext, RunFact
from inventory.reference.data import reference_of
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among

__all__ = ["UnsavedRun", "contexts"]


@dataclass(frozen=True)
class UnsavedRun:
    """A run that is not on record yet."""

    thing_id: int
    on: str
    counts_from: str
    values: Mapping[str, Any]
    id: str = ""


def contexts(
    session: Session,
    runs: Sequence[RunFact],
    when: AsOf = NOW,
    *,
    with_references: bool = True,
    things: Mapping[int, MeasuredThing] | None = None,
) -> list[RunContext]:
    """The context of each run in a state of the record, in the order given.

    Whether a reference can be trusted is judged with contexts made here too, without references. `things`: measured
    parts, by key, that are not on record yet.
    """
    given = things or {}
    things = {**measured_things(session, {run.thing_id for run in runs} - given.keys(), when), **given}
    instruments = Instruments(session, when)
    references = References(session, runs, when, instruments, contexts) if with_references else None
    on_cars = {(run.thing_id, run.counts_from) for run in runs if things[run.thing_id].kind == CAR}
    pairs = pairs_on(session, on_cars, when)
    rigs = _same_rigs(session, runs, when)
    data = reference_of(session)
    return [
        RunContext(
            kind=things[run.thing_id].kind,
            data=data,
            part_number=things[run.thing_id].part_number,
            day=run.on,
            reference=references.of(run) if references is not None else None,
            pair=pairs.get((run.thing_id, run.counts_from)),
            instrument=instruments.of(run),
            same_rig=tuple(fact for fact in rigs.get(_rig(run), ()) if fact != run.id),
        )
        for run in runs
    ]


def _rig(run: RunFact) -> tuple[str, str]:
    """The folded name of the rig of a run (empty if none), and the day of the run."""
    name = str(run.values["conditions"].get("rig") or "")
    return " ".join(name.casefold().split()), run.counts_from


def _same_rigs(session: Session, runs: Sequence[RunFact], when: AsOf) -> dict[tuple[str, str], list[str]]:
    """The ids of all runs that share rig and day with one of the given runs, by rig and day."""
    wanted = {_rig(run) for run in runs if _rig(run)[0]}
    if not wanted:
        return {}
    columns = (BenchRun.id, BenchRun.thing_id, BenchRun.so_from, BenchRun.counts_from, BenchRun.conditions)
    days = among(BenchRun.counts_from, sorted({day for _, day in wanted}))
    query = as_of(select(*columns).where(days, BenchRun.conditions.like('%"rig":%')), BenchRun, when)
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for key, thing, on, counts_from, conditions in session.execute(query):
        each = UnsavedRun(thing, on, counts_from, {"conditions": json.loads(conditions)}, fact_id(BenchRun, key))
        if _rig(each) in wanted:
            found[_rig(each)].append(each.id)
    return found
