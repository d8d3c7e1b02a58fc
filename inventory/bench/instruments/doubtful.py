"""The runs that an instrument's calibrations make doubtful."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.instruments.queries import Instruments, bearers, instrument_named
from inventory.bench.tables import BenchRun
from inventory.bench.things import measured_of
from inventory.facts.views import FactView, facts_of_many
from inventory.store.facts import as_of
from inventory.store.text import fold

__all__ = ["DoubtfulRun", "doubtful_runs"]


@dataclass(frozen=True)
class DoubtfulRun:
    """A run that an instrument's calibration makes doubtful: on which part or car (its tag or name), and why."""

    tag: str
    run: FactView
    why: str

    def as_dict(self) -> dict[str, str]:
        """The object that stands in JSON."""
        procedure = str(self.run.values["procedure"])
        return {"tag": self.tag, "run": self.run.id, "on": self.run.on, "procedure": procedure, "why": self.why}


def doubtful_runs(session: Session, name: str) -> list[DoubtfulRun]:
    """The runs made with an instrument that its calibrations make doubtful, oldest first."""
    key = instrument_named(session, name).id
    names = {folded for folded, each in bearers(session).items() if each == key}
    query = as_of(select(BenchRun.thing_id).where(BenchRun.conditions.like('%"instrument":%')), BenchRun)
    parts = list(dict.fromkeys(session.scalars(query)))
    shown = {key: thing.shown for key, thing in measured_of(session, parts).items()}
    known = Instruments(session)
    found = []
    for part, runs in facts_of_many(session, parts, (BenchRun,)).items():
        for run in runs:
            used = fold(str(run.values["conditions"].get("instrument") or ""))
            if used in names and (why := known.doubts(key, run.counts_from)):
                found.append(DoubtfulRun(shown.get(part, ""), run, why))
    return sorted(found, key=lambda each: (each.run.counts_from, each.run.ranked))
