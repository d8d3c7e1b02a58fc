"""Whatever is changed outside the program is found and named: each column, each row, a tail, a chain."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

import inventory.tables
from inventory import verification
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.store.journal import entry_hash
from inventory.store.record import Record
from inventory.store.tables import Base
from inventory.verification import Verification, verify
from tests.build import BY, CAR, Whole, make_car, make_part, whole_record

assert inventory.tables
TABLES = {**Base.metadata.tables}
KEYS = {name: [column.name for column in table.primary_key] for name, table in TABLES.items()}
KEYS["alembic_version"] = ["version_num"]
COLUMNS = [(name, column.name) for name, table in TABLES.items() for column in table.c]
COLUMNS.append(("alembic_version", "version_num"))
SHADOW = {
    "search_index_data": ("id", "block"),
    "search_index_idx": ("segid", "term", "pgno"),
    "search_index_docsize": ("id", "sz"),
    "search_index_config": ("k", "v"),
}
#: Columns whose change shows as something that does not fit as a whole, so that which one cannot be told.
ONE_OF_SEVERAL = {("journal", column) for column in ("at", "who_id", "act", "act_key", "images", "hash", "thing_id")}


@dataclass
class Bench:
    """A record with one of everything, and a plain connection to it as any other program would have."""

    record: Record
    whole: Whole
    plain: Any
    mark: str
    labels: dict[Any, set[str]]

    def run(self, sql: str, *values: Any) -> list[tuple[Any, ...]]:
        """Any SQL, with ? for values."""
        cursor = self.plain.execute(sql.replace("?", self.mark), values)
        found = cursor.fetchall() if cursor.description else []
        self.plain.commit()
        return found

    def first(self, table: str) -> dict[str, Any]:
        """The first row of a table by its key."""
        order = ["text IS NULL", "text"] if table == "personal" else KEYS[table]
        cursor = self.plain.execute(f"SELECT * FROM {table} ORDER BY {', '.join(order)} LIMIT 1")
        names = [column[0] for column in cursor.description]
        row = cursor.fetchone()
        self.plain.commit()
        if row is None:
            assert (table, self.mark) == ("document_content", "?")
            pytest.skip("on SQLite documents lie in a folder beside the record")
        return dict(zip(names, row, strict=True))

    @contextmanager
    def changed(self, *tables: str) -> Iterator[None]:
        """Within, anything may be done to these tables; afterwards their rows are as they were."""
        held = {table: self.run(f"SELECT * FROM {table}") for table in tables}
        try:
            yield
        finally:
            self.plain.rollback()
            for table, rows in held.items():
                self.plain.execute(f"DELETE FROM {table}")
                for row in rows:
                    marks = ", ".join([self.mark] * len(row))
                    self.plain.execute(f"INSERT INTO {table} VALUES ({marks})", row)
            self.plain.commit()

    def thing_of(self, table: str, row: dict[str, Any]) -> set[str | None]:
        """What the thing a row belongs to may be called."""
        if table == "checkpoint":
            return {f"checkpoint {row['slot']}"}
        if table == "document_content":
            return {*(name for (name,) in self.run("SELECT file_name FROM document")), None}
        key = next((row[name] for name in ("thing_id", "part_id", "id") if name in row), None)
        return {"the record"} if key is None else {*self.labels[key]}


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def bench(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    folder = tmp_path_factory.mktemp("whole")
    if request.param == "sqlite":
        target = str(folder / "record.db")
        Path(target).write_bytes(request.getfixturevalue("sqlite_template"))
        plain: Any = sqlite3.connect(target)
        plain.execute("PRAGMA synchronous = OFF")
    else:
        import psycopg

        target = request.getfixturevalue("new_database")("template_record")
        plain = psycopg.connect(target)
        plain.execute("SET session_replication_role = replica")  # no foreign keys, as on a plain SQLite connection
    record = open_record(target)
    whole = whole_record(record, folder)
    yield Bench(record, whole, plain, "?" if request.param == "sqlite" else "%s", _labels(plain))
    found = verify(record)
    plain.close()
    record.close()
    assert found.problems == (), "a test did not put back what it changed"


def _labels(plain: Any) -> dict[Any, set[str]]:
    """What each thing may be called, by key: a name where it has one, else what it is with its key."""
    labels = {key: {f"{kind.replace('_', ' ')} {key}"} for key, kind in plain.execute("SELECT id, kind FROM thing")}
    labels[1] = {"the record"}
    for table, column in (
        ("part", "tag"),
        ("car", "name"),
        ("place", "name"),
        ("position", "name"),
        ("part_number", "written"),
        ("instrument", "name"),
        ("document", "file_name"),
    ):
        labels |= {key: {name} for key, name in plain.execute(f"SELECT id, {column} FROM {table}")}
    names = "SELECT contact.id, text FROM contact JOIN personal ON digest = name_digest WHERE text IS NOT NULL"
    for key, name in plain.execute(names):
        labels[key].add(name)
    return labels


def _named(found: Verification, table: str, things: set[Any], *columns: str | None) -> bool:
    """Whether a problem names this table and thing and, where columns are given, one of them."""
    return any(
        problem.table == table and problem.thing in things and (not columns or problem.column in columns)
        for problem in found.problems
    )


def _another(table: str, column: str, value: Any, highest: Any) -> Any:
    """A value that could well stand there, but does not."""
    if isinstance(value, bytes):
        return value + b"x"
    if isinstance(value, int):
        return (highest if column in KEYS[table] else value) + 1
    if value is None:
        return 1 if isinstance(TABLES[table].c[column].type, sa.Integer) else "2001-02-03"
    return value[:-1] + ("6" if value[-1:] == "5" else "5")


@pytest.mark.parametrize(("table", "column"), COLUMNS, ids=[".".join(each) for each in COLUMNS])
def test_each_column_of_each_table_is_named_when_changed(bench: Bench, table: str, column: str) -> None:
    row = bench.first(table)
    things = bench.thing_of(table, row)
    ((highest,),) = bench.run(f"SELECT max({column}) FROM {table}") if isinstance(row[column], int) else ((None,),)
    where = " AND ".join(f"{name} = ?" for name in KEYS[table])
    value = _another(table, column, row[column], highest)
    with bench.changed(table):
        bench.run(f"UPDATE {table} SET {column} = ? WHERE {where}", value, *(row[name] for name in KEYS[table]))
        found = verify(bench.record)
    if (table, column) in ONE_OF_SEVERAL or column in KEYS[table]:
        assert _named(found, table, things), found.problems
    else:
        where_said = "text" if (table, column) == ("personal", "salt") else column
        assert _named(found, table, things, where_said), found.problems


#: Values that nothing in the program writes, as SQL: for a number, and for a text of any length. Far too much;
#: marks that steer a terminal or turn a line; bytes that are no text; bytes. Only the first for any engine.
NONSENSE = (
    ("999999999", "'7'"),
    ("'many'", "CAST(x'1be280ae' AS TEXT)"),
    ("x'00ff'", "CAST(x'61fffe' AS TEXT)"),
    ("2.5", "x'00ff'"),
)


@pytest.mark.parametrize("table", sorted({*TABLES} - {"document_content"}))
def test_nonsense_in_every_column_at_once_is_named_and_stops_nothing(bench: Bench, table: str) -> None:
    """SQLite takes anything anywhere; PostgreSQL keeps at least to the type."""
    row = bench.first(table)
    things = bench.thing_of(table, row)
    where = " AND ".join(f"{name} = ?" for name in KEYS[table])
    columns = [column for column in TABLES[table].c if column.name not in KEYS[table]]
    for number, words in NONSENSE if bench.mark == "?" else NONSENSE[:1]:
        values = {column.name: number if isinstance(column.type, sa.Integer) else words for column in columns}
        with bench.changed(table):
            setting = ", ".join(f"{name} = {value}" for name, value in values.items())
            bench.run(f"UPDATE {table} SET {setting} WHERE {where}", *(row[name] for name in KEYS[table]))
            found = verify(bench.record)
        if table == "journal":
            assert _named(found, table, things), (words, found.problems)
        elif "thing_id" in values:
            assert _named(found, table, things, "thing_id"), (words, found.problems)
        else:
            for name in values:
                assert _named(found, table, things, name), (words, name, found.problems)
        assert all(problem.says.isprintable() for problem in found.problems)
        json.dumps(found.as_dict()).encode()


@pytest.mark.parametrize("table", sorted(KEYS))
def test_a_row_taken_out_is_named(bench: Bench, table: str) -> None:
    row = bench.first(table)
    things = bench.thing_of(table, row)
    where = " AND ".join(f"{name} = ?" for name in KEYS[table])
    with bench.changed(table):
        bench.run(f"DELETE FROM {table} WHERE {where}", *(row[name] for name in KEYS[table]))
        found = verify(bench.record)
    assert _named(found, table, things), found.problems


@pytest.mark.parametrize("table", sorted({*KEYS} - {"journal"}))
def test_a_row_put_in_is_named(bench: Bench, table: str) -> None:
    if table == "document_content":
        row: dict[str, Any] = {"digest": "0" * 64, "content": b"x"}
    else:
        row = bench.first(table)
        unique = (
            {column.name for each in TABLES[table].constraints for column in each.columns} if table in TABLES else set()
        )
        for name in {*KEYS[table], *(unique - {"thing_id"})}:
            if isinstance(row[name], int) and name in KEYS[table]:
                ((highest,),) = bench.run(f"SELECT max({name}) FROM {table}")
                row[name] = highest + 1
            elif isinstance(row[name], str):
                row[name] = "1" * len(row[name])
    with bench.changed(table):
        bench.run(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})", *row.values())
        found = verify(bench.record)
    assert any(problem.table == table for problem in found.problems), found.problems


@pytest.mark.parametrize("bench", ["sqlite"], indirect=True, scope="module")
@pytest.mark.parametrize("table", sorted(SHADOW))
def test_each_column_of_the_full_text_index_is_named_when_changed(bench: Bench, table: str) -> None:
    """The rows in which SQLite keeps the index; on PostgreSQL the server keeps it and no SQL reaches it."""
    keys = {"search_index_idx": "segid, term", "search_index_config": "k"}.get(table, "id")
    for row in bench.run(f"SELECT {keys} FROM {table}"):
        where = " AND ".join(f"{name} = ?" for name in keys.split(", "))
        for change in [f"UPDATE {table} SET {name} = ?" for name in SHADOW[table]] + [f"DELETE FROM {table}"]:
            with bench.changed(table):
                values = [12345] if "?" in change else []
                bench.run(f"{change} WHERE {where}", *values, *row)
                found = verify(bench.record)
            assert [problem.table for problem in found.problems] == ["search_index"], (row, change)


def test_a_tail_taken_out_is_named(bench: Bench) -> None:
    """The last entries of a part's journal are gone, its rows are still there."""
    ((key,),) = bench.run("SELECT id FROM part WHERE tag = ?", bench.whole.sensor)
    with bench.changed("journal"):
        bench.run("DELETE FROM journal WHERE thing_id = ? AND sequence > 2", key)
        found = verify(bench.record)
    assert _named(found, "work", {bench.whole.sensor})
    assert _named(found, "checkpoint", {f"checkpoint {key % 64}"}, "entries")
    assert _named(found, "checkpoint", {f"checkpoint {key % 64}"}, "sum")


