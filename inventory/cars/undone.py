"""Positions about which nothing stands any more, because what made them was taken back. SQL text, pure."""

from __future__ import annotations

__all__ = ["ABOUT", "UNDONE"]

#: The tables of facts about positions, or that point to one, each with the column that has its key.
ABOUT = (
    ("position_listing", "thing_id"),
    ("stay", "thing_id"),
    ("removal", "position_id"),
    ("fitting", "position_id"),
    ("assignment", "position_id"),
    ("alteration", "position_id"),
    ("job", "before_id"),
    ("job", "after_id"),
)


def _any(condition: str) -> str:
    return " UNION ".join(
        f"SELECT {column} FROM {table} WHERE {column} IS NOT NULL{condition}"  # noqa: S608 - put together from above
        for table, column in ABOUT
    )


#: That something was said of `position`, and nothing of it stands. A position that only has a name is none of them.
UNDONE = f"position.id IN ({_any('')}) AND position.id NOT IN ({_any(' AND superseded_by IS NULL')})"
