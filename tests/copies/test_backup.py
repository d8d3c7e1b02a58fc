"""A backup holds all of one state while others write, says what it is, and comes back on either engine."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import threading
import zipfile
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from inventory.cli import main
from inventory.cli.restore import _lines
from inventory.copies import actions, read_backup, write_place, write_sealed
from inventory.copies.actions import backup, copy_record
from inventory.copies.lines import lines_of, rows_in
from inventory.copies.manifest import in_series, of_series
from inventory.copies.queries import last_copy
from inventory.copies.write_place import choose_place, place_of
from inventory.copies.write_restored import Restored, restore
from inventory.documents.actions import folder, writing_with
from inventory.errors import Refused
from inventory.given_out.queries import written_papers
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.store.record import Record
from inventory.store.tables import Base, DocumentContent
from inventory.verification import verify
from tests.build import BY, make_part, whole_record


def _no_passphrase() -> str:
    raise AssertionError("nothing is encrypted")


def _restore(file: Path, target: str, *, saved: bool = False) -> Restored:
    return restore(file, target, passphrase=_no_passphrase, what_can_be_saved=saved)


def _dump(record: Record) -> dict[str, list[tuple[object, ...]]]:
    with record.read() as session:
        tables = Base.metadata.sorted_tables
        return {
            table.name: sorted((tuple(row) for row in session.execute(sa.select(table))), key=repr)
            for table in tables
            if table.name != "document_content"
        }


@dataclass(frozen=True)
class _Whole:
    """A record of one file with a row in every table, and a backup of it."""

    target: str
    file: Path
    rows: dict[str, list[tuple[object, ...]]]
    anchor: str
    sensor: str


@pytest.fixture(scope="module")
def whole(sqlite_template: bytes, tmp_path_factory: pytest.TempPathFactory) -> _Whole:
    folder = tmp_path_factory.mktemp("whole")
    target = str(folder / "record.db")
    Path(target).write_bytes(sqlite_template)
    record = open_record(target)
    sensor = whole_record(record, folder).sensor
    rows = _dump(record)
    made = backup(record, BY, folder / "copy.zip")
    record.close()
    assert (made.manifest.problems, made.manifest.documents > 0) == ((), True)
    return _Whole(target, made.file, rows, str(made.manifest.anchor), sensor)


def test_a_whole_record_comes_back_on_either_engine(whole: _Whole, empty_target: str) -> None:
    """Every table has a row; what comes back is the same record: rows, anchor, documents, and it is written on."""
    assert whole.file.stat().st_mode & 0o777 == 0o600
    assert zipfile.ZipFile(whole.file).testzip() is None
    assert _restore(whole.file, empty_target).damage == ()
    again = open_record(empty_target)
    assert _dump(again) == whole.rows
    found = verify(again)
    assert (found.problems, found.anchor) == ((), whole.anchor)
    with again.write() as session:  # keys go on where they ended
        parts.note(session, BY, whole.sensor, "seen again")
    assert verify(again).ok
    again.close()
    if "://" not in empty_target:
        with sqlite3.connect(empty_target) as plain:
            assert plain.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_a_copy_on_another_engine_is_the_same_record(whole: _Whole, empty_target: str, tmp_path: Path) -> None:
    """From a file to either engine, and from there to a file."""
    for number, (source, target) in enumerate([(whole.target, empty_target), (empty_target, str(tmp_path / "b.db"))]):
        record = open_record(source)
        copied = copy_record(record, target)
        new = open_record(target)
        if not number:
            before = _dump(record)
        assert _dump(new) == before
        assert verify(new).anchor == copied.anchor
        assert copied.documents > 0
        record.close()
        new.close()
    assert [each for each in tmp_path.iterdir() if "part" in each.name] == []


def test_that_it_was_made_is_on_record_and_not_in_the_copy(record: Record, tmp_path: Path) -> None:
    make_part(record)
    anchor = verify(record).anchor
    made = backup(record, BY, tmp_path / "copy.zip")
    with record.read() as session:
        (paper,) = written_papers(session, "backup")
        assert last_copy(session).entries_since == 0
    assert paper.anchor is not None
    assert (paper.fingerprint, paper.anchor.text, paper.anchor.size) == (
        made.fingerprint,
        anchor,
        made.manifest.entries,
    )
    with zipfile.ZipFile(made.file) as opened:
        assert b"paper_written" not in b"".join(map(opened.read, (n for n in opened.namelist() if "journal" in n)))
    make_part(record)
    with record.read() as session:
        assert last_copy(session).entries_since > 0


def test_a_record_that_does_not_fit_is_copied_without_an_anchor(record: Record, tmp_path: Path) -> None:
    tag = make_part(record)
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE part SET serial = 'other'"))
    made = backup(record, BY, tmp_path / "copy.zip")
    assert made.manifest.anchor is None
    assert made.manifest.problems and tag in made.manifest.problems[0]
    with record.read() as session:
        assert written_papers(session, "backup")[0].anchor is None


def test_a_name_changed_outside_the_program_leaves_the_copy_without_an_anchor(record: Record, tmp_path: Path) -> None:
    make_part(record)
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE personal SET text = 'Somebody Else'"))
    made = backup(record, BY, tmp_path / "copy.zip")
    assert made.manifest.anchor is None and made.manifest.problems


def _attach(record: Record, file: Path, held: str) -> str:
    """Attach a paper to a new part. Gives its digest."""
    file.write_text(held)
    tag = make_part(record)
    with writing_with(record, file) as session:
        parts.attach(session, BY, tag, file)
    return hashlib.sha256(held.encode()).hexdigest()


def test_a_document_that_was_changed_outside_keeps_no_record_from_being_copied(
    record: Record, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _attach(record, tmp_path / "good.txt", "good")
    spoilt = _attach(record, tmp_path / "spoilt.txt", "spoilt")
    older = backup(record, BY, tmp_path / "copy.zip", keep=1, today=date(2026, 3, 30))
    if record.path:
        stored = folder(record.engine) / spoilt[:2] / spoilt
        stored.chmod(0o600)
        stored.write_text("another")
    else:
        with record.engine.begin() as plain:
            changed = sa.update(DocumentContent).where(DocumentContent.digest == spoilt)
            plain.execute(changed.values(content=b"another"))
    made = backup(record, BY, tmp_path / "copy.zip", keep=1, today=date(2026, 3, 31))
    assert (made.manifest.gone, made.manifest.documents) == ((spoilt,), 1)
    assert older.file.exists() and not made.removed  # the older copy still has it
    back = _restore(made.file, str(tmp_path / "back.db"))
    assert (back.damage, back.documents) == ((), 1)
    assert main(["--record", str(tmp_path / "again" / "back.db"), "restore", str(made.file)]) == 1
    said = capsys.readouterr().out
    assert "1 document\n" in said and "1 document was gone or changed before it was copied" in said


def test_a_record_that_was_renamed_is_copied_with_its_documents(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    _attach(record, tmp_path / "a.txt", "a")
    record.close()
    renamed = open_record(str(Path(sqlite_target).rename(Path(sqlite_target).with_name("renamed.db"))))
    made = backup(renamed, BY, tmp_path / "copy.zip")
    copied = copy_record(renamed, str(tmp_path / "copy.db"))
    renamed.close()
    assert (made.manifest.gone, made.manifest.documents, copied.documents) == ((), 1, 1)


def test_undecodable_text_of_a_damaged_file_comes_back_as_it_was(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    make_part(record)
    with record.engine.begin() as plain:
        plain.exec_driver_sql("UPDATE part SET serial = CAST(x'ff41' AS TEXT)")
    made = backup(record, BY, tmp_path / "copy.zip")
    assert made.manifest.problems
    record.close()
    _restore(made.file, str(tmp_path / "back.db"))
    with sqlite3.connect(tmp_path / "back.db") as plain:
        assert plain.execute("SELECT CAST(serial AS BLOB), typeof(serial) FROM part").fetchone() == (b"\xffA", "text")


def test_copies_under_writing_are_one_state_each(record: Record, tmp_path: Path) -> None:
    """Somebody writes all the time; each copy verifies, and its anchor is that of the entries it says."""
    tag, stop = make_part(record), threading.Event()
    other = open_record(str(record.path) if record.path else record.url.render_as_string(hide_password=False))

    def write_on() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            with other.write() as session:
                parts.note(session, "Jory", tag, f"note {number}")

    writer = threading.Thread(target=write_on)
    writer.start()
    try:
        made = [backup(record, BY, tmp_path / f"{number}.zip") for number in range(2)]
    finally:
        stop.set()
        writer.join()
        other.close()
    for each in made:
        target = str(each.file.with_suffix(".db"))
        _restore(each.file, target)
        back = open_record(target)
        found = verify(back)
        back.close()
        assert (found.problems, found.anchor, found.entries) == ((), each.manifest.anchor, each.manifest.entries)
    assert made[0].manifest.entries < made[-1].manifest.entries


def _damaged(file: Path, folder: Path, how: str) -> Path:
    """A copy of a backup with something wrong in it."""
    held = bytearray(file.read_bytes())
    with zipfile.ZipFile(file) as opened:
        infos = {info.filename: info for info in opened.infolist()}
    name = next(each for each in infos if each.startswith("documents/" if how == "document" else "rows/note/"))
    if how == "end lost":
        held = held[: infos["manifest.json"].header_offset - 40]
    else:
        at = infos[name].header_offset + 30 + len(name) + infos[name].compress_size // 2
        held[at] ^= 0xFF
    damaged = folder / f"{how}.zip"
    damaged.write_bytes(held)
    return damaged


@pytest.mark.parametrize(
    ("how", "says"), [("document", "a document"), ("rows", "rows of note"), ("end lost", "the end")]
)
def test_of_a_damaged_copy_the_part_is_named_and_the_rest_saved(
    whole: _Whole, tmp_path: Path, how: str, says: str
) -> None:
    file, target = _damaged(whole.file, tmp_path, how), tmp_path / "back.db"

    with pytest.raises(Refused, match=says) as refused:
        _restore(file, str(target))
    assert refused.value.code == "backup-damaged"
    assert not list(tmp_path.glob("*back.db*"))

    back = _restore(file, str(target), saved=True)
    assert says in back.damage[0]
    saved = open_record(str(target))
    assert len(_dump(saved)["journal"]) == len(whole.rows["journal"])
    says_too = " ".join(problem.says for problem in verify(saved).problems)
    assert ("the row is gone" if how == "rows" else "the file itself is gone") in says_too
    saved.close()


def _zip(path: Path, members: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as opened:
        for name, held in members.items():
            opened.writestr(name, held)
    return path


def test_foreign_and_hostile_zips_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    about = {"format": "matchmark backup 1", "identity": "0" * 32, "revision": "0008", "engine": "sqlite"}
    said = json.dumps({**about, "made_at": "", "made_by": ""}).encode()
    newer = json.dumps({**about, "revision": "9999", "made_at": "", "made_by": ""}).encode()
    cases = {
        "not-a-backup": {"readme.txt": b"hello"},
        "backup-not-safe": {"about.json": said, "documents/../../x": b"x"},
        "backup-is-newer": {"about.json": newer},
        "backup-damaged": {"about.json": said, "rows/part/000000.jsonl": b'["id"]\n[[1]]'},
    }
    for code, members in cases.items():
        members = dict(members) if code != "not-a-backup" else {"about.json": b"[1]"}
        with pytest.raises(Refused) as refused:
            _restore(_zip(tmp_path / f"{code}.zip", members), str(tmp_path / "new.db"))
        assert refused.value.code == code
    monkeypatch.setattr(read_backup, "_SMALL", 100_000)
    bomb = {"about.json": said, "rows/part/000000.jsonl": bytes(2_000_000)}
    with pytest.raises(Refused, match="more than it should"):
        _restore(_zip(tmp_path / "bomb.zip", bomb), str(tmp_path / "new.db"))
    (tmp_path / "cut.zip").write_bytes(b"PK\x03\x04")
    with pytest.raises(Refused, match="not a backup"):
        _restore(tmp_path / "cut.zip", str(tmp_path / "new.db"))
    assert not list(tmp_path.glob("*new.db*"))


def test_restore_never_goes_over_anything(record: Record, target: str, tmp_path: Path) -> None:
    made = backup(record, BY, tmp_path / "copy.zip")
    with pytest.raises(Refused) as refused:
        _restore(made.file, target)
    assert refused.value.code == "record-exists"
    (tmp_path / "new.db.documents").mkdir()
    with pytest.raises(Refused) as refused:
        _restore(made.file, str(tmp_path / "new.db"))
    assert refused.value.code == "documents-there"


def test_of_a_series_only_old_copies_of_this_record_are_removed(
    sqlite_target: str, sqlite_template: bytes, tmp_path: Path
) -> None:
    record = open_record(sqlite_target)
    stick = tmp_path / "stick"
    stick.mkdir()
    (stick / "record-2026-01-01.zip").write_bytes(b"somebody else's")
    (tmp_path / "other.db").write_bytes(sqlite_template)
    other = open_record(str(tmp_path / "other.db"))
    with other.engine.begin() as plain:
        plain.execute(sa.text("UPDATE record_info SET identity = 'another'"))
    backup(other, BY, stick / "record-2026-02-01.zip")
    other.close()
    backup(record, BY, stick / "record.zip", keep=1, passphrase="a b", today=date(2026, 3, 1))
    for day in (2, 3):
        made = backup(record, BY, stick / "record.zip", keep=1, today=date(2026, 3, day))
    assert sorted(os.listdir(stick)) == ["record-2026-01-01.zip", "record-2026-02-01.zip", "record-2026-03-03.zip"]
    assert [each.name for each in made.removed] == ["record-2026-03-02.zip"]
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE record_info SET zone = 'Europe/Oslo'"))
    assert backup(record, BY, stick / "record.zip", keep=1, today=date(2026, 3, 4)).removed == ()
    record.close()


def test_copies_that_have_what_the_record_lost_stay(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    whole_record(record, tmp_path)
    stick = tmp_path / "stick"
    stick.mkdir()
    backup(record, BY, stick / "record.zip", keep=1, today=date(2026, 3, 1))
    Path(f"{sqlite_target}.documents").rename(tmp_path / "elsewhere")
    for day in (2, 3):
        made = backup(record, BY, stick / "record.zip", keep=1, today=date(2026, 3, day))
    assert made.manifest.gone
    assert sorted(os.listdir(stick)) == ["record-2026-03-01.zip", "record-2026-03-03.zip"]
    record.close()


def test_an_encrypted_copy_needs_its_passphrase(
    sqlite_target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The format is that of age-encryption.org/v1, which `age -d` reads."""
    record = open_record(sqlite_target)
    made = backup(record, BY, tmp_path / "copy.zip", passphrase="four short words here")
    assert made.file.name == "copy.zip.age"
    assert made.file.read_bytes().startswith(b"age-encryption.org/v1\n-> scrypt")
    with pytest.raises(Refused) as refused:
        restore(made.file, str(tmp_path / "back.db"), passphrase=lambda: "another")
    assert refused.value.code == "not-decrypted"
    restore(made.file, str(tmp_path / "back.db"), passphrase=lambda: "four short words here")
    back = open_record(str(tmp_path / "back.db"))
    assert verify(back).anchor == made.manifest.anchor
    back.close()
    monkeypatch.setattr(write_sealed, "MOST", 1000)
    with pytest.raises(Refused) as refused:
        backup(record, BY, tmp_path / "large.zip", passphrase="four short words here")
    assert (refused.value.code, (tmp_path / "large.zip.age").exists()) == ("too-large-to-encrypt", False)
    record.close()


