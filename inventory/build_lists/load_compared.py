"""Reads what a car's list is compared with: the parts on it and off it, their tests, and its last strip-down."""

from __future__ import annotations

from collections import defaultdict

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, runs_of_many
from inventory.build_lists.compare import Compared, PartThere, compare
from inventory.cars.queries import positions
from inventory.pairing.queries import fits_on_record
from inventory.parts.tables import Part
from inventory.store.facts import as_of
from inventory.teardown.queries import open_strip_downs
from inventory.teardown.tables import Stay, StripDown

__all__ = ["compared"]


def compared(session: Session, car_id: int) -> tuple[Compared, ...]:
    """The positions of a car in the order of its list, each beside what is there."""
    query = select(Part).where(Part.car_id == car_id, Part.position_id.is_not(None)).order_by(Part.id)
    parts = session.scalars(query).all()
    runs = runs_of_many(session, [part.id for part in parts])
    there = defaultdict(list)
    for part in parts:
        failed = _failed(runs.get(part.id, ()))
        there[part.position_id].append(
            PartThere(part.tag, part.kind, part.part_number, part.fitted == "yes", part.gone, failed)
        )
    begun = list(session.scalars(as_of(select(StripDown.id).where(StripDown.thing_id == car_id), StripDown)))
    still_open = any(each.car_id == car_id for each in open_strip_downs(session))
    query_stays = select(Stay).where(Stay.strip_down_id == begun[-1]) if begun else None
    kept = session.scalars(as_of(query_stays, Stay)) if query_stays is not None else ()
    stays = {row.thing_id: row.why for row in kept}
    family = fits_on_record(session).family_of
    return tuple(
        compare(
            view,
            there[view.id],
            strip_down="open" if still_open else "closed" if begun else "",
            stays=stays.get(view.id, ""),
            family=family,
        )
        for view in positions(session, car_id)
    )


def _failed(runs: list[RunView] | tuple[RunView, ...]) -> tuple[str, ...]:
    """The procedures whose last run that still counts was failed."""
    last = {run.procedure: run for run in runs if run.ended is None and not run.of_rig_alone}
    return tuple(name for name, run in last.items() if run.judgement.verdict == "fail")
