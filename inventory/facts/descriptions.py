"""Things whose row has the latest values of their descriptions: cars, places, people, instruments."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactDraft
from inventory.store.many import among
from inventory.store.words.text import fold, short_enough

__all__ = ["latest_values", "only_description", "unique_name"]


def latest_values(*columns: str) -> Callable[[Mapping[str, Sequence[Any]], Mapping[str, Any]], dict[str, Any]]:
    """Make a `ThingKind.compute_row` function: the latest value of each column in the descriptions."""

    def now(facts: Mapping[str, Sequence[Any]], _held: Mapping[str, Any]) -> dict[str, Any]:
        row = dict.fromkeys(columns)
        for fact in facts.get("descriptions", ()):
            row.update({name: value for name in columns if (value := getattr(fact, name)) is not None})
        return {**row, "name_folded": fold(row["name"] or "")} if "name" in row else row

    return now


def unique_name(session: Session, model: Any, what: str, draft: FactDraft) -> str:
    """The cleaned name in a description. Raises `Refused` if it is empty or another thing of the kind has it."""
    name = short_enough(f"name of the {what}", draft.columns["name"] or "")
    if not fold(name):
        raise Refused(f"{what}-without-name", f"A {what} needs a name")
    taken = select(model.name).where(model.name_folded == fold(name), model.id != draft.thing_id)
    if (known := session.scalar(taken)) is not None:
        raise Refused(f"{what}-known", f'There is already a {what} "{known}"')
    return name


def only_description(model: Any) -> Callable[[Session, Sequence[Any]], set[int]]:
    """Make a `FactKind.only_names` function: the keys of rows that are the only description of their thing."""

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