def test_a_tail_taken_out_with_all_that_it_wrote_is_named(bench: Bench) -> None:
    """Rows and entry are as they were before the act: only the checkpoint still knows."""
    ((key, images),) = bench.run(
        "SELECT thing_id, images FROM journal WHERE act = 'fits' ORDER BY thing_id DESC LIMIT 1"
    )
    written = json.loads(images)
    assert {table for table, _, _ in written} == {"thing", "part_number"}
    rows = [(table, row) for table, row, _ in written]
    fits = bench.run("SELECT id FROM fit WHERE unit_number_id = ?", key)
    tables = ("journal", "thing", "part_number", "fit")
    with bench.changed(*tables):
        bench.run("DELETE FROM journal WHERE thing_id = ?", key)
        for table, row in rows + [("fit", row) for (row,) in fits]:
            bench.run(f"DELETE FROM {table} WHERE id = ?", row)
        found = verify(bench.record)
    assert _named(found, "checkpoint", {f"checkpoint {key % 64}"}, "entries")
    assert _named(found, "fit", {"HV 204 118"})


def test_a_chain_taken_out_is_named(bench: Bench) -> None:
    ((key,),) = bench.run("SELECT id FROM place WHERE name = 'B2'")
    with bench.changed("journal"):
        bench.run("DELETE FROM journal WHERE thing_id = ?", key)
        found = verify(bench.record)
    assert _named(found, "place", {"B2"})
    assert _named(found, "place_description", {"B2"})
    assert _named(found, "checkpoint", {f"checkpoint {key % 64}"}, "sum")


