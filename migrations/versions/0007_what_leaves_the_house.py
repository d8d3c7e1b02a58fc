"""What leaves the house: values, papers, counts, history; further columns, and tables of new kinds of facts.

Revision: 0007, after 0006. The columns are empty in rows that were there. The way down drops columns and tables; the
journal still knows what stood in them, so the way up again brings it back from there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

#: Columns of text added to tables that were there.
COLUMNS = {
    "assessment": ("light", "opened", "trade_class", "unseen", "why"),
    "place": ("label", "security", "town"),
    "place_description": ("label", "security", "town"),
    "provenance": ("certainty", "reference"),
    "valuation": ("tax",),
}
#: Columns added that refer to a thing: the column, and the table of the thing.
KEYS = {
    "given_out": ("to_id", "contact"),
    "place": ("within_id", "place"),
    "place_description": ("within_id", "place"),
    "provenance": ("said_by_id", "contact"),
    "valuation": ("with_id", "part"),
}


def _tables() -> dict[str, tuple[sa.Column, ...]]:
    """The new tables, with the columns of their own."""

    def text(name: str) -> sa.Column:
        return sa.Column(name, sa.Text())

    def needed(name: str) -> sa.Column:
        return sa.Column(name, sa.Text(), nullable=False)

    def whole(name: str) -> sa.Column:
        return sa.Column(name, sa.Integer(), nullable=False)

    def key(name: str, table: str) -> sa.Column:
        return sa.Column(name, sa.Integer(), sa.ForeignKey(f"{table}.id"))

    return {
        "count_line": (needed("occasion"), needed("found"), key("place_id", "place")),
        "mileage": (whole("reading"), needed("unit"), text("note")),
        "object_description": (text("measurements"), text("material"), text("features"), text("marks_sit")),
        "offer_seen": (
            needed("kind"),
            *map(text, ("maker", "part_number", "serial", "match_code", "price", "currency", "claims")),
            *map(text, ("answered", "outcome", "paid")),
            key("seller_id", "contact"),
        ),
        "paper_written": (
            needed("what"),
            whole("number"),
            needed("fingerprint"),
            *map(text, ("as_of", "known_on", "options", "edition")),
        ),
        "passport_read": (
            needed("from_record"),
            needed("their_tag"),
            needed("digest"),
            text("signed_by"),
            needed("taken"),
        ),
        "policy": (
            key("owner_id", "contact"),
            key("insurer_id", "contact"),
            key("preparer_id", "contact"),
            key("checked_by_id", "contact"),
            *map(text, ("capacity", "number", "until")),
        ),
        "rate": (needed("from_currency"), needed("to_currency"), needed("rate"), needed("source")),
        "relation": (key("car_id", "car"), needed("relation"), text("says")),
        "stocktake": (
            whole("number"),
            key("scope_id", "place"),
            needed("begun"),
            *map(whole, ("here", "not_here", "elsewhere")),
        ),
        "stolen_serial": (
            *map(text, ("kind", "maker", "part_number")),
            needed("serial"),
            text("reference"),
            text("source"),
        ),
    }


def upgrade() -> None:
    for table, names in COLUMNS.items():
        for name in names:
            op.add_column(table, sa.Column(name, sa.Text()))
    for table, (name, other) in KEYS.items():
        constraint = f"CONSTRAINT fk_{table}_{name} REFERENCES {other} (id)"
        op.execute(sa.text(f"ALTER TABLE {table} ADD COLUMN {name} INTEGER {constraint}"))
    for table, names in _added().items():
        _bring_columns_back(table, names)
    for table, columns in _tables().items():
        _fact_table(table, *columns)
        _bring_back(table)


def downgrade() -> None:
    for table in reversed(_tables()):
        op.drop_table(table)
    for table, names in _added().items():
        for name in names:
            op.drop_column(table, name)


def _added() -> dict[str, tuple[str, ...]]:
    """All columns added, by table."""
    keys = {table: (name,) for table, (name, _) in KEYS.items()}
    return {table: (*COLUMNS.get(table, ()), *keys.get(table, ())) for table in sorted({*COLUMNS, *keys})}


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
