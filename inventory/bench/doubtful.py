"""The runs that an instrument's calibrations make doubtful."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.instruments import Instruments, bearers, instrument_named
from inventory.bench.queries import RunView, runs_of_many
from inventory.bench.tables import BenchRun
from inventory.parts.tables import Part
from inventory.store.facts import as_of
from inventory.store.text import fold

__all__ = ["DoubtfulRun", "doubtful_runs"]

#: Keys in one question.
_AT_ONCE = 500


@dataclass(frozen=True)
class DoubtfulRun:
    """A run that an instrument's calibration makes doubtful: on which part, and why."""

    tag: str
    run: RunView
    why: str


def doubtful_runs(session: Session, name: str) -> list[DoubtfulRun]:
    """The runs made with an instrument that its calibrations make doubtful, oldest first."""
    key = instrument_named(session, name).id
    names = {folded for folded, each in bearers(session).items() if each == key}
    query = as_of(select(BenchRun.thing_id).where(BenchRun.conditions.like('%"instrument":%')), BenchRun)
    parts = list(dict.fromkeys(session.scalars(query)))
    tags: dict[int, str] = {}
    for start in range(0, len(parts), _AT_ONCE):
        named = select(Part.id, Part.tag).where(Part.id.in_(parts[start : start + _AT_ONCE]))
        tags |= {row.id: row.tag for row in session.execute(named)}
    known = Instruments(session)
    found = []
    for part, runs in runs_of_many(session, parts).items():
        for run in runs:
            used = fold(str(run.fact.values["conditions"].get("instrument") or ""))
            if used in names and (why := known.doubts(key, run.fact.counts_from)):
                found.append(DoubtfulRun(tags.get(part, ""), run, why))
    return sorted(found, key=lambda each: (each.run.fact.counts_from, each.run.fact.ranked))
