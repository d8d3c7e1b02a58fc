"""Reads bench runs with their judgements."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.load_things import measured_thing
from inventory.bench.runs.ended import Ended, verdict_in_words
from inventory.bench.runs.load_contexts import UnsavedRun, contexts
from inventory.bench.runs.load_ended import ended
from inventory.bench.tables import BenchRun
from inventory.bench.typed_run import RunContext, TypedRun
from inventory.facts.how_known import TOLD, told_by
from inventory.facts.views import FactView, facts_of_many, views
from inventory.parts.tables import Part
from inventory.reference.data import reference_of
from inventory.store.days.dates import when_on
from inventory.store.days.zone import today_in
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among

if TYPE_CHECKING:
    from inventory.bench.one_prefix_up import OneUp
    from inventory.bench.verdicts import RunJudgement

__all__ = ["RunView", "last_run", "run_views", "runs_by", "runs_of", "runs_of_many", "undecided", "units_in_doubt"]


@dataclass(frozen=True)
class RunView:
    """One bench run as typed, with its context. It is judged when `judgement` is first used.

    `ended`: the work on the unit since, after which it no longer counts. Of the runs read with it, those that say the
    same in the same context share a judgement (`judged`).
    """

    fact: FactView
    context: RunContext
    ended: Ended | None = None
    judged: dict[Hashable, RunJudgement] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def judgement(self) -> RunJudgement:
        """What the run proves."""
        from inventory.bench.judgements import judge  # units and fits: about 300 ms, only where there are runs

        at = self.context
        outside = repr((at.reference, at.pair, at.instrument))
        key = (repr(self.fact.values), at.kind, at.part_number, at.same_rig.facts, outside)
        if key not in self.judged:
            self.judged[key] = judge(TypedRun.of(self.fact.values), at)
        return self.judged[key]

    @property
    def of_rig_alone(self) -> bool:
        """Whether it is a blank by itself, which says nothing of the part."""
        return not self.fact.values["readings"]

    @property
    def procedure(self) -> str:
        """The procedure that was applied."""
        return str(self.fact.values["procedure"])

    @property
    def as_said(self) -> str:
        """What it proves; of a run that only a sheet or passport tells, with where it is written."""
        return f"{told_by(self.fact.how_known)}, {self.says} ({self.fact.source})" if self.is_told else self.says

    @property
    def is_told(self) -> bool:
        """Whether only a sheet that names nobody, or another workshop's passport, tells of it."""
        return self.fact.how_known in TOLD

    def as_dict(self) -> dict[str, Any]:
        """The object that stands in JSON lists of runs."""
        judged = {**self.judgement.as_dict(), "limits": self.context.data.limits_as_dict()}
        return {"run": self.fact.id, **self.fact.as_dict(), **judged, **self.staleness()}

    def staleness(self) -> dict[str, Any]:
        """The keys beside a verdict in JSON: whether the run no longer counts, and the fact of what ended it."""
        return {"stale": self.ended is not None, "stale_by": self.ended.fact if self.ended else None}

    @property
    def says(self) -> str:
        """The verdict, what ended it, and its sentence."""
        return f"{verdict_in_words(self.judgement.verdict, self.ended)}. {self.judgement.says_why}"


def run_views(session: Session, facts: Sequence[FactView], when: AsOf = NOW) -> list[RunView]:
    """Views of runs, in the order given, judged by what was known in a state of the record."""
    if not facts:
        return []
    judged: dict[Hashable, RunJudgement] = {}
    every = zip(facts, contexts(session, facts, when), ended(session, facts, when), strict=True)
    return [RunView(*each, judged) for each in every]


def runs_of(session: Session, thing_id: int, when: AsOf = NOW) -> list[RunView]:
    """The runs of one part or car, oldest first, in a state of the record."""
    return runs_of_many(session, [thing_id], when).get(thing_id, [])


def runs_of_many(session: Session, keys: Sequence[int], when: AsOf = NOW) -> dict[int, list[RunView]]:
    """The runs of several parts, by key, oldest first, in a state of the record."""
    facts = facts_of_many(session, keys, (BenchRun,), when)
    runs = iter(run_views(session, [run for several in facts.values() for run in several], when))
    return {key: [next(runs) for _ in several] for key, several in facts.items()}


def last_run(session: Session, part: Part, procedure: str) -> RunView | None:
    """The last run of a procedure on a part. Raises `Refused` if the procedure does not apply to its kind."""
    from inventory.bench.judgements import procedure_for

    name = procedure_for(reference_of(session), procedure, part.kind or "other").name
    runs = [run for run in runs_of(session, part.id) if run.procedure == name]
    return runs[-1] if runs else None


def runs_by(session: Session, procedure: str, when: AsOf = NOW) -> list[RunView]:
    """All runs of one procedure on any part or car, oldest first, in a state of the record."""
    rows = session.scalars(as_of(select(BenchRun).where(BenchRun.procedure == procedure), BenchRun, when)).all()
    return run_views(session, views(session, rows), when)


def units_in_doubt(
    session: Session,
    tag: str,
    procedure: str,
    readings: Sequence[str],
    conditions: Mapping[str, Any],
    on: str | None = None,
) -> tuple[OneUp, ...]:
    """The readings of a run that is not written yet whose missing unit is to be asked about."""
    from inventory.bench.one_prefix_up import one_prefix_up

    thing, today = measured_thing(session, tag), today_in(session)
    when = when_on(on, today)
    values = {"procedure": procedure, "readings": list(readings), "conditions": dict(conditions)}
    unsaved = UnsavedRun(thing.id, when.edtf, min(when.latest, today).isoformat(), values)
    (context,) = contexts(session, [unsaved], with_references=False)
    return one_prefix_up(TypedRun.of(values), context)


def undecided(session: Session, latest: int = 60) -> list[tuple[str, RunView]]:
    """Tags and undecided runs, newest first: the last run of each procedure on a part still in the house.

    A run that no longer counts needs no deciding. Only the `latest` recorded runs are considered.
    """
    query = as_of(select(BenchRun), BenchRun).join(Part, Part.id == BenchRun.thing_id).where(Part.gone.is_(None))
    rows = session.scalars(query.order_by(None).order_by(BenchRun.id.desc()).limit(latest)).all()
    keys = {row.thing_id for row in rows}
    tags = dict(session.execute(select(Part.id, Part.tag).where(among(Part.id, keys))).all())
    last = {
        (key, run.procedure): run
        for key, runs in runs_of_many(session, list(tags)).items()
        for run in runs
        if not run.of_rig_alone
    }
    open_ones = [run for run in last.values() if run.judgement.verdict == "undecided" and run.ended is None]
    newest = {fact_id(BenchRun, row.id): place for place, row in enumerate(rows)}
    newest_first = sorted(open_ones, key=lambda run: newest.get(run.fact.id, len(newest)))
    return [(tags[run.fact.thing_id], run) for run in newest_first]
