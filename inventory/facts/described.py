"""Things whose row is the last word of what was written of them: cars, places, people, instruments."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import Told
from inventory.store.many import among
from inventory.store.text import fold, short_enough

__all__ = ["last_words", "name_of_its_own", "only_descriptions"]


def last_words(*columns: str) -> Callable[[Mapping[str, Sequence[Any]]], dict[str, Any]]:
    """The row of a thing of which only descriptions are written: of each column the last word."""

    def now(facts: Mapping[str, Sequence[Any]]) -> dict[str, Any]:
        row = dict.fromkeys(columns)
        for fact in facts.get("told", ()):
            row.update({name: value for name in columns if (value := getattr(fact, name)) is not None})
        return {**row, "name_folded": fold(row["name"] or "")} if "name" in row else row

    return now


def name_of_its_own(session: Session, model: Any, what: str, told: Told) -> str:
    """The name in a description, cleaned; refused where there is none or another thing of the kind bears it."""
    name = short_enough(f"name of the {what}", told.columns["name"] or "")
    if not fold(name):
        raise Refused(f"{what}-without-name", f"A {what} needs a name")
    taken = select(model.name).where(model.name_folded == fold(name), model.id != told.thing_id)
    if (known := session.scalar(taken)) is not None:
        raise Refused(f"{what}-known", f'There is already a {what} "{known}"')
    return name


def only_descriptions(model: Any) -> Callable[[Session, Sequence[Any]], set[int]]:
    """Of descriptions in a table the keys of those that are the last one of their thing: they stay."""

    def stays(session: Session, rows: Sequence[Any]) -> set[int]:
        columns = model.__table__.c
        counted = (
            select(columns.thing_id, func.count())
            .where(among(columns.thing_id, {row.thing_id for row in rows}), columns.superseded_by.is_(None))
            .group_by(columns.thing_id)
        )
        many: dict[int, int] = dict(session.connection().execute(counted).all())
        return {row.id for row in rows if many[row.thing_id] < 2}

    return stays
