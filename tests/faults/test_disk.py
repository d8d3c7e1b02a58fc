"""Disks and files that do not do what they should: one clear sentence, nothing changed, nothing written lost."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event, func, select, text

from inventory.errors import Damaged, Refused
from inventory.opening import make_record, open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.tables import Part
from inventory.store.connection import reading
from inventory.store.connection.readonly import fetch_all
from inventory.store.record import Record
from inventory.verification import verify
from tests.build import make_part


@pytest.fixture
def mount(tmp_path: Path) -> Iterator[Callable[..., Path]]:
    """A function that mounts a disk of its own of a size; only root can, so others leave these tests out."""
    with ExitStack() as mounted:

        def make(size: str) -> Path:
            folder = tmp_path / "disk"
            folder.mkdir()
            made = subprocess.run(
                ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(folder)], capture_output=True, text=True
            )
            if made.returncode:
                pytest.skip(f"no disk can be mounted here: {made.stderr.strip()}")
            mounted.callback(subprocess.run, ["umount", "-l", str(folder)], check=True)
            return folder

        if shutil.which("mount") is None or os.geteuid() != 0:
            pytest.skip("only root can mount a disk")
        yield make


def _fill(record: Record) -> tuple[list[str], Refused]:
    """Enter parts until it is refused; those that were entered, and what was said."""
    entered: list[str] = []
    for number in range(2000):
        try:
            entered.append(make_part(record, Markings(kind="relay", serial=f"{number:05d}", marks="x" * 1500)))
        except Refused as refused:
            return entered, refused
    raise AssertionError("the disk did not fill")


def _tags(record: Record) -> set[str]:
    with record.read() as session:
        return set(session.scalars(select(Part.tag)))


def test_a_record_that_may_not_grow_says_so_and_loses_nothing(sqlite_target: str) -> None:
    """The engine's own limit of pages, so that it can be tried by anybody; the sentence is that of a full disk."""
    record = open_record(sqlite_target)

    @event.listens_for(record.engine, "connect")
    def _small(connection: Any, _: object) -> None:
        connection.execute("PRAGMA max_page_count = 130")

    record.engine.dispose()
    entered, refused = _fill(record)
    assert refused.code == "disk-full"
    assert refused.message.startswith("This disk is full")
    assert _tags(record) == set(entered)
    assert verify(record).problems == ()
    record.close()


def test_a_full_disk_says_so_and_loses_nothing(sqlite_target: str, mount: Callable[..., Path], tmp_path: Path) -> None:
    disk = mount("1500k")
    path = disk / "record.db"
    shutil.copy(sqlite_target, path)
    record = open_record(str(path))
    entered, refused = _fill(record)
    assert refused.code == "disk-full"
    assert len(entered) > 5
    record.close()
    record = open_record(str(path))
    assert _tags(record) == set(entered)
    assert verify(record).problems == ()
    subprocess.run(["mount", "-o", "remount,size=20m", str(disk)], check=True)
    entered.append(make_part(record))
    assert _tags(record) == set(entered)
    record.close()


