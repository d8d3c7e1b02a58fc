"""Reading bench runs, each with what it proves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.tables import BenchRun
from inventory.parts.history import FactView, facts_of_many
from inventory.parts.tables import Part
from inventory.store.facts import as_of

if TYPE_CHECKING:
    from inventory.bench.verdicts import RunJudgement

__all__ = ["RunView", "judged", "runs_of", "runs_of_many", "undecided"]


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


def runs_of(session: Session, part_id: int, kind: str | None) -> list[RunView]:
    """The runs of one part, oldest first."""
    return runs_of_many(session, {part_id: kind}).get(part_id, [])


def runs_of_many(
    session: Session, kinds: dict[int, str | None], *, day: date | None = None, known_on: date | None = None
) -> dict[int, list[RunView]]:
    """The runs of several parts, by key; `kinds` says of what kind each is."""
    facts = facts_of_many(session, list(kinds), (BenchRun,), day=day, known_on=known_on)
    return {key: judged(runs, kinds[key]) for key, runs in facts.items()}


def undecided(session: Session, latest: int = 60) -> list[tuple[str, RunView]]:
    """Tags and runs that could not tell, newest first: the last run of its procedure on a part still in the house.

    Only the `latest` runs written down are looked at.
    """
    query = as_of(select(BenchRun), BenchRun).join(Part, Part.id == BenchRun.thing_id).where(Part.gone.is_(None))
    rows = session.scalars(query.order_by(None).order_by(BenchRun.recorded.desc()).limit(latest)).all()
    parts = {part.id: part for part in session.scalars(select(Part).where(Part.id.in_({row.thing_id for row in rows})))}
    facts = facts_of_many(session, list(parts), (BenchRun,))
    found = []
    for key, runs in facts.items():
        last = {fact.values["procedure"]: fact for fact in runs}
        found += [(parts[key].tag, run) for run in judged(list(last.values()), parts[key].kind)]
    open_ones = [(tag, run) for tag, run in found if run.judgement.verdict == "undecided"]
    return sorted(open_ones, key=lambda each: each[1].fact.recorded, reverse=True)


def judged(facts: Sequence[FactView], kind: str | None) -> list[RunView]:
    """Runs with what they prove."""
    from inventory.bench.judgements import judge  # units and fits: about 300 ms, needed only where there are runs

    return [
        RunView(
            fact,
            judge(fact.values["procedure"], kind or "", fact.values["readings"], fact.values["conditions"]),
        )
        for fact in facts
    ]