def test_a_chain_taken_out_with_its_rows_is_named(bench: Bench) -> None:
    ((key,),) = bench.run("SELECT id FROM place WHERE name = 'B2'")
    with bench.changed("journal", "place", "place_description", "thing"):
        for table, column in (
            ("journal", "thing_id"),
            ("place_description", "thing_id"),
            ("place", "id"),
            ("thing", "id"),
        ):
            bench.run(f"DELETE FROM {table} WHERE {column} = ?", key)
        found = verify(bench.record)
    assert _named(found, "checkpoint", {f"checkpoint {key % 64}"}, "entries")
    assert _named(found, "checkpoint", {f"checkpoint {key % 64}"}, "sum")
    assert _named(found, "part", {bench.whole.sensor}, "place_id")
    assert _named(found, "move", {bench.whole.sensor}, "place_id")


def _forge(bench: Bench, thing: int, images: list[Any]) -> dict[str, Any]:
    """One more entry at the end of a chain, as the program would have written it."""
    cursor = bench.plain.execute(f"SELECT * FROM journal WHERE thing_id = {thing} ORDER BY sequence DESC LIMIT 1")
    names = [column[0] for column in cursor.description]
    last = dict(zip(names, cursor.fetchone(), strict=True))
    entry = {**last, "sequence": last["sequence"] + 1, "previous": last["hash"], "images": json.dumps(images)}
    entry["hash"] = entry_hash(entry)
    marks = ", ".join([bench.mark] * len(entry))
    bench.plain.execute(f"INSERT INTO journal ({', '.join(entry)}) VALUES ({marks})", tuple(entry.values()))
    bench.plain.commit()
    return entry


