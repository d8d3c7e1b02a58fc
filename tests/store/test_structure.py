"""What is not of the program in a record's schema, or has gone from it, is named; the rest is checked all the same."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import sqlalchemy as sa

from inventory.store.connection.engine import WRITES, is_sqlite
from inventory.store.record import Record
from inventory.store.verify.structure import structure_problems
from inventory.verification import verify
from tests.build import make_part

#: What somebody does on either engine, how it is undone, and what is said then.
EITHER = (
    ("CREATE VIEW parts_of_mine AS SELECT tag FROM part", "DROP VIEW parts_of_mine", "parts_of_mine"),
    ("ALTER TABLE part ADD COLUMN mine INTEGER", "ALTER TABLE part DROP COLUMN mine", "column mine integer"),
    ("CREATE TABLE notes_of_mine (a INTEGER)", "DROP TABLE notes_of_mine", "notes_of_mine"),
    ("CREATE UNIQUE INDEX mine ON part (serial)", "DROP INDEX mine", "unique (serial)"),
    ("DROP INDEX ix_journal_at", "CREATE INDEX ix_journal_at ON journal (at)", "has no longer: index (at)"),
    ("ALTER TABLE part RENAME COLUMN tag TO label", "ALTER TABLE part RENAME COLUMN label TO tag", "column tag text"),
    ("ALTER TABLE seal_sighting RENAME TO old", "ALTER TABLE old RENAME TO seal_sighting", "seal_sighting is missing"),
)
ONE_FILE = (
    ("CREATE TRIGGER mine AFTER UPDATE ON part BEGIN SELECT 1; END", "DROP TRIGGER mine", 'trigger "mine" on'),
    ("CREATE TABLE other (a CHECK (a > 0))", "DROP TABLE other", '"other"'),
    ("ALTER TABLE part ADD COLUMN mine INTEGER CHECK (mine > 0)", "ALTER TABLE part DROP COLUMN mine", "rule in its"),
)
SERVER = (
    ("ALTER TABLE part DROP CONSTRAINT uq_part_tag", "ALTER TABLE part ADD CONSTRAINT uq_part_tag UNIQUE (tag)", "tag"),
    ("ALTER TABLE part ADD CONSTRAINT mine CHECK (id > 0)", "ALTER TABLE part DROP CONSTRAINT mine", "CHECK"),
    (
        "ALTER TABLE note DROP CONSTRAINT fk_note_thing_id",
        "ALTER TABLE note ADD CONSTRAINT fk_note_thing_id FOREIGN KEY (thing_id) REFERENCES thing (id)",
        "foreign key (thing_id) references thing(id)",
    ),
    ("ALTER TABLE note DISABLE TRIGGER ALL", "ALTER TABLE note ENABLE TRIGGER ALL", "switched off"),
    ("CREATE RULE mine AS ON DELETE TO note DO INSTEAD NOTHING", "DROP RULE mine ON note", 'rule "mine"'),
    ("ALTER TABLE note ENABLE ROW LEVEL SECURITY", "ALTER TABLE note DISABLE ROW LEVEL SECURITY", "row security"),
    ("CREATE TABLE mine () INHERITS (note)", "DROP TABLE mine; ANALYZE note", "inherit"),
    ("ALTER TABLE part ALTER tag DROP NOT NULL", "ALTER TABLE part ALTER tag SET NOT NULL", "never empty"),
    ("ALTER TABLE part ALTER tag TYPE varchar(90)", "ALTER TABLE part ALTER tag TYPE text", "column tag varchar(90)"),
    (
        "CREATE FUNCTION mine() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW;END'; "
        "CREATE TRIGGER mine BEFORE UPDATE ON part FOR EACH ROW EXECUTE FUNCTION mine()",
        "DROP TRIGGER mine ON part; DROP FUNCTION mine()",
        'trigger "mine" on',
    ),
)


@pytest.fixture
def run(record: Record) -> Callable[[str], None]:
    """Run statements as another program would."""

    def go(statements: str) -> None:
        engine = record.engine.execution_options(**{WRITES: True})
        with engine.begin() as plain:
            if is_sqlite(plain):
                plain.exec_driver_sql(statements)
            else:
                for each in statements.split("; "):
                    plain.execute(sa.text(each))

    return go


def _says(record: Record) -> tuple[str, bool]:
    with record.read() as session:
        problems, readable = structure_problems(session)
    return "\n".join(problem.says for problem in problems), readable


def test_what_others_did_to_the_schema_is_named(record: Record, run: Callable[[str], None]) -> None:
    sqlite = is_sqlite(record.engine)
    make_part(record)
    assert _says(record) == ("", True)
    for change, undo, expected in (*EITHER, *(ONE_FILE if sqlite else SERVER)):
        run(change)
        found, readable = _says(record)
        if not sqlite and change.startswith(("CREATE VIEW", "CREATE TABLE notes")):
            assert found == "", "on a server others may have tables of their own beside ours"
            found = "\n".join(remark.says for remark in verify(record).remarks)
        assert expected in found, (change, found)
        assert readable == ("RENAME" not in change), change
        if not readable:
            assert not verify(record).ok
        run(undo)
        assert _says(record)[0] in ("", "the table note has what is not of this program: tables that inherit from it")
    assert verify(record).ok


def test_a_unique_index_that_went_from_a_file_is_named_and_a_key_that_deletes(sqlite_target: str) -> None:
    """SQLite drops none that a table was made with: whoever wants it out writes the statement that is kept."""
    import sqlite3

    from inventory.opening import open_record

    with sqlite3.connect(sqlite_target) as plain:
        plain.execute("PRAGMA writable_schema = ON")
        for said, instead in (
            ("CONSTRAINT uq_part_tag UNIQUE (tag), ", ""),
            ("FOREIGN KEY(car_id) REFERENCES car (id)", "FOREIGN KEY(car_id) REFERENCES car (id) ON DELETE CASCADE"),
        ):
            plain.execute("UPDATE sqlite_master SET sql = replace(sql, ?, ?) WHERE name = 'part'", (said, instead))
        plain.execute("DELETE FROM sqlite_master WHERE name LIKE 'sqlite_autoindex_part_%'")
    record = open_record(sqlite_target)
    found, _ = _says(record)
    record.close()
    assert "the table part has no longer: unique (tag)" in found
    assert "foreign key (car_id) references car(id) on update NO ACTION, on delete CASCADE" in found
