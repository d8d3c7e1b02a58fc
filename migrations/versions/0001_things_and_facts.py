"""The first schema: things, facts, the journal, search.

Revision: 0001, the first. Runs both ways on both engines; on SQLite foreign keys are off while it runs
and are checked before it commits.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

CHECKPOINT_ROWS = 64


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


def upgrade() -> None:
    _create_tables()
    checkpoint = sa.table("checkpoint", sa.column("slot"), sa.column("entries"), sa.column("sum"))
    op.bulk_insert(checkpoint, [{"slot": slot, "entries": 0, "sum": "0" * 64} for slot in range(CHECKPOINT_ROWS)])
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            "CREATE VIRTUAL TABLE search_index USING fts5("
            "text, content='search_entry', content_rowid='part_id', tokenize='trigram case_sensitive 1')"
        )
    else:
        op.execute(
            "CREATE FUNCTION matchmark_trigrams(whole text) RETURNS text[] LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE "
            # split once: cutting from a text of many bytes a character counts from its start every time
            "AS $$ SELECT array(SELECT DISTINCT gram FROM ("
            "SELECT letter || lead(letter) OVER told || lead(letter, 2) OVER told AS gram "
            "FROM unnest(string_to_array(whole, NULL)) WITH ORDINALITY AS each(letter, place) "
            "WINDOW told AS (ORDER BY place)) AS grams WHERE gram IS NOT NULL) $$"
        )
        op.execute("CREATE INDEX search_index ON search_entry USING gin (matchmark_trigrams(text))")


def downgrade() -> None:
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TABLE search_index")
    else:
        op.execute("DROP INDEX search_index")
        op.execute("DROP FUNCTION matchmark_trigrams(text)")
    for name in reversed(TABLES):
        op.drop_table(name)


TABLES = (
    "checkpoint",
    "document_content",
    "thing",
    "assessment",
    "bench_run",
    "car",
    "car_cover",
    "car_description",
    "contact",
    "contact_description",
    "document",
    "given_out",
    "instrument",
    "instrument_description",
    "journal",
    "marking",
    "note",
    "part_number",
    "personal",
    "place",
    "place_description",
    "position_listing",
    "record_info",
    "search_entry",
    "sheet_mapping",
    "strip_down",
    "withdrawal",
    "work",
    "attachment",
    "calibration",
    "claim",
    "fit",
    "move",
    "position",
    "provenance",
    "seal_sighting",
    "stay",
    "strip_down_end",
    "supersession",
    "valuation",
    "fitting",
    "part",
    "removal",
    "reservation",
    "setting",
)


def _create_tables() -> None:
    op.create_table(
        "checkpoint",
        sa.Column("slot", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("entries", sa.Integer(), nullable=False),
        sa.Column("sum", sa.String(64), nullable=False),
    )
    op.create_table(
        "document_content",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("content", sa.LargeBinary(), nullable=False),
    )
    op.create_table(
        "thing",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("kind", sa.Text(), nullable=False),
    )
    _fact_table(
        "assessment",
        sa.Column("category", sa.Integer()),
        sa.Column("damage", sa.Text()),
        sa.Column("missing", sa.Text()),
        sa.Column("trend", sa.Text()),
    )
    _fact_table(
        "bench_run",
        sa.Column("procedure", sa.Text(), nullable=False),
        sa.Column("readings", sa.Text(), nullable=False),
        sa.Column("conditions", sa.Text(), nullable=False),
    )
    op.create_table(
        "car",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("name_folded", sa.Text(), nullable=False),
        sa.Column("name", sa.Text()),
        sa.Column("maker", sa.Text()),
        sa.Column("model", sa.Text()),
        sa.Column("year", sa.Text()),
        sa.Column("chassis", sa.Text()),
        sa.Column("note", sa.Text()),
        sa.UniqueConstraint("name_folded"),
    )
    _fact_table(
        "car_cover",
        sa.Column("insured_whole", sa.Text(), nullable=False),
        sa.Column("policy", sa.Text()),
    )
    _fact_table(
        "car_description",
        sa.Column("name", sa.Text()),
        sa.Column("maker", sa.Text()),
        sa.Column("model", sa.Text()),
        sa.Column("year", sa.Text()),
        sa.Column("chassis", sa.Text()),
        sa.Column("note", sa.Text()),
    )
    op.create_table(
        "contact",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("role", sa.Text()),
        sa.Column("name_digest", sa.Text()),
        sa.Column("address_digest", sa.Text()),
        sa.Column("telephone_digest", sa.Text()),
    )
    op.create_index(None, "contact", ["name_digest"])
    _fact_table(
        "contact_description",
        sa.Column("blanked", sa.Text()),
        sa.Column("role", sa.Text()),
        sa.Column("name_digest", sa.Text()),
        sa.Column("address_digest", sa.Text()),
        sa.Column("telephone_digest", sa.Text()),
    )
    op.create_table(
        "document",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("taken_on", sa.Text()),
        sa.Column("taken_from", sa.Text()),
        sa.UniqueConstraint("digest"),
    )
    _fact_table(
        "sheet_mapping",
        sa.Column("headers", sa.Text(), nullable=False),
        sa.Column("answers", sa.Text(), nullable=False),
        sa.Column("dates", sa.Text()),
        sa.Column("decimal", sa.Text()),
        sa.Column("day_numbers", sa.Text()),
        sa.Column("currency", sa.Text()),
    )
    _fact_table(
        "given_out",
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("fingerprint", sa.Text(), nullable=False),
    )
    op.create_table(
        "instrument",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("name_folded", sa.Text(), nullable=False),
        sa.Column("name", sa.Text()),
        sa.Column("what", sa.Text()),
        sa.Column("specification", sa.Text()),
        sa.Column("dial_unit", sa.Text()),
        sa.Column("resolution", sa.Text()),
        sa.Column("due", sa.Text()),
        sa.UniqueConstraint("name_folded"),
    )
    _fact_table(
        "instrument_description",
        sa.Column("name", sa.Text()),
        sa.Column("what", sa.Text()),
        sa.Column("specification", sa.Text()),
        sa.Column("dial_unit", sa.Text()),
        sa.Column("resolution", sa.Text()),
        sa.Column("due", sa.Text()),
    )
    op.create_table(
        "journal",
        sa.Column("thing_id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("sequence", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who_id", sa.Integer(), sa.ForeignKey("thing.id"), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("act_key", sa.String(32), nullable=False),
        sa.Column("images", sa.Text(), nullable=False),
        sa.Column("previous", sa.String(64), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
    )
    op.create_index(None, "journal", ["act_key"])
    _fact_table(
        "marking",
        sa.Column("kind", sa.Text()),
        sa.Column("maker", sa.Text()),
        sa.Column("part_number", sa.Text()),
        sa.Column("serial", sa.Text()),
        sa.Column("date_code", sa.Text()),
        sa.Column("match_code", sa.Text()),
        sa.Column("match_code_state", sa.Text()),
        sa.Column("match_code_read_from", sa.Text()),
        sa.Column("marks", sa.Text()),
        sa.Column("extra", sa.Text()),
    )
    _fact_table(
        "note",
        sa.Column("text", sa.Text(), nullable=False),
    )
    op.create_table(
        "part_number",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("written", sa.Text(), nullable=False),
        sa.Column("squeezed", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text()),
        sa.UniqueConstraint("squeezed"),
    )
    op.create_table(
        "personal",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("thing_id", sa.Integer(), sa.ForeignKey("thing.id"), nullable=False),
        sa.Column("salt", sa.Text()),
        sa.Column("text", sa.Text()),
        sa.Column("text_folded", sa.Text()),
    )
    op.create_index(None, "personal", ["text_folded"])
    op.create_table(
        "place",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("name_folded", sa.Text(), nullable=False),
        sa.Column("name", sa.Text()),
        sa.Column("premises", sa.Text()),
        sa.UniqueConstraint("name_folded"),
    )
    _fact_table(
        "place_description",
        sa.Column("name", sa.Text()),
        sa.Column("premises", sa.Text()),
    )
    _fact_table(
        "position_listing",
        sa.Column("ordinal", sa.Integer()),
        sa.Column("kind", sa.Text()),
        sa.Column("maker", sa.Text()),
        sa.Column("part_number", sa.Text()),
        sa.Column("axis", sa.Text()),
        sa.Column("fasteners", sa.Text()),
        sa.Column("connections", sa.Text()),
        sa.Column("mounts", sa.Text()),
    )
    op.create_table(
        "record_info",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("identity", sa.Text(), nullable=False),
        sa.Column("made_at", sa.String(27), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
    )
    op.create_table(
        "search_entry",
        sa.Column("part_id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("text", sa.Text(), nullable=False),
    )
    _fact_table(
        "strip_down",
        sa.Column("care", sa.Text()),
    )
    _fact_table(
        "withdrawal",
        sa.Column("fact", sa.Text(), nullable=False),
    )
    _fact_table(
        "work",
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("area", sa.Text(), nullable=False),
        sa.Column("product", sa.Text()),
    )
    _fact_table(
        "attachment",
        sa.Column("document_id", sa.Integer(), sa.ForeignKey("document.id"), nullable=False),
        sa.Column("shows", sa.Text(), nullable=False),
    )
    _fact_table(
        "calibration",
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("due", sa.Text()),
        sa.Column("points", sa.Text()),
        sa.Column("document_id", sa.Integer(), sa.ForeignKey("document.id")),
    )
    _fact_table(
        "claim",
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("test", sa.Text()),
        sa.Column("came_out", sa.Text(), nullable=False),
        sa.Column("party_id", sa.Integer(), sa.ForeignKey("contact.id")),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("proof", sa.Text(), nullable=False),
    )
    _fact_table(
        "fit",
        sa.Column("unit_number_id", sa.Integer(), sa.ForeignKey("part_number.id"), nullable=False),
        sa.Column("fits", sa.Text(), nullable=False),
    )
    _fact_table(
        "move",
        sa.Column("place_id", sa.Integer(), sa.ForeignKey("place.id")),
    )
    op.create_table(
        "position",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("car_id", sa.Integer(), sa.ForeignKey("car.id"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("name_folded", sa.Text(), nullable=False),
        sa.UniqueConstraint("car_id", "name_folded"),
    )
    _fact_table(
        "provenance",
        sa.Column("lane", sa.Text(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("whose", sa.Text()),
        sa.Column("party_id", sa.Integer(), sa.ForeignKey("contact.id")),
        sa.Column("attribution", sa.Text(), nullable=False),
        sa.Column("price", sa.Text()),
        sa.Column("currency", sa.Text()),
        sa.Column("document_id", sa.Integer(), sa.ForeignKey("document.id")),
        sa.Column("text", sa.Text()),
    )
    _fact_table(
        "seal_sighting",
        sa.Column("seal", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("document_id", sa.Integer(), sa.ForeignKey("document.id")),
    )
    _fact_table(
        "stay",
        sa.Column("strip_down_id", sa.Integer(), sa.ForeignKey("strip_down.id"), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
    )
    _fact_table(
        "strip_down_end",
        sa.Column("strip_down_id", sa.Integer(), sa.ForeignKey("strip_down.id"), nullable=False),
    )
    _fact_table(
        "supersession",
        sa.Column("by_number_id", sa.Integer(), sa.ForeignKey("part_number.id"), nullable=False),
    )
    _fact_table(
        "valuation",
        sa.Column("amount", sa.Text(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("basis", sa.Text(), nullable=False),
        sa.Column("source", sa.Text()),
        sa.Column("capacity", sa.Text()),
        sa.Column("document_id", sa.Integer(), sa.ForeignKey("document.id")),
    )
    _fact_table(
        "fitting",
        sa.Column("car_id", sa.Integer(), sa.ForeignKey("car.id"), nullable=False),
        sa.Column("position_id", sa.Integer(), sa.ForeignKey("position.id")),
        sa.Column("override", sa.Text()),
    )
    op.create_table(
        "part",
        sa.Column("id", sa.Integer(), sa.ForeignKey("thing.id"), primary_key=True, autoincrement=False),
        sa.Column("tag", sa.Text(), nullable=False),
        sa.Column("part_number_squeezed", sa.Text()),
        sa.Column("serial_squeezed", sa.Text()),
        sa.Column("serial_alike", sa.Text()),
        sa.Column("seal_state", sa.Text(), nullable=False),
        sa.Column("condition", sa.Text()),
        sa.Column("whose", sa.Text(), nullable=False),
        sa.Column("car_id", sa.Integer(), sa.ForeignKey("car.id")),
        sa.Column("position_id", sa.Integer(), sa.ForeignKey("position.id")),
        sa.Column("fitted", sa.Text(), nullable=False),
        sa.Column("place_id", sa.Integer(), sa.ForeignKey("place.id")),
        sa.Column("gone", sa.Text()),
        sa.Column("kind", sa.Text()),
        sa.Column("maker", sa.Text()),
        sa.Column("part_number", sa.Text()),
        sa.Column("serial", sa.Text()),
        sa.Column("date_code", sa.Text()),
        sa.Column("match_code", sa.Text()),
        sa.Column("match_code_state", sa.Text()),
        sa.Column("match_code_read_from", sa.Text()),
        sa.Column("marks", sa.Text()),
        sa.Column("extra", sa.Text()),
        sa.UniqueConstraint("tag"),
    )
    op.create_index(None, "part", ["car_id"])
    op.create_index(None, "part", ["kind", "part_number_squeezed"])
    op.create_index(None, "part", ["part_number_squeezed"])
    op.create_index(None, "part", ["place_id"])
    op.create_index(None, "part", ["serial_alike"])
    _fact_table(
        "removal",
        sa.Column("car_id", sa.Integer(), sa.ForeignKey("car.id"), nullable=False),
        sa.Column("strip_down_id", sa.Integer(), sa.ForeignKey("strip_down.id")),
        sa.Column("position_id", sa.Integer(), sa.ForeignKey("position.id")),
        sa.Column("sequence", sa.Integer()),
        sa.Column("axis", sa.Text()),
        sa.Column("fasteners", sa.Text()),
        sa.Column("connections", sa.Text()),
        sa.Column("mounts", sa.Text()),
        sa.Column("bag", sa.Text()),
        sa.Column("car_side", sa.Text()),
    )
    op.create_index(None, "removal", ["strip_down_id"])
    _fact_table(
        "reservation",
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("why", sa.Text()),
    )
    _fact_table(
        "setting",
        sa.Column("document_id", sa.Integer(), sa.ForeignKey("document.id"), nullable=False),
        sa.Column("unit_id", sa.Integer(), sa.ForeignKey("part.id")),
        sa.Column("unit_number", sa.Text()),
        sa.Column("unit_code", sa.Text()),
    )