def test_an_entry_put_in_that_fits_its_chain_is_named(bench: Bench) -> None:
    ((key,),) = bench.run("SELECT id FROM part WHERE tag = ?", bench.whole.relay)
    with bench.changed("journal"):
        _forge(bench, key, [])
        found = verify(bench.record)
    assert [(problem.thing, problem.column) for problem in found.problems] == [
        (f"checkpoint {key % 64}", "entries"),
        (f"checkpoint {key % 64}", "sum"),
    ]


def test_a_row_that_two_chains_claim_is_named(bench: Bench) -> None:
    """Told once of its own thing and once of another; and an image that says it is of another thing."""
    ((relay,),) = bench.run("SELECT id FROM part WHERE tag = ?", bench.whole.relay)
    row = bench.first("work")
    assert row["thing_id"] != relay
    with bench.changed("journal"):
        forged = _forge(bench, relay, [["work", row["id"], {**row, "thing_id": relay}]])
        found = verify(bench.record)
    assert any(
        problem.entry == forged["sequence"] and problem.thing == bench.whole.relay for problem in found.problems
    ), found.problems
    with bench.changed("journal"):
        forged = _forge(bench, relay, [["work", row["id"], row]])
        found = verify(bench.record)
    assert _named(found, "journal", {bench.whole.relay}, "images")


def test_whoever_rewrites_everything_is_shown_by_a_fingerprint_kept_elsewhere(bench: Bench) -> None:
    """What `verify` cannot catch, and the remedy."""
    kept = verify(bench.record).fingerprint
    row = bench.first("car_cover")
    row["policy"] = "P 8"
    with bench.changed("journal", "checkpoint", "car_cover"):
        bench.run("UPDATE car_cover SET policy = 'P 8' WHERE id = ?", row["id"])
        forged = _forge(bench, row["thing_id"], [["car_cover", row["id"], row]])
        slot = row["thing_id"] % 64
        ((total,),) = bench.run("SELECT sum FROM checkpoint WHERE slot = ?", slot)
        added = f"{(int(total, 16) + int(forged['hash'], 16)) % (1 << 256):064x}"
        bench.run("UPDATE checkpoint SET entries = entries + 1, sum = ? WHERE slot = ?", added, slot)
        found = verify(bench.record)
    assert found.ok
    assert found.fingerprint != kept
    assert verify(bench.record).fingerprint == kept


def test_a_document_that_is_not_the_one_taken_in_is_named(sqlite_target: str, tmp_path: Path) -> None:
    """On one file the bytes lie beside it; on PostgreSQL they are a column, changed above."""
    record = open_record(sqlite_target)
    whole_record(record, tmp_path)
    (held,) = [path for path in Path(f"{record.path}.documents").rglob("*") if path.is_file() and _is_picture(path)]
    held.write_bytes(b"another picture of it here.")
    assert [(found.thing, found.column) for found in verify(record).problems] == [("a.jpg", "content")]
    held.unlink()
    assert [(found.thing, found.column) for found in verify(record).problems] == [("a.jpg", None)]
    record.close()


