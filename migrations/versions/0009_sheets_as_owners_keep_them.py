"""Sheets as owners keep them: remembered answers, what was read when, numbers of one's own, cells that were not read.

Revision: 0009, after 0008. The column is empty in rows that were there. The way down drops it and the tables; the
journal still knows what stood in them, so the way up again brings it back from there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

#: Columns added to tables that were there.
COLUMNS = {"sheet_mapping": (("mends", sa.Text()),)}


def _tables() -> dict[str, tuple[sa.Column, ...]]:
    """The new tables, with the columns of their own."""

    def needed(name: str) -> sa.Column:
        return sa.Column(name, sa.Text(), nullable=False)

    def whole(name: str) -> sa.Column:
        return sa.Column(name, sa.Integer(), nullable=False)

    return {
        "own_number": (needed("number"), sa.Column("given_in", sa.Text())),
        "unread_cell": (needed("header"), sa.Column("for_column", sa.Text()), needed("text")),
        "sheet_reading": (
            needed("file_name"),
            needed("tab"),
            needed("headers"),
            whole("rows"),
            needed("parts"),
            whole("to_mend"),
            sa.Column("rejects", sa.Text()),
        ),
    }


def upgrade() -> None:
    for table, columns in COLUMNS.items():
        for name, held in columns:
            op.add_column(table, sa.Column(name, held))
        _bring_columns_back(table, tuple(name for name, _ in columns))
    for table, columns in _tables().items():
        _fact_table(table, *columns)
        _bring_back(table)


def downgrade() -> None:
    for table in reversed(_tables()):
        op.drop_table(table)
    for table, columns in COLUMNS.items():
        for name, _ in columns:
            op.drop_column(table, name)


def _fact_table(name: str, *columns: sa.Column) -> None:
    """A table with the columns that all facts shared when this revision was written."""
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        *columns,
        sa.Column("thing_id", sa.Integer(), sa.ForeignKey("thing.id"), nullable=False),
        sa.Column("so_from", sa.Text(), nullable=False),
        sa.Column("so_to", sa.Text()),
        sa.Column("told", sa.Text()),
        sa.Column("earliest", sa.String(10), nullable=False),
        sa.Column("latest", sa.String(10), nullable=False),
        sa.Column("counts_from", sa.String(10), nullable=False),
        sa.Column("recorded", sa.String(27), nullable=False),
        sa.Column("recorded_on", sa.String(10), nullable=False),
        sa.Column("ranked", sa.String(27), nullable=False),
        sa.Column("by_id", sa.Integer(), sa.ForeignKey("thing.id"), nullable=False),
        sa.Column("how_known", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text()),
        sa.Column("superseded_by", sa.Text()),
        sa.Column("superseded_on", sa.String(10)),
    )
    op.create_index(None, name, ["thing_id"])


def _entries(name: str) -> Iterator[tuple[int, str, int, int | None, Any]]:
    """The entries of the journal that speak of a table, thing by thing, oldest first."""
    entries = sa.text(
        "SELECT thing_id, at, who_id, form, images FROM journal WHERE images LIKE :named ORDER BY thing_id, sequence"
    )
    for thing_id, at, who_id, form, images in op.get_bind().execute(entries, {"named": f'%"{name}"%'}).all():
        yield thing_id, at, who_id, form, json.loads(images)


def _bring_columns_back(table: str, names: tuple[str, ...]) -> None:
    """What a way down has dropped from the columns of a table. A row in an entry of form 1 stands there whole."""
    rows: dict[int, dict[str, Any]] = {}
    for _, _, _, form, said in _entries(table):
        whole = said if form is None else said.get("made", ())
        for name, key, image in whole:
            if name == table:
                rows[key] = {column: image.get(column) for column in names}
        for name, key, image in said.get("changed", ()) if form is not None else ():
            if name == table:
                rows.setdefault(key, {}).update({column: image[column] for column in names if column in image})
    target = sa.table(table, sa.column("id"), *(sa.column(name) for name in names))
    for key, row in rows.items():
        if any(value is not None for value in row.values()):
            op.get_bind().execute(sa.update(target).where(target.c.id == key).values(row))


def _bring_back(name: str) -> None:
    """The facts of a table that a way down has dropped, from what the entries of the journal say of them."""
    bind = op.get_bind()
    rows: dict[int, dict[str, Any]] = {}
    for thing_id, at, who_id, form, said in _entries(name):
        if form is None:
            continue
        for table, key, image in said.get("made", ()):
            if table == name:
                rows[key] = _whole(image, key, thing_id, at, who_id, said["day"])
        for table, key, image in said.get("changed", ()):
            if table == name and key in rows:
                rows[key].update(image)
    for row in rows.values():
        bind.execute(sa.insert(sa.table(name, *(sa.column(column) for column in row))).values(row))
    if rows and bind.dialect.name == "postgresql":
        bind.execute(sa.text(f"SELECT setval(pg_get_serial_sequence('{name}', 'id'), :last)"), {"last": max(rows)})


def _whole(image: dict[str, Any], key: int, thing_id: int, at: str, who_id: int, day: str) -> dict[str, Any]:
    """A fact with what its image leaves out, as entries of form 2 were written when this revision was."""
    so_from = image.get("so_from", day)
    latest, recorded_on = image.get("latest", so_from), image.get("recorded_on", day)
    left_out = {
        "id": key,
        "thing_id": thing_id,
        "by_id": who_id,
        "recorded": at,
        "recorded_on": day,
        "ranked": image.get("recorded", at),
        "so_from": day,
        "earliest": so_from,
        "latest": so_from,
        "counts_from": min(latest, recorded_on),
    }
    return left_out | image
