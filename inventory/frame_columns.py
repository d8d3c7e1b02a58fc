"""The columns of the tables in `inventory.frames`, and how rows become a pandas table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from sqlalchemy import Integer

from inventory.declared import DECLARED
from inventory.facts.views import SHARED
from inventory.parts.load_lines import PartLine

if TYPE_CHECKING:
    from inventory.condition_list.values import Item, Statement

__all__ = ["ITEMS", "PAIRS", "PARTS", "RUNS", "facts_columns", "frame", "item_row"]

TEXT, YES, WHOLE, SHARE = "string", "boolean", "Int64", "Float64"
"""The dtypes of columns of text, yes or no, whole numbers, and shares: pandas dtypes with missing values."""
DAY, MOMENT, MONEY, ANY = "day", "moment", "money", "any"
"""Columns of days, of moments (UTC), of exact amounts, and of lists and dicts."""

_WHEN = {"on": TEXT, "told": TEXT, "earliest": DAY, "latest": DAY}
_SAID = {"recorded": MOMENT, "by": TEXT, "how_known": TEXT}
_MONEY_COLUMNS = ("amount", "cost", "price")
_JSON_COLUMNS = ("readings", "conditions", "extra")


def _texts(names: str) -> dict[str, str]:
    return dict.fromkeys(names.split(), TEXT)


def _when(before: str) -> dict[str, str]:
    return {f"{before}_{name}": sort for name, sort in _WHEN.items()}


PARTS = {each.name: TEXT for each in fields(PartLine) if each.name != "id"} | {"fitted": YES, "extra": ANY}
RUNS = {
    **_texts("id tag car procedure verdict says"),
    "doubtful": YES,
    **_WHEN,
    **dict.fromkeys(("readings", "conditions", "figures"), ANY),
    **_SAID,
}
PAIRS = {**_texts("sensor unit grade"), "p_both_serviceable": SHARE, **_texts("says next_step")}
_IDENTITY = _texts("tag kind maker part_number serial date_code marks match_code match_code_state match_code_read_from")
ITEMS = {
    "number": WHOLE,
    **_IDENTITY,
    **_texts("whose holder where premises car last_seen_how"),
    **_when("last_seen"),
    "condition": WHOLE,
    **_texts("damage missing trend procedure verdict says"),
    "value": MONEY,
    **_texts("currency value_source"),
    **_when("value"),
    "value_is_old": YES,
    "counted": YES,
    **_texts("heading why"),
    "has_picture": YES,
}


def facts_columns() -> dict[str, str]:
    """The columns of the table of facts: those of all facts, then those of each kind; keys are shown as names."""
    shared = {**_texts("id table tag thing about"), **_WHEN, **_SAID, "reason": TEXT}
    own = [column for kind in DECLARED.facts for column in kind.table.__table__.c if column.name not in SHARED]
    return shared | {_shown_as(column.name): _sort(column) for column in own if not column.name.endswith("_digest")}


def _shown_as(name: str) -> str:
    return name.removesuffix("_id")


def _sort(column: Any) -> str:
    if column.name in _MONEY_COLUMNS:
        return MONEY
    if column.name in _JSON_COLUMNS:
        return ANY
    return WHOLE if isinstance(column.type, Integer) and not column.foreign_keys else TEXT


def item_row(item: Item) -> dict[str, object]:
    """One item of a condition list as a row."""
    seen, looks, works, value = item.last_seen, item.condition, item.works, item.value
    return {
        **{name: getattr(item, name) for name in (*_IDENTITY, "number", "whose", "holder", "heading", "why")},
        "where": item.where.says,
        "premises": item.where.premises,
        "car": item.where.car,
        "last_seen_how": seen and seen.how,
        **_told("last_seen", seen.when if seen else None),
        "condition": looks and looks.category,
        **{name: looks and getattr(looks, name) for name in ("damage", "missing", "trend")},
        **{name: works and getattr(works, name) for name in ("procedure", "verdict", "says")},
        "value": value and value.amount,
        "currency": value and value.currency,
        "value_source": value and value.source,
        **_told("value", value.when if value else None),
        "value_is_old": value and value.stale,
        "counted": item.counted_in_total,
        "has_picture": item.has_picture,
    }


def _told(before: str, when: Statement | None) -> dict[str, object]:
    return {f"{before}_{name}": when and getattr(when, name) for name in _WHEN}


def frame(rows: Iterable[Mapping[str, Any]], columns: Mapping[str, str]) -> pd.DataFrame:
    """A pandas table with these columns; a value that a row does not have is missing."""
    kept = list(rows)
    return pd.DataFrame({name: _column([row.get(name) for row in kept], sort) for name, sort in columns.items()})


def _column(values: Sequence[Any], sort: str) -> Any:
    if sort == DAY:
        return np.array(values, dtype="datetime64[s]")
    if sort == MOMENT:
        return pd.to_datetime(pd.Series(values, dtype="object"), utc=True, format="ISO8601")
    if sort == MONEY:
        return pd.Series([None if amount is None else Decimal(amount) for amount in values], dtype="object")
    return pd.Series(values, dtype="object") if sort == ANY else pd.array(values, dtype=sort)
