"""Reads the runs of a part and computes their trends."""

from __future__ import annotations

from datetime import date

from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, runs_of
from inventory.bench.runs.trend.judgement import SeriesTrend, TrendRun, trend_of, values_of
from inventory.facts.views import facts_of
from inventory.parts.tables import Work

__all__ = ["trends_of"]


def trends_of(session: Session, thing_id: int, procedure: str = "", reading: str = "") -> list[SeriesTrend]:
    """The trend of each reading of each procedure on a part or a car, or only of those named."""
    runs = [_measured(run) for run in runs_of(session, thing_id) if run.procedure == procedure or not procedure]
    worked = facts_of(session, thing_id, (Work,))
    on_the_unit = [date.fromisoformat(fact.latest) for fact in worked if fact.values["area"] == "on the unit"]
    since = max(on_the_unit, default=None)
    found = []
    for name in dict.fromkeys(run.procedure for run in runs):
        same = [run for run in runs if run.procedure == name]
        readings = dict.fromkeys(each for run in same for each in values_of(run))
        found += [trend_of(name, each, same, since) for each in readings if each == reading or not reading]
    return found


def _measured(run: RunView) -> TrendRun:
    fact = run.fact
    return TrendRun(
        run=fact.id,
        procedure=run.procedure,
        earliest=date.fromisoformat(fact.earliest),
        latest=date.fromisoformat(fact.latest),
        conditions=fact.values["conditions"],
        figures=run.judgement.figures,
        doubtful=run.judgement.doubtful,
    )
