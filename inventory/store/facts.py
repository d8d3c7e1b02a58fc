"""The one notion of time that all facts share."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from sqlalchemy import Select, or_

from inventory.store.dates import When
from inventory.store.tables import Base, FactColumns

__all__ = ["Act", "as_of", "fact_id", "make_fact", "split_fact_id", "take_place"]

AnySelect = TypeVar("AnySelect", bound=Select[*tuple[Any, ...]])
AnyFact = TypeVar("AnyFact", bound=FactColumns)


@dataclass(frozen=True)
class Act:
    """One thing a person does: what, by whom (contact id), when (UTC text and local day), its key."""

    what: str
    by_id: int
    at: str
    today: date
    key: str


def make_fact(
    model: type[AnyFact], act: Act, thing_id: int, when: When, /, *, how_known: str = "seen", **values: object
) -> AnyFact:
    """A fact ready to be written: the shared columns from the act and the time, the rest as given."""
    today = act.today.isoformat()
    latest = when.latest.isoformat()
    row: Any = model  # the shared columns alone make no row
    made: AnyFact = row(
        thing_id=thing_id,
        so_from=when.edtf,
        told=when.told or None,
        earliest=when.earliest.isoformat(),
        latest=latest,
        counts_from=min(latest, today),
        recorded=act.at,
        recorded_on=today,
        ranked=act.at,
        by_id=act.by_id,
        how_known=how_known,
        **values,
    )
    return made


def take_place(anew: FactColumns, old: FactColumns) -> None:
    """Rank a fact where the one it stands for stood: mending an older fact must not make it the latest."""
    anew.ranked = old.ranked
    if anew.so_from == old.so_from:
        anew.counts_from = old.counts_from


def as_of(
    select: AnySelect, model: type[FactColumns], day: date | None = None, known_on: date | None = None
) -> AnySelect:
    """Narrow a selection of facts to those that stood on `day`, as known on `known_on` (both: now).

    Oldest first: by the day they count from, then by when they, or what they correct, were recorded.
    """
    if day is not None:
        select = select.where(model.counts_from <= day.isoformat())
    if known_on is None:
        select = select.where(model.superseded_by.is_(None))
    else:
        select = select.where(model.recorded_on <= known_on.isoformat()).where(
            or_(model.superseded_by.is_(None), model.superseded_on > known_on.isoformat())
        )
    return select.order_by(model.counts_from, model.ranked, model.id)


def fact_id(model: type[Base] | str, key: int) -> str:
    """The id a fact is shown with: its table and key, "seal_sighting-12"."""
    return f"{model if isinstance(model, str) else model.__tablename__}-{key}"


def split_fact_id(text: str) -> tuple[str, int] | None:
    """Table and key of a fact id, or None where the text has not that form."""
    table, dash, key = text.strip().rpartition("-")
    return (table, int(key)) if dash and table and re.fullmatch(r"[0-9]{1,9}", key) else None
