"""Whatever is changed outside the program is found and named: each column, each row, a tail, a chain, the log.

Many tables are changed at once and verified once: each of the changes must be named, with its thing, table and column.
"""

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

import inventory.declared
from inventory import verification
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.store.journal.images import entry_hash
from inventory.store.journal.log import anchor, frontier_text, leaf, root_at
from inventory.store.journal.merkle import Tree
from inventory.store.record import Record
from inventory.store.tables import Base
from inventory.store.verify.index import index_problems
from inventory.verification import Verification, verify
from tests.build import BY, CAR, Whole, make_car, make_part, whole_record

assert inventory.declared
TABLES = {**Base.metadata.tables}
KEYS = {name: [column.name for column in table.primary_key] for name, table in TABLES.items()}
#: The journal and what is made of it: changed apart, since all else is compared with them.
JOURNAL = ("journal", "log", "log_head")
#: What is held against facts and not against the journal: changed apart too, while the facts are as they were.
DERIVED = ("search_entry", "personal", "document_content")
COMPARED = sorted({*TABLES} - {*JOURNAL, *DERIVED})
MOST_COLUMNS = max(len(TABLES[name].c) for name in COMPARED)
SHADOW = {
    "search_index_data": ("id", "block"),
    "search_index_idx": ("segid", "term", "pgno"),
    "search_index_docsize": ("id", "sz"),
    "search_index_config": ("k", "v"),
}


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

    def rows(self, table: str) -> list[dict[str, Any]]:
        """The rows of a table by their key."""
        order = ["text IS NULL", "text"] if table == "personal" else KEYS[table]
        cursor = self.plain.execute(f"SELECT * FROM {table} ORDER BY {', '.join(order)}")
        names = [column[0] for column in cursor.description]
        found = [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]
        self.plain.commit()
        return found

    def derived(self) -> list[str]:
        """The derived tables that hold something: on SQLite documents lie in a folder beside the record."""
        return [name for name in DERIVED if name != "document_content" or self.mark != "?"]

    def set(self, table: str, row: dict[str, Any], values: dict[str, str], *given: Any) -> None:
        """Change columns of one row; each value is SQL, with ? for what is given."""
        where = " AND ".join(f"{name} = ?" for name in KEYS[table])
        setting = ", ".join(f"{name} = {value}" for name, value in values.items())
        self.run(f"UPDATE {table} SET {setting} WHERE {where}", *given, *(row[name] for name in KEYS[table]))

    def insert(self, table: str, row: dict[str, Any]) -> None:
        """Put a row in."""
        self.run(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})", *row.values())

    def key_of(self, tag: str) -> int:
        """The key of a part."""
        ((key,),) = self.run("SELECT id FROM part WHERE tag = ?", tag)
        return int(key)

    def verified(self, work: Callable[[], object], *tables: str) -> Verification:
        """What is found once this was done to these tables; then their rows are as they were."""
        with self.changed(*tables):
            work()
            return verify(self.record)

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
        if table == "document_content":
            return {*(name for (name,) in self.run("SELECT file_name FROM document")), None}
        key = next(row[name] for name in ("thing_id", "part_id", "id") if name in row)
        return {*self.labels.get(key, ()), f"thing {key}", "the log"}


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def bench(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    folder = tmp_path_factory.mktemp("whole")
    if request.param == "sqlite":
        target = str(folder / "record.db")
        Path(target).write_bytes(request.getfixturevalue("sqlite_template"))
        plain: Any = sqlite3.connect(target)
        plain.execute("PRAGMA synchronous = OFF")
    else:
        from tests.databases import connected

        target = request.getfixturevalue("new_database")("template_record")
        plain = connected(target)
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


def test_every_table_has_a_row_to_be_changed(bench: Bench) -> None:
    assert [table for table in (*JOURNAL, *COMPARED, *bench.derived()) if not bench.rows(table)] == []


@pytest.mark.parametrize("turn", range(MOST_COLUMNS))
def test_a_changed_column_in_each_table_is_named(bench: Bench, turn: int) -> None:
    """One column of each table at once; with as many turns as the widest table has columns, every column has its turn.

    The row is the one that comes last by its key, or in every other turn the first.
    """
    changed = []
    with bench.changed(*COMPARED):
        for table in COMPARED:
            columns = TABLES[table].c.keys()
            column = columns[turn % len(columns)]
            changed.append((table, column, _change(bench, table, column, 0 if turn % 2 else -1)))
        found = verify(bench.record)

    for table, column, things in changed:
        where = () if column in KEYS[table] else (column,)
        assert _named(found, table, things, *where), (table, column, found.problems)


def _change(bench: Bench, table: str, column: str, which: int = 0) -> set[str | None]:
    """Change one column of a row. Gives what its thing may be called."""
    rows = bench.rows(table)
    row = rows[which]
    highest = max(each[column] for each in rows) if column in KEYS[table] else None
    things = bench.thing_of(table, row)
    bench.set(table, row, {column: "?"}, _another(table, column, row[column], highest))
    return things


def test_each_column_of_what_is_derived_is_named_when_changed(bench: Bench) -> None:
    for table in bench.derived():
        for column in TABLES[table].c.keys():  # noqa: SIM118 - a collection of columns, not a mapping
            with bench.changed(table):
                things = _change(bench, table, column)
                found = verify(bench.record)
            where = {"salt": ["text"]}.get(column, [] if column in KEYS[table] else [column])
            assert _named(found, table, things, *where), (table, column, found.problems)
            with bench.changed(table):
                key, *_ = KEYS[table]
                bench.run(f"DELETE FROM {table} WHERE {key} = ?", bench.rows(table)[0][key])
                found = verify(bench.record)
            assert _named(found, table, things), (table, found.problems)


#: Values that nothing in the program writes, as SQL: for a number, and for a text of any length. Far too much;
#: marks that steer a terminal or turn a line; bytes that are no text; bytes. Only the first for any engine.
NONSENSE = (
    ("999999999", "'7'"),
    ("'many'", "CAST(x'1be280ae' AS TEXT)"),
    ("x'00ff'", "CAST(x'61fffe' AS TEXT)"),
    ("2.5", "x'00ff'"),
)


def test_nonsense_in_every_column_of_every_table_is_named_and_stops_nothing(bench: Bench) -> None:
    """SQLite takes anything anywhere; PostgreSQL keeps at least to the type."""
    for number, words in NONSENSE if bench.mark == "?" else NONSENSE[:1]:
        changed = []
        with bench.changed(*COMPARED):
            for table in COMPARED:
                changed.append((table, *_nonsense(bench, table, number, words)))
            found = verify(bench.record)
        for table, names, things in changed:
            for name in ["thing_id"] if "thing_id" in names else names:
                assert _named(found, table, things, name), (words, table, name, found.problems)
        _can_be_printed(found)


def _nonsense(bench: Bench, table: str, number: str, words: str, which: int = 0) -> tuple[list[str], set[str | None]]:
    """Put nonsense into all columns of a row but its key. Gives their names, and what the row's thing may be called."""
    row = bench.rows(table)[which]
    columns = [column for column in TABLES[table].c if column.name not in KEYS[table]]
    values = {each.name: number if isinstance(each.type, sa.Integer) else words for each in columns}
    things = bench.thing_of(table, row)
    bench.set(table, row, values)
    return [*values], things


def test_nonsense_in_the_journal_the_log_and_what_is_derived_is_named_and_stops_nothing(bench: Bench) -> None:
    for table in (*JOURNAL, "search_entry", "personal"):
        for number, words in NONSENSE if bench.mark == "?" else NONSENSE[:1]:
            with bench.changed(table):
                _nonsense(bench, table, number, words, 0 if table in DERIVED else -1)
                found = verify(bench.record)
            assert any(problem.table == table for problem in found.problems), (table, words, found.problems)
            _can_be_printed(found)


def _can_be_printed(found: Verification) -> None:
    assert all(problem.says.isprintable() for problem in found.problems)
    json.dumps(found.as_dict()).encode()


def test_a_row_taken_out_of_each_table_is_named(bench: Bench) -> None:
    taken = []
    with bench.changed(*COMPARED):
        for table in COMPARED:
            row = bench.rows(table)[0]
            taken.append((table, bench.thing_of(table, row)))
            where = " AND ".join(f"{name} = ?" for name in KEYS[table])
            bench.run(f"DELETE FROM {table} WHERE {where}", *(row[name] for name in KEYS[table]))
        found = verify(bench.record)

    for table, things in taken:
        assert _named(found, table, things), (table, found.problems)


def test_a_row_put_into_each_table_is_named(bench: Bench) -> None:
    every = (*COMPARED, *bench.derived())
    with bench.changed(*every):
        for table in every:
            bench.insert(table, _one_more(bench, table))
        found = verify(bench.record)

    assert {*every} <= {problem.table for problem in found.problems}, found.problems


def _one_more(bench: Bench, table: str) -> dict[str, Any]:
    """The first row of a table with another key, and with other values where two rows may not share one."""
    row = bench.rows(table)[0]
    unique = {column.name for each in TABLES[table].constraints for column in each.columns}
    for name in {*KEYS[table], *(unique - {"thing_id"})}:
        if isinstance(row[name], int) and name in KEYS[table]:
            ((highest,),) = bench.run(f"SELECT max({name}) FROM {table}")
            row[name] = highest + 1
        elif isinstance(row[name], str):
            row[name] = "1" * len(row[name])
    return row


def test_the_mark_of_the_schema_is_compared(bench: Bench) -> None:
    for change in (
        "UPDATE alembic_version SET version_num = '0000'",
        "DELETE FROM alembic_version",
        "INSERT INTO alembic_version VALUES ('0000')",
    ):
        found = bench.verified(lambda change=change: bench.run(change), "alembic_version")  # type: ignore[misc]
        assert [(each.thing, each.table, each.column) for each in found.problems] == [
            ("the record", "alembic_version", "version_num")
        ]


@pytest.mark.parametrize("bench", ["sqlite"], indirect=True, scope="module")
def test_each_column_of_the_full_text_index_is_named_when_changed(bench: Bench) -> None:
    """The rows in which SQLite keeps the index; on PostgreSQL the server keeps it and no SQL reaches it."""
    for table, columns in SHADOW.items():
        keys = {"search_index_idx": "segid, term", "search_index_config": "k"}.get(table, "id")
        for row in bench.run(f"SELECT {keys} FROM {table}"):
            where = " AND ".join(f"{name} = ?" for name in keys.split(", "))
            for change in [f"UPDATE {table} SET {name} = ?" for name in columns] + [f"DELETE FROM {table}"]:
                with bench.changed(table):
                    values = [12345] if "?" in change else []
                    bench.run(f"{change} WHERE {where}", *values, *row)
                    with bench.record.read() as session:
                        found = index_problems(session)
                assert [problem.table for problem in found] == ["search_index"], (row, change)


@pytest.mark.parametrize("column", TABLES["journal"].c.keys())
def test_each_column_of_an_entry_is_named_when_changed(bench: Bench, column: str) -> None:
    """Of the first entry of a part, so that others follow; and of its last, which none follows."""
    entries = [row for row in bench.rows("journal") if row["thing_id"] == bench.key_of(bench.whole.sensor)]
    for entry in (entries[0], entries[-1]):
        highest = max(each[column] for each in bench.rows("journal")) if column in KEYS["journal"] else None
        value = _another("journal", column, entry[column], highest)
        found = bench.verified(lambda e=entry, v=value: bench.set("journal", e, {column: "?"}, v), "journal")  # type: ignore[misc]
        things = {bench.whole.sensor, *bench.labels.get(value if column == "thing_id" else 0, ()), f"thing {value}"}
        named = [each for each in found.problems if each.table == "journal" and each.thing in things]
        assert named, found.problems
        if column not in KEYS["journal"]:
            assert named[0].entry == entry["sequence"], found.problems


def test_a_tail_taken_out_is_named(bench: Bench) -> None:
    """The last entries of a part's journal are gone, its rows are still there; with their places, and without."""
    key = bench.key_of(bench.whole.sensor)

    def cut(*tables: str) -> None:
        for table in tables:
            bench.run(f"DELETE FROM {table} WHERE thing_id = ? AND sequence > 2", key)

    found = bench.verified(lambda: cut("journal"), "journal")
    assert _named(found, "work", {bench.whole.sensor})
    gone = [each.entry for each in found.problems if each.table == "log" and each.thing == bench.whole.sensor]
    assert gone == list(range(3, 3 + len(gone)))
    assert gone

    found = bench.verified(lambda: cut("journal", "log"), "journal", "log")
    assert _named(found, "work", {bench.whole.sensor})
    assert _named(found, "log", {None}, "place")


def test_a_tail_taken_out_with_all_that_it_wrote_is_named(bench: Bench) -> None:
    """Rows, entry and place are as they were before the act, which was the last: only the head of the log knows."""
    last = bench.rows("log")[-1]
    (entry,) = [row for row in bench.rows("journal") if _is_at(row, last)]
    written = json.loads(entry["images"])["made"]
    assert [table for table, _, _ in written] == ["wrong_clock"]

    def cut() -> None:
        for table in ("journal", "log"):
            bench.run(f"DELETE FROM {table} WHERE thing_id = ? AND sequence = ?", last["thing_id"], last["sequence"])
        for table, key, _ in written:
            bench.run(f"DELETE FROM {table} WHERE id = ?", key)

    found = bench.verified(cut, "journal", "log", "wrong_clock")
    assert [(each.thing, each.table, each.column) for each in found.problems] == [("the log", "log_head", "size")]


def _is_at(row: dict[str, Any], place: dict[str, Any]) -> bool:
    return (row["thing_id"], row["sequence"]) == (place["thing_id"], place["sequence"])


def test_a_chain_taken_out_is_named(bench: Bench) -> None:
    """A whole chain: alone, with the rows it made, and with its places as well."""
    ((key,),) = bench.run("SELECT id FROM place WHERE name = 'B2'")
    rows = (("place_description", "thing_id"), ("place", "id"), ("thing", "id"))

    def cut(*tables: tuple[str, str]) -> None:
        for table, column in tables:
            bench.run(f"DELETE FROM {table} WHERE {column} = ?", key)

    found = bench.verified(lambda: cut(("journal", "thing_id")), "journal")
    assert _named(found, "place", {"B2"})
    assert _named(found, "place_description", {"B2"})
    assert _named(found, "log", {"B2"})

    found = bench.verified(lambda: cut(("journal", "thing_id"), *rows), "journal", *(table for table, _ in rows))
    assert _named(found, "log", {f"thing {key}"})
    assert _named(found, "part", {bench.whole.sensor}, "place_id")
    assert _named(found, "move", {bench.whole.sensor}, "place_id")

    every = (("journal", "thing_id"), ("log", "thing_id"), *rows)
    found = bench.verified(lambda: cut(*every), *(table for table, _ in every))
    assert _named(found, "log", {None}, "place")


def test_the_log_itself_is_compared(bench: Bench) -> None:
    """Entries without a place, with two, places without an entry, gaps, places exchanged, and the log's head."""
    places = bench.rows("log")
    first, second, *_ = (row for row in places if row["thing_id"] == bench.key_of(bench.whole.unit))
    last = len(places)
    other = next(row for row in places if row["thing_id"] != first["thing_id"])
    unit, head = bench.whole.unit, "the log"

    def exchanged() -> None:
        for row, to in ((first, other), (other, first)):
            bench.set("log", row, {"thing_id": "?", "sequence": "?"}, to["thing_id"], to["sequence"])

    for change, expected in (
        (lambda: bench.run("DELETE FROM log WHERE place = ?", first["place"]), (unit, "log", None, 1)),
        (lambda: bench.run("DELETE FROM log WHERE place = ?", first["place"]), (None, "log", "place", None)),
        (lambda: bench.run("DELETE FROM log WHERE place = ?", last), (head, "log_head", "size", None)),
        (lambda: bench.set("log", first, {"sequence": "2"}), (unit, "log", None, 1)),
        (lambda: bench.set("log", first, {"sequence": "2"}), (unit, "log", None, 2)),
        (lambda: bench.set("log", second, {"sequence": "9"}), (unit, "log", None, 9)),
        (lambda: bench.set("log", first, {"place": "?"}, last + 3), (None, "log", "place", None)),
        (lambda: bench.insert("log", {**first, "place": last + 1}), (unit, "log", None, 1)),
        (exchanged, (head, "log_head", "frontier", None)),
        (lambda: bench.run("DELETE FROM log_head"), (head, "log_head", None, None)),
        (lambda: bench.insert("log_head", {"id": 2, "size": 0, "frontier": ""}), (head, "log_head", "id", None)),
        (lambda: bench.run("UPDATE log_head SET size = size - 1"), (head, "log_head", "size", None)),
        (lambda: bench.run("UPDATE log_head SET frontier = ''"), (head, "log_head", "frontier", None)),
    ):
        found = bench.verified(change, "log", "log_head")
        named = [(each.thing, each.table, each.column, each.entry) for each in found.problems]
        assert expected in named, (expected, named)


def _forge(bench: Bench, thing: int, said: dict[str, Any]) -> dict[str, Any]:
    """One more entry at the end of a chain, as the program would have written it; without a place."""
    last = [row for row in bench.rows("journal") if row["thing_id"] == thing][-1]
    entry = {**last, "sequence": last["sequence"] + 1, "previous": last["hash"], "images": json.dumps(said)}
    entry["hash"] = entry_hash(entry)
    bench.insert("journal", entry)
    return entry


def _rebuild_log(bench: Bench) -> None:
    """Give each entry without a place the next one, and make the head fit, as somebody would who rewrites everything."""
    places = bench.rows("log")
    for row in bench.rows("journal"):
        if not any(_is_at(row, place) for place in places):
            bench.insert("log", {"place": len(places) + 1, "thing_id": row["thing_id"], "sequence": row["sequence"]})
            places = bench.rows("log")
    tree = Tree()
    hashes = {(row["thing_id"], row["sequence"]): row["hash"] for row in bench.rows("journal")}
    for place in places:
        tree.add(leaf(hashes[place["thing_id"], place["sequence"]]))
    bench.run("UPDATE log_head SET size = ?, frontier = ?", tree.size, frontier_text(tree))


def test_an_entry_put_in_that_fits_its_chain_is_named(bench: Bench) -> None:
    key = bench.key_of(bench.whole.relay)
    with bench.changed("journal"):
        forged = _forge(bench, key, {"day": "2026-03-31"})
        found = verify(bench.record)
    assert [(each.thing, each.table, each.entry) for each in found.problems] == [
        (bench.whole.relay, "log", forged["sequence"])
    ]


def test_a_row_that_two_chains_claim_is_named(bench: Bench) -> None:
    """Told once of its own thing and once of another; changed by another; and made by nobody."""
    relay = bench.key_of(bench.whole.relay)
    row = bench.rows("work")[0]
    assert row["thing_id"] != relay
    for said in (
        {"day": row["recorded_on"], "made": [["work", row["id"], {**row, "thing_id": relay}]]},
        {"day": row["recorded_on"], "made": [["work", row["id"], row]]},
        {"day": row["recorded_on"], "changed": [["work", row["id"], {"what": "new seals"}]]},
        {"day": row["recorded_on"], "changed": [["work", 9999, {"what": "new seals"}]]},
    ):
        with bench.changed("journal"):
            forged = _forge(bench, relay, said)
            found = verify(bench.record)
        named = [each for each in found.problems if each.table == "journal" and each.column == "images"]
        assert [(each.thing, each.entry) for each in named] == [(bench.whole.relay, forged["sequence"])], said


def test_whoever_rewrites_everything_is_shown_by_an_anchor_kept_elsewhere(bench: Bench) -> None:
    """What `verify` cannot catch, and the remedy: the anchor of then is found in what only grew, not in a forgery."""
    kept = verify(bench.record)
    row = bench.rows("wrong_clock")[0]
    another = {"reason": "it was set wrong"}

    def found_again() -> bool:
        with bench.record.read() as session:
            root = root_at(session, kept.entries)
            return root is not None and anchor(session, kept.entries, root) == kept.anchor

    assert found_again()
    with bench.changed(*JOURNAL, "wrong_clock"):
        bench.set("wrong_clock", row, {"reason": "?"}, another["reason"])
        _forge(bench, row["thing_id"], {"day": "2026-03-31", "changed": [["wrong_clock", row["id"], another]]})
        _rebuild_log(bench)
        found = verify(bench.record)
        assert found.ok
        assert found.anchor != kept.anchor
        assert found_again(), "an entry was added, none was changed"
    with bench.changed(*JOURNAL, "wrong_clock"):
        bench.set("wrong_clock", row, {"reason": "?"}, another["reason"])
        entry = [each for each in bench.rows("journal") if each["thing_id"] == row["thing_id"]][-1]
        assert row["reason"] in entry["images"]
        entry["images"] = entry["images"].replace(row["reason"], another["reason"])
        bench.set("journal", entry, {"images": "?", "hash": "?"}, entry["images"], entry_hash(entry))
        _rebuild_log(bench)
        assert verify(bench.record).ok
        assert not found_again(), "an entry is another one now"
    assert verify(bench.record).anchor == kept.anchor


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
    ((zone,),) = bench.run("SELECT zone FROM record_info")
    kept = found["anchor"]
    clean = {"ok": True, "entries": entries, "problems": [], "anchor": kept, "fingerprint": kept, "zone": zone}
    clean |= {"words_removed": 1, "remarks": []}
    assert found == clean
    assert len(kept) == 64
    with bench.changed("car"):
        bench.run("UPDATE car SET year = '1973'")
        (problem,) = verify(bench.record).as_dict()["problems"]
    assert {**problem, "says": ""} == {"thing": CAR, "entry": 1, "table": "car", "column": "year", "says": ""}
    assert problem["says"].startswith(f"{CAR}, ")
    assert problem["says"].endswith('car: year was "1972" when it was written and is "1973" now')


def test_a_column_is_named_with_the_entry_that_last_changed_it(bench: Bench) -> None:
    """The relay was remarked on, which was taken back: who took it back is said by a later entry than what was said."""
    relay = bench.whole.relay
    note = next(row for row in bench.rows("note") if row["thing_id"] == bench.key_of(relay))

    def change() -> None:
        bench.set("note", note, {"text": "?", "superseded_on": "?"}, "hums", "2001-02-03")

    found = bench.verified(change, "note")
    entries = {problem.column: problem.entry for problem in found.problems if problem.table == "note"}
    assert entries["text"] < entries["superseded_on"]


def test_verifying_writes_nothing_and_reads_one_state(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody logs a part while a verification runs: it sees the record as it was when it began."""
    whole_record(record, tmp_path)
    before = verify(record)
    checked: Callable[..., Any] = verification.read_log

    def meanwhile(*given: Any) -> Any:
        make_part(record)
        return checked(*given)

    monkeypatch.setattr(verification, "read_log", meanwhile)
    during = verify(record)
    monkeypatch.undo()
    assert (during.problems, during.entries, during.anchor) == ((), before.entries, before.anchor)
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
    from inventory.store.verify import replay

    whole_record(record, tmp_path)
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE marking SET marks = 'none'"))
    seen = []
    for size in (1, 3, 1000):
        monkeypatch.setattr(verification, "replay_problems", lambda session, n=size: replay.replay_problems(session, n))
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
        from inventory.people.actions import begin_act
        from inventory.store.journal import entries as journal

        part = part_row(session, tag)
        part.seal_state = "intact"
        journal.write(session, begin_act(session, "by hand", BY, part.id), [part])
    first, second = verify(record).problems
    assert (first.thing, first.table, first.column) == (tag, "part", "seal_state")
    assert (second.thing, second.table, second.column) == (tag, "search_entry", "text")
    with record.write() as session:
        parts.note(session, BY, tag, "looked at")
    assert verify(record).ok
