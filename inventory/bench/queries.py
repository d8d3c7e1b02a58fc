"""Reading bench runs, each with what it proves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.fitted import pair_on
from inventory.bench.instruments.queries import Instruments
from inventory.bench.references import References
from inventory.bench.tables import BenchRun
from inventory.bench.things import CAR, measured_of
from inventory.parts.history import FactView, facts_of_many, views
from inventory.parts.tables import Part
from inventory.store.facts import as_of

if TYPE_CHECKING:
    from inventory.bench.judgements import RunJudgement

__all__ = ["RunView", "judged", "last_run", "runs_by", "runs_of", "runs_of_many", "tried", "undecided"]


@dataclass(frozen=True)
class RunView:
    """One bench run as typed, and what it proves."""

    fact: FactView
    judgement: RunJudgement

    @property
    def procedure(self) -> str:
        """The procedure that was applied."""
        return str(self.fact.values["procedure"])

    def as_dict(self) -> dict[str, Any]:
        """The object that stands in JSON lists of runs."""
        return {"run": self.fact.id, **self.fact.as_dict(), **self.judgement.as_dict()}


def runs_of(session: Session, part_id: int) -> list[RunView]:
    """The runs of one part or car, oldest first."""
    return runs_of_many(session, [part_id]).get(part_id, [])


def last_run(session: Session, part: Part, procedure: str) -> RunView | None:
    """The last run of a procedure on a part; refused where that procedure says nothing about its kind."""
    from inventory.bench.judgements import procedure_for

    name = procedure_for(procedure, part.kind or "other").name
    facts = [
        fact
        for fact in facts_of_many(session, [part.id], (BenchRun,)).get(part.id, [])
        if fact.values["procedure"] == name
    ]
    return judged(session, facts[-1:])[0] if facts else None


def runs_of_many(
    session: Session, keys: Sequence[int], *, day: date | None = None, known_on: date | None = None
) -> dict[int, list[RunView]]:
    """The runs of several parts, by key, oldest first."""
    facts = facts_of_many(session, list(keys), (BenchRun,), day=day, known_on=known_on)
    runs = iter(judged(session, [run for several in facts.values() for run in several], day=day, known_on=known_on))
    return {key: [next(runs) for _ in several] for key, several in facts.items()}


def runs_by(session: Session, procedure: str) -> list[RunView]:
    """All runs of one procedure, on whatever they were made, oldest first."""
    rows = session.scalars(as_of(select(BenchRun).where(BenchRun.procedure == procedure), BenchRun)).all()
    return judged(session, views(session, rows))


def undecided(session: Session, latest: int = 60) -> list[tuple[str, RunView]]:
    """Tags and runs that could not tell, newest first: the last run of its procedure on a part still in the house.

    Only the `latest` runs written down are looked at.
    """
    query = as_of(select(BenchRun), BenchRun).join(Part, Part.id == BenchRun.thing_id).where(Part.gone.is_(None))
    rows = session.scalars(query.order_by(None).order_by(BenchRun.recorded.desc()).limit(latest)).all()
    keys = {row.thing_id for row in rows}
    tags = {row.id: row.tag for row in session.execute(select(Part.id, Part.tag).where(Part.id.in_(keys)))}
    last = {
        (key, fact.values["procedure"]): fact
        for key, runs in facts_of_many(session, list(tags), (BenchRun,)).items()
        for fact in runs
    }
    open_ones = [run for run in judged(session, list(last.values())) if run.judgement.verdict == "undecided"]
    newest_first = sorted(open_ones, key=lambda run: run.fact.recorded, reverse=True)
    return [(tags[run.fact.thing_id], run) for run in newest_first]


def tried(
    session: Session, thing_id: int, procedure: str, readings: Sequence[str], conditions: Mapping[str, object], day: str
) -> RunJudgement:
    """What a run would prove if it were written down as it stands now; nothing is written."""
    values = {"procedure": procedure, "readings": list(readings), "conditions": dict(conditions)}
    fact = FactView(
        id="",
        table=BenchRun.__tablename__,
        thing_id=thing_id,
        on=day,
        told=None,
        earliest=day,
        latest=day,
        counts_from=day,
        recorded="",
        ranked="",
        recorded_on=day,
        by="",
        how_known="measured",
        reason=None,
        superseded_by=None,
        superseded_on=None,
        values=values,
    )
    return judged(session, [fact])[0].judgement


def judged(
    session: Session, facts: Sequence[FactView], *, day: date | None = None, known_on: date | None = None
) -> list[RunView]:
    """Runs with what they prove, in the order given; a reference is read as it stood on `day`, known on `known_on`."""
    if not facts:
        return []
    from inventory.bench.judgements import Known, judge  # units and fits: about 300 ms, only where there are runs

    things = measured_of(session, list({fact.thing_id for fact in facts}))
    references = References(session, day, known_on)
    instruments = Instruments(session, day, known_on)
    runs = []
    for fact in facts:
        thing, values = things[fact.thing_id], fact.values
        pair = pair_on(session, thing.id, fact.counts_from, known_on=known_on) if thing.kind == CAR else None
        known = Known(thing.part_number, fact.on, references.of(fact), pair, instruments.of(fact))
        found = judge(values["procedure"], thing.kind, values["readings"], values["conditions"], known)
        runs.append(RunView(fact, found))
    return runs
