"""A kind of fact: what settles a contradiction about a part or car.

Revision: 0004, after 0003. One table, empty. The way down drops it; the journal still knows what stood in it, so the
way up again brings it back from there.
"""

from __future__ import annotations

import json
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

TABLES = ("settlement",)


def upgrade() -> None:
    _fact_table(
        "settlement",
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("why", sa.Text()),
        sa.Column("document_id", sa.Integer(), sa.ForeignKey("document.id")),
    )
    for name in TABLES:
        _bring_back(name)


def downgrade() -> None:
    for name in TABLES:
        op.drop_table(name)


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


def _bring_back(name: str) -> None:
    """The facts of a table that a way down has dropped, from what the entries of the journal say of them."""
    bind = op.get_bind()
    entries = sa.text(
        "SELECT thing_id, at, who_id, images FROM journal WHERE form = 2 AND images LIKE :named "
        "ORDER BY thing_id, sequence"
    )
    rows: dict[int, dict[str, Any]] = {}
    for thing_id, at, who_id, images in bind.execute(entries, {"named": f'%"{name}"%'}).all():
        said = json.loads(images)
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
