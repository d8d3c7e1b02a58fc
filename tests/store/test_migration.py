"""The schema: revisions and models agree, run both ways on both engines, and a change that fails leaves nothing."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import alembic.command
import pytest
import sqlalchemy as sa
from alembic.config import Config
from alembic.script import ScriptDirectory

import inventory.declared
import migrations
from inventory.facts import change
from inventory.opening import open_record
from inventory.record import actions as clocks
from inventory.store.connection.engine import is_sqlite, make_engine, record_url
from inventory.store.connection.migration import alembic_config, downgrade, upgrade
from inventory.store.connection.readonly import fetch_all
from inventory.store.connection.server import hold_schema
from inventory.store.connection.version import HEAD, REVISIONS
from inventory.store.journal.images import canonical, entry_hash
from inventory.store.record import Record
from inventory.store.tables import Base
from inventory.store.verify.schema import broken_references
from inventory.verification import verify
from tests.build import BY, make_car, whole_record

VERSIONS = Path(migrations.__file__).parent / "versions"
REVISION = """
import sqlalchemy as sa
from alembic import op

revision = "9999"
down_revision = "{head}"


def upgrade():
    {body}


def downgrade():
    pass
"""


def _with_revision(target: str, folder: Path, body: str) -> Config:
    """The settings for a record, with one more revision after the last."""
    (folder / "9999_probe.py").write_text(REVISION.format(head=HEAD, body=body.replace("\n", "\n    ")))
    config = alembic_config(record_url(target))
    config.set_main_option("path_separator", "os")
    config.set_main_option("version_locations", os.pathsep.join((str(VERSIONS), str(folder))))
    return config


def _reflected(target: str) -> dict[str, Any]:
    """Everything the engine says of a schema, by table; without what no model describes."""
    engine = make_engine(record_url(target))
    look = sa.inspect(engine)
    schema = {}
    for table in look.get_table_names():
        if table == "alembic_version" or table.startswith("search_index"):
            continue
        indexes = [index for index in look.get_indexes(table) if index["name"] != "search_index"]
        schema[table] = {
            "columns": [
                (column["name"], str(column["type"]), column["nullable"], column["default"])
                for column in sorted(look.get_columns(table), key=lambda column: column["name"])
            ],
            "key": (look.get_pk_constraint(table)["constrained_columns"], look.get_pk_constraint(table)["name"]),
            "foreign keys": _foreign_keys(look, table),
            "uniques": _sorted(look.get_unique_constraints(table)),
            "checks": _sorted(look.get_check_constraints(table)),
            "indexes": _sorted(indexes),
        }
    engine.dispose()
    return schema


def _foreign_keys(look: Any, table: str) -> list[Any]:
    """Without their names on SQLite, which tells none of a key that was added with its column."""
    nameless = {"name": ""} if look.dialect.name == "sqlite" else {}
    keys = [{**key, **nameless} for key in look.get_foreign_keys(table)]
    return sorted(_sorted(keys), key=lambda key: str(key["constrained_columns"]))


def _reflected_columns(target: str, table: str) -> list[str]:
    return [column[0] for column in _reflected(target)[table]["columns"]]


def _sorted(several: list[Any]) -> list[Any]:
    plain = [{name: value for name, value in each.items() if name != "comment"} for each in several]
    return sorted(plain, key=lambda each: str(each.get("name")))


def _dump(record: Record) -> dict[str, list[Any]]:
    with record.read() as session:
        tables = Base.metadata.tables.items()
        return {name: list(session.execute(sa.select(table).order_by(*table.primary_key))) for name, table in tables}


def _tables(target: str) -> set[str]:
    engine = make_engine(record_url(target))
    names = set(sa.inspect(engine).get_table_names())
    engine.dispose()
    return names


def test_the_revisions_have_one_head_and_the_program_knows_them_all() -> None:
    scripts = ScriptDirectory(str(VERSIONS.parent))
    in_order = [script.revision for script in scripts.walk_revisions()][::-1]
    assert scripts.get_heads() == [HEAD]
    assert tuple(in_order) == REVISIONS


@pytest.fixture
def empty_target(empty_target: str) -> str:
    """An empty database: on SQLite an empty file, since only `make_record` makes one."""
    if "://" not in empty_target:
        Path(empty_target).touch()
    return empty_target


def test_an_empty_database_comes_up_to_the_head(empty_target: str) -> None:
    upgrade(record_url(empty_target))
    engine = make_engine(record_url(empty_target))
    with engine.connect() as connection:
        assert connection.scalar(sa.text("SELECT version_num FROM alembic_version")) == HEAD
        assert connection.execute(sa.text("SELECT size, frontier FROM log_head")).all() == [(0, "")]
    engine.dispose()


def test_models_and_revisions_agree_by_comparison(target: str) -> None:
    alembic.command.check(alembic_config(record_url(target)))


def test_models_and_revisions_agree_by_reflection(target: str, empty_target: str) -> None:
    """The comparison above does not see CHECKs and options of foreign keys; this one does."""
    engine = make_engine(record_url(empty_target))
    with engine.begin() as connection:
        if not is_sqlite(connection):
            hold_schema(connection)
        Base.metadata.create_all(connection)
    engine.dispose()
    declared, migrated = _reflected(empty_target), _reflected(target)
    assert set(migrated) == set(Base.metadata.tables)
    for table in declared:
        assert migrated[table] == declared[table], table


def test_up_down_and_up_again_gives_the_same_schema(record: Record, target: str, tmp_path: Path) -> None:
    whole_record(record, tmp_path)
    record.close()
    before = _reflected(target)
    downgrade(record_url(target), "base")
    assert _tables(target) <= {"alembic_version"}
    upgrade(record_url(target))
    assert _reflected(target) == before


def _at_first_revision(target: str, folder: Path) -> dict[str, list[Any]]:
    """The rows of every table that the first revision has; and the sums of its checkpoint held against its journal."""
    engine = make_engine(record_url(target))
    meta = sa.MetaData()
    with engine.connect() as connection:
        meta.reflect(connection)
        rows = {
            name: _by_name(connection.execute(sa.select(table)))
            for name, table in meta.tables.items()
            if not name.startswith(("search_index", "alembic"))
        }
        counts, sums = [0] * 64, [0] * 64
        for thing_id, digest in connection.execute(sa.text("SELECT thing_id, hash FROM journal")):
            counts[thing_id % 64] += 1
            sums[thing_id % 64] = (sums[thing_id % 64] + int(digest, 16)) % (1 << 256)
    engine.dispose()
    expected = [{"entries": counts[slot], "slot": slot, "sum": f"{sums[slot]:064x}"} for slot in range(64)]
    assert rows["checkpoint"] == sorted(expected, key=str)
    return rows


def _by_name(rows: Any) -> list[dict[str, Any]]:
    return sorted((dict(sorted(row._mapping.items())) for row in rows), key=str)


def test_data_survive_down_to_the_first_revision_and_up_again(
    record: Record, target: str, empty_target: str, tmp_path: Path
) -> None:
    """Everything: entries with their hashes, the log with its anchor, the zone, and what was said of a clock."""
    whole = whole_record(record, tmp_path)
    with record.write() as session:
        change.correct(session, BY, "removal-1", {"route": "over the brake pipe"}, "seen on the picture")
        change.correct(session, BY, "work-1", {"batch": "2025-Q3"}, "on the box")
        change.add(session, BY, "marking", whole.relay, {"serial state": "not legible"})
    before, found = _dump(record), verify(record)
    record.close()
    upgrade(record_url(empty_target), "0001")

    downgrade(record_url(target), "0001")

    assert _reflected(target) == _reflected(empty_target)
    lower = _at_first_revision(target, tmp_path)
    for table in sorted(lower.keys() - {"checkpoint", "journal", "record_info"}):
        known = set(_reflected_columns(target, table))
        kept = [{name: value for name, value in row._mapping.items() if name in known} for row in before[table]]
        assert lower[table] == sorted((dict(sorted(row.items())) for row in kept), key=str), table
    assert len(lower["journal"]) == found.entries

    record = open_record(target)  # brings it up
    assert _dump(record) == before
    again = verify(record)
    assert (again.problems, again.anchor, again.zone) == ((), found.anchor, found.zone)
    with record.write() as session:
        stated = clocks.state_wrong(
            session, BY, clocks.moments_of_act(session, "note-1"), "keys go on from where they were"
        )
    assert stated.id == "wrong_clock-2"
    assert verify(record).ok
    record.close()


def test_what_an_older_program_wrote_after_a_way_down_is_in_its_place_after_the_way_up(
    record: Record, target: str, tmp_path: Path
) -> None:
    """An entry as the first revision writes it, after entries of the second form in the same chain."""
    whole = whole_record(record, tmp_path)
    record.close()
    downgrade(record_url(target), "0001")
    engine = make_engine(record_url(target))
    with engine.begin() as connection:
        columns = "thing_id, sequence, at, who_id, act, act_key, images, previous, hash"
        last = connection.execute(
            sa.text(f"SELECT {columns} FROM journal WHERE thing_id = (SELECT id FROM part WHERE tag = :tag) "
                    "ORDER BY sequence DESC LIMIT 1"),
            {"tag": whole.relay},
        ).mappings().one()  # fmt: skip
        note = connection.execute(sa.text("SELECT * FROM note WHERE id = 1")).mappings().one()
        row = {**note, "id": 1001, "thing_id": last["thing_id"], "text": "written by the first version"}
        row.update(superseded_by=None, superseded_on=None, recorded="2999-01-01T00:00:00.000000Z")
        entry = {**last, "sequence": last["sequence"] + 1, "previous": last["hash"], "at": row["recorded"]}
        entry |= {"act_key": "0" * 16, "images": canonical([["note", 1001, row]])}
        entry["hash"] = entry_hash({**entry, "form": None})
        for table, values in (("note", row), ("journal", entry)):
            marks = ", ".join(f":{name}" for name in values)
            connection.execute(sa.text(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({marks})"), values)
    engine.dispose()

    record = open_record(target)

    with record.read() as session:
        places = session.execute(sa.text("SELECT thing_id, sequence FROM log ORDER BY place DESC LIMIT 1")).one()
        forms = session.execute(sa.text("SELECT DISTINCT form FROM journal")).scalars().all()
    assert tuple(places) == (entry["thing_id"], entry["sequence"])
    assert set(forms) == {None, 2}
    assert {problem.table for problem in verify(record).problems} <= {"search_entry", "part"}, (
        "only its text is not found"
    )
    record.close()


def test_data_survive_a_change_of_the_tables_that_others_point_at(record: Record, target: str, tmp_path: Path) -> None:
    """On SQLite the change copies the table; with foreign keys on, rows that point at it could go with it."""
    whole_record(record, tmp_path)
    before = _dump(record)
    record.close()
    probe = tmp_path / "versions"
    probe.mkdir()
    body = "\n".join(
        f'with op.batch_alter_table("{table}", recreate="auto") as batch:\n'
        f'    batch.alter_column("{column}", existing_type=sa.Text(), nullable=True)'
        for table, column in (("thing", "kind"), ("car", "name_folded"), ("document", "file_name"))
    )
    alembic.command.upgrade(_with_revision(target, probe, body), "head")
    changed = Record(target)
    after = _dump(changed)
    with changed.readonly() as source:
        assert fetch_all(source, "SELECT version_num FROM alembic_version") == [("9999",)]
    changed.close()
    assert after == before


@pytest.mark.parametrize("place", ["first", "later"])
def test_a_change_that_fails_leaves_nothing_behind(place: str, empty_target: str, target: str, tmp_path: Path) -> None:
    where = empty_target if place == "first" else target
    if place == "later":
        opened = open_record(where)
        make_car(opened)
        opened.close()
    schema, tables = _reflected(where), _tables(where)
    probe = tmp_path / "versions"
    probe.mkdir()
    body = (
        'op.create_table("half", sa.Column("id", sa.Integer(), primary_key=True))\n'
        'op.create_table("other_half", sa.Column("id", sa.Integer(), primary_key=True))\n'
        'raise RuntimeError("stopped in the middle")'
    )
    with pytest.raises(RuntimeError, match="stopped in the middle"):
        alembic.command.upgrade(_with_revision(where, probe, body), "head")
    assert _tables(where) == tables
    assert _reflected(where) == schema
    if place == "later":
        opened = open_record(where)
        assert verify(opened).ok
        opened.close()


def test_a_change_that_would_orphan_rows_is_not_made(sqlite_target: str, tmp_path: Path) -> None:
    """On SQLite foreign keys are off while a change runs, so they are checked before it is kept."""
    opened = open_record(sqlite_target)
    make_car(opened)
    opened.close()
    probe = tmp_path / "versions"
    probe.mkdir()
    body = (
        'if op.get_bind().exec_driver_sql("PRAGMA foreign_keys").scalar() != 0:\n'
        '    raise AssertionError("foreign keys are on")\n'
        'op.execute("DELETE FROM car")'
    )
    with pytest.raises(RuntimeError, match="would orphan rows"):
        alembic.command.upgrade(_with_revision(sqlite_target, probe, body), "head")
    opened = open_record(sqlite_target)
    assert verify(opened).ok
    opened.close()


def test_foreign_keys_are_clean_and_kept_by_the_engine(record: Record, tmp_path: Path) -> None:
    whole_record(record, tmp_path)
    with record.read() as session:
        assert broken_references(session) == []
        if is_sqlite(session.get_bind()):
            assert session.scalar(sa.text("PRAGMA foreign_keys")) == 1
            assert session.execute(sa.text("PRAGMA foreign_key_check")).all() == []


def test_every_table_is_known_where_all_tables_are_asked_for() -> None:
    """A table of no declared kind would be neither migrated nor verified."""
    rooms = sorted(path for path in Path(inventory.declared.__file__).parent.glob("*/tables.py"))
    modules = [f"inventory.{path.parent.name}.tables" for path in rooms]
    script = (
        "import importlib, inventory.declared\n"
        "from inventory.store.tables import Base\n"
        "before = set(Base.metadata.tables)\n"
        f"for name in {modules!r}: importlib.import_module(name)\n"
        "print(sorted(set(Base.metadata.tables) - before))"
    )
    said = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert len(modules) > 8
    assert said.stdout.strip() == "[]"
