"""The one notion of time that all facts share."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, TypeVar

from sqlalchemy import Select, and_, not_, or_
from sqlalchemy.orm import Session

from inventory.store.days.dates import LAST_DAY, When
from inventory.store.days.true_days import Mended, true_days
from inventory.store.many import among
from inventory.store.tables import Base, FactColumns

__all__ = [
    "NOW",
    "Act",
    "AsOf",
    "act_columns",
    "as_of",
    "fact_id",
    "make_fact",
    "split_fact_id",
    "take_place",
    "when_columns",
]

AnySelect = TypeVar("AnySelect", bound=Select[*tuple[Any, ...]])
AnyFact = TypeVar("AnyFact", bound=FactColumns)


@dataclass(frozen=True)
class Act:
    """One thing a person does: what, by whom (contact id), its moment (UTC text) and day in the record's zone, key.

    `things`: the keys of the things it holds, and of those it makes; it writes of no other.
    """

    what: str
    by_id: int
    at: str
    today: date
    key: str
    things: set[int] = field(default_factory=set, compare=False)


def make_fact(
    model: type[AnyFact], act: Act, thing_id: int, when: When, /, *, how_known: str = "seen", **values: object
) -> AnyFact:
    """A fact ready to be written: the shared columns from the act and the time, the rest as given."""
    row: Any = model  # the shared columns alone make no row
    made: AnyFact = row(thing_id=thing_id, how_known=how_known, **act_columns(act), **when_columns(act, when), **values)
    return made


def act_columns(act: Act) -> dict[str, object]:
    """The columns of a fact that are the same for all facts of an act."""
    return {"recorded": act.at, "recorded_on": act.today.isoformat(), "ranked": act.at, "by_id": act.by_id}


def when_columns(act: Act, when: When) -> dict[str, object]:
    """The columns of a fact that say when it was so."""
    latest = when.latest.isoformat()
    return {
        "so_from": when.edtf,
        "told": when.told or None,
        "earliest": when.earliest.isoformat(),
        "latest": latest,
        "counts_from": min(latest, act.today.isoformat()),
    }


def take_place(anew: FactColumns, old: FactColumns) -> None:
    """Give a fact the rank of the one it replaces: correcting an older fact must not make it the latest."""
    anew.ranked = old.ranked
    if anew.so_from == old.so_from:
        anew.counts_from = old.counts_from


@dataclass(frozen=True)
class AsOf:
    """A state of the record: what was so by a day, as known on a day. An empty day is now.

    `limits_now`: it is judged by the workshop's limits of now, not by those that were in force then.

    Make one with `on`: today and any later day are now, so that now is one thing at every door, also where another
    machine's clock is a day ahead and has dated a fact, or its withdrawal, tomorrow. `mended`: what wrong clocks wrote.
    """

    day: date | None = None
    known_on: date | None = None
    limits_now: bool = False
    mended: Mended | None = None

    @classmethod
    def on(cls, day: date | None, known_on: date | None, today: date) -> AsOf:
        """The state on `day` as known on `known_on`; an empty day, today and later days are now."""
        return cls(
            None if day is None or day >= today else day,
            None if known_on is None or known_on >= today else known_on,
        )

    @classmethod
    def known(cls, session: Session, day: date | None, known_on: date | None, today: date) -> AsOf:
        """As `on`, where it is asked what was known: entries of a wrong clock count by their true days, if stated."""
        state = cls.on(day, known_on, today)
        if state.known_on is None:
            return state
        return replace(state, mended=true_days(session).mended(session, state.known_on))

    @property
    def of_any_day(self) -> AsOf:
        """What was known by then, whatever day it is about."""
        return replace(self, day=None)

    @property
    def until(self) -> str:
        """The last ISO day that counts."""
        return (self.day or LAST_DAY).isoformat()

    def sql(self, alias: str) -> str:
        """The condition on a table of facts in SQL text; its parameters are `parameters`."""
        stood = [f"{alias}.counts_from <= :as_of_day"] if self.day is not None else []
        if self.known_on is not None:
            recorded, at = f"{alias}.recorded_on <= :as_known_on", f"{alias}.recorded"
            if self.mended is not None:
                later, sooner = (self.mended.among[name][0] for name in ("later", "sooner"))
                recorded = f"({recorded} AND NOT {at} {later} OR {at} {sooner})"
            stood.append(recorded)
        return " AND ".join([*stood, self.not_ended(alias)])

    def not_ended(self, alias: str) -> str:
        """The part of `sql` by which no other fact has taken the place of one."""
        by = f"{alias}.superseded_by"
        if self.known_on is None:
            return f"{by} IS NULL"
        ended = f"{alias}.superseded_on <= :as_known_on"
        if self.mended is not None:
            later, sooner = (self.mended.among[name][0] for name in ("later_facts", "sooner_facts"))
            ended = f"({ended} AND NOT {by} {later} OR {by} {sooner})"
        return f"({by} IS NULL OR NOT {ended})"

    @property
    def parameters(self) -> dict[str, object]:
        """The parameters that `sql` names."""
        days = {"as_of_day": self.day, "as_known_on": self.known_on}
        found: dict[str, object] = {name: day.isoformat() for name, day in days.items() if day is not None}
        for _, given in self.mended.among.values() if self.mended is not None else ():
            found |= given
        return found


NOW = AsOf()
"""The record as it stands."""


def as_of(select: AnySelect, model: type[FactColumns], when: AsOf = NOW) -> AnySelect:
    """Narrow a selection of facts to those that stood in a state of the record.

    Oldest first: by the day they count from, then by when they, or what they correct, were recorded.
    """
    if when.day is not None:
        select = select.where(model.counts_from <= when.day.isoformat())
    if when.known_on is None:
        select = select.where(model.superseded_by.is_(None))
    else:
        known = when.known_on.isoformat()
        recorded, ended = model.recorded_on <= known, model.superseded_on <= known
        if (mended := when.mended) is not None:
            late, late_end = among(model.recorded, mended.later), among(model.superseded_by, mended.later_facts)
            recorded = or_(and_(recorded, not_(late)), among(model.recorded, mended.sooner))
            ended = or_(and_(ended, not_(late_end)), among(model.superseded_by, mended.sooner_facts))
        select = select.where(recorded, or_(model.superseded_by.is_(None), not_(ended)))
    return select.order_by(model.counts_from, model.ranked, model.id)


def fact_id(model: type[Base] | str, key: int) -> str:
    """The id a fact is shown with: its table and key, "seal_sighting-12"."""
    return f"{model if isinstance(model, str) else model.__tablename__}-{key}"


def split_fact_id(text: str) -> tuple[str, int] | None:
    """Table and key of a fact id, or None where the text has not that form."""
    table, dash, key = text.strip().rpartition("-")
    return (table, int(key)) if dash and table and re.fullmatch(r"[0-9]{1,9}", key) else None
