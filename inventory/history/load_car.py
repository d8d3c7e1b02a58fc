"""Reads the history of a car: what was found, measured, taken off, fitted and done, with the mileage nearest to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import run_views
from inventory.bench.tables import BenchRun
from inventory.cars.queries import car_named
from inventory.cars.tables import Mileage
from inventory.facts.declare import declared
from inventory.facts.order import in_order
from inventory.facts.things import things_named
from inventory.facts.views import FactView, facts_of, facts_of_many, views
from inventory.store.facts import as_of
from inventory.teardown.tables import Fitting, Removal

__all__ = ["CarEntry", "CarHistory", "car_history"]

#: Kinds of facts about a car that describe it and are no event in its history.
_NO_EVENT = ("car_description", "made_by_mistake", "assignment", "job")
#: Kinds of facts about a part that are told with the car while the part was on it.
_ON_THE_CAR = ("work", "mishap")


@dataclass(frozen=True)
class CarEntry:
    """One thing that happened to a car, on a day (EDTF). `tag`: of which part; `mileage`: what its counter showed then.

    `sort`: found, measured, taken off, fitted, done, counter.
    """

    on: str
    told: str | None
    sort: str
    says: str
    tag: str | None
    by: str
    known: str
    fact: str
    mileage: str | None


@dataclass(frozen=True)
class CarHistory:
    """The history of a car, oldest first; `gaps`: what its counter leaves open."""

    car: str
    entries: tuple[CarEntry, ...]
    gaps: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """The JSON of the history."""
        return {"car": self.car, "entries": [asdict(entry) for entry in self.entries], "gaps": list(self.gaps)}


def car_history(session: Session, name: str) -> CarHistory:
    """The history of the car of this name. Raises `UnknownName`."""
    car = car_named(session, name)
    kinds = [kind.table for kind in declared(session).about("car") if kind.name not in _NO_EVENT]
    of_car = facts_of(session, car.id, kinds)
    passages: list[Any] = []
    for model in (Removal, Fitting):
        passages += session.scalars(as_of(select(model).where(model.car_id == car.id), model)).all()
    on_and_off = views(session, in_order(passages))
    of_parts = _while_on(session, on_and_off)
    tags = {key: named.name for key, named in things_named(session).items() if named.kind == "part"}
    runs = {view.fact.id: view for view in run_views(session, [f for f in of_car if f.table == BenchRun.__tablename__])}
    readings = [fact for fact in of_car if fact.table == Mileage.__tablename__]
    entries = []
    for fact in in_order([*of_car, *on_and_off, *of_parts]):
        said = fact.says
        if fact.id in runs:
            said = f"{runs[fact.id].procedure}: {runs[fact.id].judgement.says}"
        entries.append(
            CarEntry(
                on=fact.on,
                told=fact.told,
                sort=_sort(fact),
                says=said,
                tag=tags.get(fact.thing_id),
                by=fact.by,
                known=fact.known,
                fact=fact.id,
                mileage=_nearest(readings, fact),
            )
        )
    return CarHistory(car.name, tuple(entries), _gaps(readings))


def _while_on(session: Session, passages: Sequence[FactView]) -> list[FactView]:
    """Work on parts and mishaps while they were on the car: after a fitting, before the next removal."""
    parts = sorted({fact.thing_id for fact in passages})
    tables = [kind.table for kind in declared(session).about("part") if kind.name in _ON_THE_CAR]
    told = facts_of_many(session, parts, tables)
    return [
        fact
        for part in parts
        for fact in told[part]
        if _on_it([passage for passage in passages if passage.thing_id == part], fact)
    ]


def _on_it(passages: Sequence[FactView], fact: FactView) -> bool:
    before = [each for each in in_order(passages) if each.counts_from <= fact.counts_from]
    return bool(before) and before[-1].table == Fitting.__tablename__


def _sort(fact: FactView) -> str:
    sorts = {
        "bench_run": "measured",
        "mileage": "counter",
        "removal": "taken off",
        "fitting": "fitted",
        "adjuster_found": "found",
        "note": "found",
        "alteration": "done",
        "work": "done",
        "job_done": "done",
        "start_check": "measured",
    }
    return sorts.get(fact.table, "noted")


def _nearest(readings: Sequence[FactView], fact: FactView) -> str | None:
    """The last reading of the counter by that day, with its own day unless it is the same."""
    before = [each for each in readings if each.counts_from <= fact.counts_from]
    if not before or fact.table == Mileage.__tablename__:
        return None
    last = before[-1]
    day = "" if last.on == fact.on else f" on {last.on}"
    return f"{last.values['reading']} {last.values['unit']}{day}"


def _gaps(readings: Sequence[FactView]) -> tuple[str, ...]:
    """Readings of the counter that fell: it was changed, turned back, or went round."""
    found = []
    for one, then in pairwise(readings):
        if one.values["unit"] == then.values["unit"] and then.values["reading"] < one.values["reading"]:
            found.append(
                f"the counter fell from {one.values['reading']} on {one.on} to {then.values['reading']} on {then.on}"
            )
    return tuple(found) if readings else ("no reading of its counter is on record",)
