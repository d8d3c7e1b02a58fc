"""The log of all entries, the form of an entry, the record's time zone, and clocks stated wrong.

Revision: 0002, after 0001. Entries that are there stay as they are, with the hash they have: their form is null, the
first. They get places in the log by moment, thing and sequence. The 64 checkpoint sums go; the log takes their place.

The way down keeps every entry as it is and makes the sums anew. Of what the first schema has no place for, the
journal still knows it (zone, clocks stated wrong, form), so the way up again brings it back from there. Places are then
given anew, by moment.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

CHECKPOINT_ROWS = 64


def upgrade() -> None:
    op.add_column("journal", sa.Column("form", sa.Integer()))
    op.create_index(None, "journal", ["at"])
    op.add_column("record_info", sa.Column("zone", sa.Text()))
    op.create_table(
        "log",
        sa.Column("place", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("thing_id", sa.Integer(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
    )
    op.create_table(
        "log_head",
        sa.Column("id", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("frontier", sa.Text(), nullable=False),
    )
    op.create_table(
        "wrong_clock",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("from_at", sa.String(27), nullable=False),
        sa.Column("until_at", sa.String(27), nullable=False),
        sa.Column("moments", sa.Text(), nullable=False),
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
    op.create_index(None, "wrong_clock", ["thing_id"])
    _give_places()
    _bring_back()
    op.drop_table("checkpoint")


def downgrade() -> None:
    op.create_table(
        "checkpoint",
        sa.Column("slot", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("entries", sa.Integer(), nullable=False),
        sa.Column("sum", sa.String(64), nullable=False),
    )
    _sum_up()
    op.drop_table("wrong_clock")
    op.drop_table("log_head")
    op.drop_table("log")
    op.drop_index("ix_journal_at", "journal")
    with op.batch_alter_table("journal") as batch:
        batch.drop_column("form")
    with op.batch_alter_table("record_info") as batch:
        batch.drop_column("zone")


def _give_places() -> None:
    """Put every entry into the log, and the tree's frontier over their hashes into its head."""
    op.execute(
        "INSERT INTO log (place, thing_id, sequence) "
        "SELECT row_number() OVER (ORDER BY at, thing_id, sequence), thing_id, sequence FROM journal"
    )
    hashes = sa.text(
        "SELECT journal.hash FROM log JOIN journal "
        "ON journal.thing_id = log.thing_id AND journal.sequence = log.sequence ORDER BY log.place"
    )
    size, frontier = _frontier(digest for (digest,) in op.get_bind().execute(hashes))
    head = sa.table("log_head", sa.column("id"), sa.column("size"), sa.column("frontier"))
    op.bulk_insert(head, [{"id": 1, "size": size, "frontier": " ".join(node.hex() for node in frontier)}])


def _frontier(hashes: Iterable[Any]) -> tuple[int, list[bytes]]:
    """Number of leaves, and the roots of the whole subtrees of an RFC 6962 tree over these hashes, largest first."""
    size, frontier = 0, []
    for digest in hashes:
        node = hashlib.sha256(b"\x00" + str(digest).encode("utf-8", "surrogatepass")).digest()
        before = size
        while before & 1:
            node = hashlib.sha256(b"\x01" + frontier.pop() + node).digest()
            before >>= 1
        frontier.append(node)
        size += 1
    return size, frontier


def _bring_back() -> None:
    """What a way down has put by: the form of entries, and from what they say zone and clocks stated wrong."""
    bind = op.get_bind()
    bind.execute(sa.text("UPDATE journal SET form = 2 WHERE substr(images, 1, 1) = '{'"))
    entries = sa.text(
        "SELECT thing_id, at, who_id, images FROM journal "
        "WHERE form = 2 AND (images LIKE '%\"wrong_clock\"%' OR images LIKE '%\"record_info\"%') "
        "ORDER BY thing_id, sequence"
    )
    stated: dict[int, dict[str, Any]] = {}
    for thing_id, at, who_id, images in bind.execute(entries).all():
        said = json.loads(images)
        for table, key, image in said.get("made", ()):
            if table == "record_info":
                info = {"zone": image.get("zone"), "key": key}
                bind.execute(sa.text("UPDATE record_info SET zone = :zone WHERE id = :key"), info)
            elif table == "wrong_clock":
                stated[key] = _whole(image, key, thing_id, at, who_id, said["day"])
        for table, key, image in said.get("changed", ()):
            if table == "wrong_clock" and key in stated:
                stated[key].update(image)
    for row in stated.values():
        table = sa.table("wrong_clock", *(sa.column(name) for name in row))
        bind.execute(sa.insert(table).values(row))
    if stated and bind.dialect.name == "postgresql":
        bind.execute(
            sa.text("SELECT setval(pg_get_serial_sequence('wrong_clock', 'id'), :last)"), {"last": max(stated)}
        )


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


def _sum_up() -> None:
    """The sums of the first schema: of the entry hashes that fall to each of 64 rows, by thing."""
    counts, sums = [0] * CHECKPOINT_ROWS, [0] * CHECKPOINT_ROWS
    for thing_id, digest in op.get_bind().execute(sa.text("SELECT thing_id, hash FROM journal")):
        slot = thing_id % CHECKPOINT_ROWS
        counts[slot] += 1
        sums[slot] = (sums[slot] + _number(digest)) % (1 << 256)
    checkpoint = sa.table("checkpoint", sa.column("slot"), sa.column("entries"), sa.column("sum"))
    rows = [{"slot": slot, "entries": counts[slot], "sum": f"{sums[slot]:064x}"} for slot in range(CHECKPOINT_ROWS)]
    op.bulk_insert(checkpoint, rows)


def _number(digest: Any) -> int:
    """A hash as a number; one that somebody made unreadable counts for nothing, as the first revision has it."""
    try:
        return int(digest, 16)
    except (TypeError, ValueError):
        return 0
