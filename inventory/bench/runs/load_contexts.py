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
from inventory.bench.quantities.clock import clock_minutes
from inventory.bench.runs.load_installed_pair import pairs_on
from inventory.bench.runs.load_references import References
from inventory.bench.tables import BenchRun
from inventory.bench.typed_run import InstrumentUsed, RigDay, RigRun, RunContext, RunFact
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
    rigs = _Rigs(session, runs, when, instruments)
    data = reference_of(session, when)
    return [
        RunContext(
            kind=things[run.thing_id].kind,
            data=data,
            part_number=things[run.thing_id].part_number,
            reference=references.of(run) if references is not None else None,
            pair=pairs.get((run.thing_id, run.counts_from)),
            instrument=instruments.of(run),
            same_rig=rigs.around(run),
        )
        for run in runs
    ]


class _Rigs:
    """The runs of each rig and day that one of the given runs names, in the order in which they were made.

    Clock times order them; a run without one stands where it was recorded.
    """

    def __init__(self, session: Session, runs: Sequence[RunFact], when: AsOf, instruments: Instruments) -> None:
        self._data, self._instruments = reference_of(session, when), instruments
        self._made: dict[str, RigRun] = {}
        wanted = {rig for run in runs if (rig := _rig(run)) is not None}
        self._found: dict[tuple[str, str], list[UnsavedRun]] = defaultdict(list)
        if not wanted:
            return
        columns = (
            *(BenchRun.id, BenchRun.thing_id, BenchRun.so_from, BenchRun.counts_from),
            *(BenchRun.procedure, BenchRun.readings, BenchRun.conditions),
        )
        days = among(BenchRun.counts_from, sorted({day for _, day in wanted}))
        query = as_of(select(*columns).where(days, BenchRun.conditions.like('%"rig":%')), BenchRun, when)
        for key, thing, on, counts_from, procedure, readings, conditions in session.execute(query):
            typed = {"procedure": procedure, "readings": json.loads(readings), "conditions": json.loads(conditions)}
            each = UnsavedRun(thing, on, counts_from, typed, fact_id(BenchRun, key))
            if (rig := _rig(each)) in wanted and rig is not None:
                self._found[rig].append(each)

    def around(self, run: RunFact) -> RigDay:
        """The other runs on the rig of a run, before and after it."""
        if (rig := _rig(run)) is None:
            return RigDay()
        here: list[RunFact] = [*self._found.get(rig, ())]
        if all(each.id != run.id for each in here):
            here.append(run)
        ordered = _in_order(here)
        place = next(place for place, each in enumerate(ordered) if each.id == run.id)
        before, after = (tuple(map(self._rig_run, part)) for part in (ordered[:place], ordered[place + 1 :]))
        return RigDay(run.thing_id, before, after)

    def _rig_run(self, run: RunFact) -> RigRun:
        if run.id not in self._made:
            values, used = run.values, self._instruments.of(run)
            conditions = values["conditions"] if used is None else self._completed(values, used)
            typed = values["procedure"], tuple(values["readings"])
            self._made[run.id] = RigRun(run.id, run.thing_id, *typed, conditions, used)
        return self._made[run.id]

    def _completed(self, values: Mapping[str, Any], used: InstrumentUsed) -> Mapping[str, object]:
        from inventory.bench.instruments.instrument_defaults import instrument_defaults
        from inventory.bench.judgements import allowed_conditions  # units: only where a rig's run names an instrument

        done = self._data.procedure(values["procedure"])
        return instrument_defaults(
            values["conditions"], allowed_conditions(done), values["readings"], used, done.method
        )


def _rig(run: RunFact) -> tuple[str, str] | None:
    """The folded name of the rig of a run, and its day; None without a name, or if the day is vague."""
    name = " ".join(str(run.values["conditions"].get("rig") or "").casefold().split())
    return (name, run.counts_from) if name and run.on == run.counts_from else None


def _in_order(runs: Sequence[RunFact]) -> list[RunFact]:
    """Runs of one day by clock; `runs` is in the order of recording, which decides where there is no clock time."""
    clocks: list[int] = []
    for run in runs:
        clock = clock_minutes(str(run.values["conditions"].get("clock") or ""))
        clocks.append(clock if clock is not None else clocks[-1] if clocks else -1)
    return [run for _, run in sorted(zip(clocks, runs, strict=True), key=lambda each: each[0])]