def test_a_copy_that_is_not_on_the_disk_as_written_is_no_copy(
    sqlite_target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = open_record(sqlite_target)
    written = actions.write_zip

    def flipped(out: Any, *rest: Any, **more: Any) -> Any:
        manifest = written(out, *rest, **more)
        out.seek(300)
        out.write(b"\x00\x00")
        return manifest

    monkeypatch.setattr(actions, "write_zip", flipped)
    with pytest.raises(Refused) as refused:
        backup(record, BY, tmp_path / "copy.zip")
    assert (refused.value.code, list(tmp_path.glob("copy*"))) == ("backup-not-whole", [])
    record.close()


def test_the_place_is_chosen_once_for_a_machine(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    chosen = choose_place(record, tmp_path, 7, None)
    assert place_of(record) == chosen

    def full(*_: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(write_place, "write_private", full)
    with pytest.raises(Refused) as refused:
        choose_place(record, tmp_path, 7, None)
    assert refused.value.code == "place-not-kept"


@pytest.mark.postgres
def test_what_postgresql_does_not_take_is_said(sqlite_target: str, new_database: Any) -> None:
    record = open_record(sqlite_target)
    make_part(record)
    with record.engine.begin() as plain:
        plain.exec_driver_sql("UPDATE part SET serial = 'a' || char(0) || 'b'")
    with pytest.raises(Refused) as refused:
        copy_record(record, new_database("template0"))
    assert refused.value.code == "rows-not-taken"
    record.close()


def test_names_of_a_series() -> None:
    day = date(2026, 3, 31)
    assert of_series("record.zip", day) == "record-2026-03-31.zip"
    assert of_series("record.zip", day, ["record-2026-03-31.zip"]) == "record-2026-03-31-2.zip"
    assert of_series("record.zip.age", day) == "record-2026-03-31.zip.age"
    there = [
        "record-2026-03-31.zip",
        "record-2026-03-31-2.zip",
        "record-2026-03-30.zip.age",
        "record-old.zip",
        "record.db",
    ]
    assert in_series("record-2026-04-01.zip", there) == [there[1], there[0], there[2]]


def test_lines_say_every_value_a_row_can_have() -> None:
    row = [1, None, 'quote " \n \x00 ä', -(2**63), b"\x00\xff", "\udcffA"]
    assert list(rows_in(b"\n".join(lines_of([row, row[:4]])))) == [[*row[:5], b"\xffA"], row[:4]]


def _changed(file: Path, **members: dict[str, Any]) -> Path:
    """The backup with other values in members that are JSON objects."""
    path = file.with_name(f"{'-'.join(members)}.zip")
    with zipfile.ZipFile(file) as held, zipfile.ZipFile(path, "w") as anew:
        for info in held.infolist():
            said = held.read(info)
            if change := members.get(info.filename.removesuffix(".json")):
                said = json.dumps(json.loads(said) | change).encode()
            anew.writestr(info, said)
    return path


def test_a_copy_that_says_two_things_of_itself_is_damaged(whole: _Whole, tmp_path: Path) -> None:
    changed = _changed(whole.file, about={"identity": "f" * 32})
    with pytest.raises(Refused, match="of another copy"):
        _restore(changed, str(tmp_path / "new.db"))


def test_what_a_copy_says_did_not_fit_is_one_line_and_rows_without_known_columns_are_passed_over(
    whole: _Whole, tmp_path: Path
) -> None:
    back = _restore(_changed(whole.file, manifest={"problems": ["one\n\x1b[31mtwo"]}), str(tmp_path / "new.db"))
    assert back.manifest is not None
    assert back.manifest.problems == ("one [31mtwo",)
    about = {"format": "matchmark backup 1", "identity": "0" * 32, "revision": "0008", "engine": "", "made_at": ""}
    members = {"about.json": json.dumps({**about, "made_by": ""}).encode(), "rows/log_head/000000.jsonl": b'["x"]\n[1]'}
    assert _restore(_zip(tmp_path / "x.zip", members), str(tmp_path / "other.db"), saved=True).damage


def test_a_copy_whose_anchor_is_another_says_so(whole: _Whole, tmp_path: Path) -> None:
    back = _restore(_changed(whole.file, manifest={"anchor": "e" * 64}), str(tmp_path / "new.db"))
    record = open_record(str(tmp_path / "new.db"))
    said = "\n".join(_lines("new.db", back, verify(record), as_copied=False))
    record.close()
    assert f"It is not what was copied: by its own words the copy had the anchor {'e' * 64}" in said
    assert "as when it was copied" not in said