@pytest.mark.parametrize("settled", [True, False], ids=["settled", "with a log"])
def test_on_a_full_disk_reading_goes_on(
    sqlite_target: str, mount: Callable[..., Path], settled: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The two files beside a record, without which SQLite reads no log, cannot be made there."""
    disk = mount("1500k")
    path = disk / "record.db"
    monkeypatch.setenv("TMPDIR", str(disk))  # a laptop has one disk
    opened = open_record(sqlite_target)
    tag = make_part(opened)
    if settled:
        opened.close()
    shutil.copy(sqlite_target, path)
    if not settled:
        shutil.copy(f"{sqlite_target}-wal", f"{path}-wal")
        opened.close()
    _fill_up(disk)
    _reads_but_does_not_write(path, tag)
    record = open_record(str(path))
    (disk / "fill").unlink()
    assert _tags(record) == {tag}
    assert make_part(record)
    assert verify(record).problems == ()
    record.close()


def test_where_the_disk_is_said_to_be_full_reading_goes_on(sqlite_target: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same, by whoever may mount no disk: the engine's words put in."""
    record = open_record(sqlite_target)
    tag = make_part(record)
    record.close()
    plain = reading._connected

    def full(path: Path, how: str, *rest: Any, **more: Any) -> sqlite3.Connection:
        if how == "mode=rw" and not rest[1:]:
            raise sqlite3.OperationalError("database or disk is full")
        return plain(path, how, *rest, **more)

    monkeypatch.setattr(reading, "_connected", full)
    _reads_but_does_not_write(Path(sqlite_target), tag)


def _fill_up(disk: Path) -> None:
    with (disk / "fill").open("wb", buffering=0) as file, suppress(OSError):
        while file.write(bytes(4096)):
            pass


def _reads_but_does_not_write(path: Path, tag: str) -> None:
    record = open_record(str(path))
    with record.readonly() as source:
        assert fetch_all(source, "SELECT tag FROM part") == [(tag,)]
    assert _tags(record) == {tag}
    assert verify(record).ok
    with pytest.raises(Refused) as refused:
        make_part(record)
    assert refused.value.code == "disk-full"
    assert _tags(record) == {tag}
    record.close()


def test_a_document_that_finds_no_room_is_refused_and_its_fact_with_it(
    sqlite_target: str, mount: Callable[..., Path], tmp_path: Path
) -> None:
    disk = mount("1500k")
    path = disk / "record.db"
    shutil.copy(sqlite_target, path)
    record = open_record(str(path))
    tag = make_part(record)
    picture = tmp_path / "large.jpg"
    picture.write_bytes(b"x" * 3_000_000)
    before = verify(record)
    with pytest.raises(Refused) as refused, record.write() as session:
        parts.attach(session, "Ines", tag, picture)
    assert refused.value.code == "document-not-kept"
    assert verify(record) == before
    assert make_part(record)
    record.close()


def test_a_record_for_which_there_is_no_room_is_not_made(mount: Callable[..., Path]) -> None:
    disk = mount("200k")
    with pytest.raises(Refused) as refused:
        make_record(str(disk / "record.db"))
    assert refused.value.code == "disk-full"
    assert list(disk.iterdir()) == []


def _lock_up(folder: Path, disk: Path | None) -> None:
    """Nothing may be written in the folder: as root by the disk, else by its permissions."""
    if disk is not None:
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        return
    for path in folder.iterdir():
        path.chmod(0o400)
    folder.chmod(0o500)


@pytest.fixture
def locked(request: pytest.FixtureRequest, tmp_path: Path, sqlite_template: bytes) -> Iterator[Path]:
    """A record in a folder in which nothing may be written."""
    disk = request.getfixturevalue("mount")("10m") if os.geteuid() == 0 else None
    folder = disk or tmp_path / "folder"
    folder.mkdir(exist_ok=True)
    path = folder / "record.db"
    path.write_bytes(sqlite_template)
    _lock_up(folder, disk)
    yield path
    if disk is None:
        folder.chmod(0o700)


def test_a_read_only_folder_says_so_and_changes_nothing(locked: Path) -> None:
    before = locked.read_bytes()
    with pytest.raises(Refused) as refused:
        make_part(open_record(str(locked)))
    assert refused.value.code == "record-not-writable"
    with pytest.raises(Refused) as refused:
        make_record(str(locked.with_name("other.db")))
    assert refused.value.code == "folder-not-writable"
    assert locked.read_bytes() == before
    assert [path.name for path in locked.parent.iterdir()] == ["record.db"]


def test_a_file_that_may_only_be_read_is_not_written(sqlite_target: str) -> None:
    """What SQLite says of a file opened for reading, whoever asks."""
    record = open_record(sqlite_target)
    make_part(record)
    before = verify(record)

    @event.listens_for(record.engine, "connect")
    def _only_read(connection: Any, _: object) -> None:
        connection.execute("PRAGMA query_only = ON")

    record.engine.dispose()
    with pytest.raises(Refused) as refused:
        make_part(record)
    assert refused.value.code == "record-not-writable"
    assert verify(record) == before
    record.close()


def _another_programs(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE part (tag TEXT)")
    connection.close()


NOT_RECORDS: dict[str, Callable[[Path], object]] = {
    "a text": lambda path: path.write_text("kind,part number\nrelay,HV 1\n"),
    "an empty file": lambda path: path.write_bytes(b""),
    "another program's database": _another_programs,
    "noise": lambda path: path.write_bytes(bytes(range(256)) * 40),
    "a folder": lambda path: path.mkdir(),
}


@pytest.mark.parametrize("what", NOT_RECORDS)
def test_what_is_no_record_is_not_opened_and_not_touched(what: str, tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    NOT_RECORDS[what](path)
    before = path.read_bytes() if path.is_file() else b""
    for do in (open_record, make_record):
        with pytest.raises(Refused) as refused:
            do(str(path))
        assert refused.value.code == ("not-a-record" if do is open_record else "record-exists")
    assert (path.read_bytes() if path.is_file() else b"") == before
    assert [each.name for each in tmp_path.iterdir()] == ["other.db"]


def test_no_file_at_all_says_how_one_is_made(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        open_record(str(tmp_path / "none.db"))
    assert refused.value.code == "no-record"
    assert refused.value.hint is not None
    assert refused.value.hint.endswith("new")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["record.db-wal", "record.db-journal", "record.db.documents/record.db"])
def test_no_record_is_made_where_another_record_keeps_its_own(sqlite_target: str, name: str) -> None:
    place = Path(sqlite_target).parent / name
    with pytest.raises(Refused) as refused:
        make_record(str(place))
    assert refused.value.code == "file-of-a-record"
    assert not place.exists()


def test_no_record_is_made_beside_the_log_of_one_that_is_gone(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    make_part(record)  # it stands in the log as long as the record is open
    left = tmp_path / "new.db-wal"
    left.write_bytes(Path(f"{sqlite_target}-wal").read_bytes())
    record.close()
    before = left.read_bytes()

    with pytest.raises(Refused) as refused:
        make_record(str(tmp_path / "new.db"))
    assert refused.value.code == "log-left-over"
    assert left.read_bytes() == before
    assert not (tmp_path / "new.db").exists()


@pytest.mark.postgres
def test_a_database_without_a_record_is_not_opened(postgres_target: str, new_database: Callable[[str], str]) -> None:
    with pytest.raises(Refused) as refused:
        open_record(new_database("template0"))
    assert refused.value.code == "no-record"
    with pytest.raises(Refused) as refused:
        open_record(postgres_target.replace("/record_", "/no_record_"))
    assert refused.value.code == "no-such-database"
    with pytest.raises(Refused) as refused:
        make_record(postgres_target)
    assert refused.value.code == "record-exists"


def test_a_record_newer_than_the_program_is_not_opened_and_not_touched(record: Record, target: str) -> None:
    make_part(record)
    with record.engine.begin() as plain:
        plain.execute(text("UPDATE alembic_version SET version_num = '9998'"))
        plain.execute(text("CREATE TABLE of_a_later_program (id INTEGER)"))
    record.close()
    before = Path(target).read_bytes() if record.path else b""
    with pytest.raises(Refused) as refused:
        open_record(target)
    assert refused.value.code == "record-is-newer"
    assert "9998" in refused.value.message
    if record.path:
        assert Path(target).read_bytes() == before
    with record.engine.connect() as plain:
        assert plain.scalar(select(func.count()).select_from(text("of_a_later_program"))) == 0
    record.close()


@pytest.mark.parametrize("kept", [0.3, 0.6, 0.9])
def test_a_file_cut_short_is_damaged_and_says_so(kept: float, sqlite_target: str) -> None:
    """Cut in the middle, as a copy that broke off: it is said, by whichever door notices first."""
    record = open_record(sqlite_target)
    for _ in range(20):
        make_part(record)
    record.close()
    path = Path(sqlite_target)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * kept)])
    with pytest.raises(Damaged) as refused:
        verify(open_record(sqlite_target))
    assert refused.value.code == "record-damaged"


def test_a_page_overwritten_is_named(sqlite_target: str) -> None:
    """A bad block in the middle: found by the engine or by the comparison, never passed over."""
    record = open_record(sqlite_target)
    for _ in range(20):
        make_part(record)
    record.close()
    path = Path(sqlite_target)
    whole = path.read_bytes()
    used = [at for at in range(4096, len(whole), 4096) if any(whole[at : at + 4096])]
    for at in used[:: max(1, len(used) // 25)]:
        path.write_bytes(whole[:at] + b"\x00" * 4096 + whole[at + 4096 :])
        try:
            opened = open_record(sqlite_target)
        except Refused:
            continue
        try:
            assert not verify(opened).ok, f"page at {at}"
        except Damaged:
            pass
        finally:
            opened.close()


def test_a_part_is_not_entered_where_the_log_has_no_head(record: Record) -> None:
    with record.engine.begin() as plain:
        plain.execute(text("DELETE FROM log_head"))
    with pytest.raises(Refused) as refused, record.write() as session:
        parts.add_part(session, "Ines", Markings(kind="relay"))
    assert refused.value.code == "log-not-whole"
    assert _tags(record) == set()