def _is_picture(path: Path) -> bool:
    return path.read_bytes() == b"a picture of the inner wing"


def test_a_clean_record_verifies_clean_with_the_keys_scripts_rely_on(bench: Bench, record: Record) -> None:
    fresh = verify(record)
    assert (fresh.ok, fresh.entries, fresh.problems) == (True, 1, ())
    found = verify(bench.record).as_dict()
    ((entries,),) = bench.run("SELECT count(*) FROM journal")
    assert found == {"ok": True, "entries": entries, "problems": [], "fingerprint": found["fingerprint"]}
    assert len(found["fingerprint"]) == 64
    with bench.changed("car"):
        bench.run("UPDATE car SET year = '1973'")
        (problem,) = verify(bench.record).as_dict()["problems"]
    assert {**problem, "says": ""} == {"thing": CAR, "entry": 1, "table": "car", "column": "year", "says": ""}
    assert problem["says"].startswith(f"{CAR}, ")
    assert problem["says"].endswith('car: year was "1972" when it was written and is "1973" now')


def test_verifying_writes_nothing_and_reads_one_state(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody logs a part while a verification runs: it sees the record as it was when it began."""
    whole_record(record, tmp_path)
    before = verify(record)
    checked: Callable[..., Any] = verification.checkpoint_problems

    def meanwhile(*given: Any) -> Any:
        make_part(record)
        return checked(*given)

    monkeypatch.setattr(verification, "checkpoint_problems", meanwhile)
    during = verify(record)
    monkeypatch.undo()
    assert (during.problems, during.entries, during.fingerprint) == ((), before.entries, before.fingerprint)
    assert verify(record).entries > before.entries


def test_a_record_that_may_only_be_read_is_verified(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    whole_record(record, tmp_path)

    @sa.event.listens_for(record.engine, "connect")
    def _only_read(connection: Any, _: object) -> None:
        connection.execute("PRAGMA query_only = ON")

    record.engine.dispose()
    with record.read() as session, pytest.raises(sa.exc.OperationalError, match="readonly"):
        session.execute(sa.text("DELETE FROM search_entry"))
    assert verify(record).ok
    record.close()


def test_things_are_read_in_batches(record: Record, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The bounds of a batch lose no row: found alike with batches of one, of three and of all."""
    from inventory.store import replay

    whole_record(record, tmp_path)
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE marking SET marks = 'none'"))
    seen = []
    for size in (1, 3, 1000):
        monkeypatch.setattr(verification, "replay_problems", lambda *given, n=size: replay.replay_problems(*given, n))
        seen.append({problem.says for problem in verify(record).problems if problem.table == "marking"})
    assert len(seen[0]) == 3
    assert seen[0] == seen[1] == seen[2]


def test_a_removed_person_stays_removed(record: Record, tmp_path: Path) -> None:
    """Blanked by the program: clean. Blanked or brought back by hand: named."""
    whole_record(record, tmp_path)
    assert verify(record).ok
    with record.engine.begin() as plain:
        held = plain.execute(sa.text("SELECT digest FROM personal WHERE text IS NULL")).scalars().all()
        assert len(held) == 2
        plain.execute(
            sa.text("UPDATE personal SET salt = NULL, text = NULL, text_folded = NULL WHERE text = 'Mill Lane 4'")
        )
    (problem,) = verify(record).problems
    assert (problem.thing, problem.table, problem.column) == ("Marta Lindqvist", "personal", "text")
    with record.engine.begin() as plain:
        plain.execute(
            sa.text("UPDATE personal SET salt = 'x', text = 'y', text_folded = 'y' WHERE digest = :d"), {"d": held[0]}
        )
    assert any("is back" in problem.says for problem in verify(record).problems)


def test_a_row_kept_for_speed_that_was_changed_with_its_journal_is_named(record: Record) -> None:
    """Journal and part agree, the facts do not: the part's line is worked out anew and compared."""
    make_car(record)
    tag = make_part(record)
    with record.write() as session:
        from inventory.parts.queries import part_row
        from inventory.provenance.hands import begin_act
        from inventory.store import journal

        part = part_row(session, tag)
        part.seal_state = "intact"
        journal.write(session, begin_act(session, "by hand", BY), [part])
    first, second = verify(record).problems
    assert (first.thing, first.table, first.column) == (tag, "part", "seal_state")
    assert (second.thing, second.table, second.column) == (tag, "search_entry", "text")
    with record.write() as session:
        parts.note(session, BY, tag, "looked at")
    assert verify(record).ok
