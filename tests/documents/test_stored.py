"""Files become documents: looked at first, in pieces, outside the lock, on the disk; and which record they are of."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import func, select, update
from sqlalchemy.orm import Session

from inventory.documents import read_given, write_stored
from inventory.documents.actions import writing_with
from inventory.documents.read_stored import IDENTITY, content, folder, pieces
from inventory.documents.tables import Document
from inventory.documents.verify import paper_problems
from inventory.documents.write_copy import write_copy
from inventory.errors import Refused
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.store.record import Record
from inventory.store.tables import DocumentContent
from inventory.verification import verify
from tests.build import make_part

BY = "Ines"
PICTURE = b"a picture of the case"


def _attach(record: Record, tag: str, path: Path) -> str:
    """Attach a file as commands do. Returns its digest."""
    with writing_with(record, path) as session:
        parts.attach(session, BY, tag, path)
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _file(folder: Path, held: bytes = PICTURE, name: str = "a.jpg") -> Path:
    (folder / name).write_bytes(held)
    return folder / name


def _files_of(record: Record) -> list[str]:
    return sorted(each.name for each in folder(record.engine).rglob("*") if each.is_file())


def test_a_large_file_goes_in_and_out_in_pieces(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(read_given, "PIECE", 1 << 20)
    tag = make_part(record)
    path = _file(tmp_path, os.urandom(1 << 20) * 24 + b"end", "large.bin")
    _attach(record, tag, _file(tmp_path, b"", "empty.txt"))
    tracemalloc.start()
    digest = _attach_only(record, tag, path)
    with record.read() as session:
        copied = write_copy(session, digest, tmp_path / "out.bin", for_others=False, overwrite=False)
        problems = list(paper_problems(session))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert (copied.size, problems) == (path.stat().st_size, [])
    assert (tmp_path / "out.bin").read_bytes() == path.read_bytes()
    assert peak < 14_000_000
    with record.read() as session:
        assert content(session, hashlib.sha256().hexdigest()) == b""
        assert pieces(session, "0" * 64) is None
        kept = session.scalar(select(func.count()).where(DocumentContent.digest == digest))
    assert kept == (0 if record.path else 25)


def _attach_only(record: Record, tag: str, path: Path) -> str:
    with writing_with(record, path) as session:
        parts.attach(session, BY, tag, path)
        return session.scalar(select(Document.digest).where(Document.file_name == path.name)) or ""


NO_DOCUMENTS = {
    "three GB": "file-too-long",
    "a pipe": "not-a-file",
    "a folder": "file-not-readable",
    "gone": "file-not-readable",
}


@pytest.mark.parametrize("what", NO_DOCUMENTS)
def test_what_is_no_document_is_refused_before_it_is_read(record: Record, tmp_path: Path, what: str) -> None:
    path = tmp_path / "a.jpg"
    if what == "three GB":
        path.touch()
        os.truncate(path, 3_000_000_000)
    elif what == "a pipe":
        os.mkfifo(path)
    elif what == "a folder":
        path.mkdir()
    tag = make_part(record)
    with pytest.raises(Refused) as refused, writing_with(record, path) as session:
        parts.attach(session, BY, tag, path)
    assert refused.value.code == NO_DOCUMENTS[what]
    assert record.path is None or not folder(record.engine).exists()


@pytest.mark.parametrize(
    ("said", "most"), [("", 200_000_000), ("500MB", 500_000_000), ("2 gb", 2_000_000_000), ("7", 7)]
)
def test_how_large_a_document_may_be_is_said_by_a_variable(
    said: str, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MATCHMARK_LARGEST", said)
    assert read_given.largest() == most
    monkeypatch.setenv("MATCHMARK_LARGEST", "much")
    with pytest.raises(Refused) as refused:
        read_given.largest()
    assert refused.value.code == "not-a-size"


@pytest.fixture
def watched(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """The names of the files and folders that are flushed to the disk, in order."""
    flushed: list[str] = []
    plain = os.fsync

    def fsync(opened: int) -> None:
        flushed.append(Path(os.readlink(f"/proc/self/fd/{opened}")).name)
        plain(opened)

    monkeypatch.setattr(os, "fsync", fsync)
    yield flushed


def test_a_document_is_on_the_disk_before_its_row(sqlite_target: str, tmp_path: Path, watched: list[str]) -> None:
    """And no lock is held while it is stored: another program may write meanwhile."""
    record = open_record(sqlite_target)
    tag, path = make_part(record), _file(tmp_path)
    watched.clear()
    with writing_with(record, path) as session:
        with sqlite3.connect(sqlite_target, timeout=0) as other:
            other.execute("BEGIN IMMEDIATE")
            other.rollback()
        other.close()
        digest = hashlib.sha256(PICTURE).hexdigest()
        name = Path(f"{sqlite_target}.documents").name
        assert watched[-3].endswith(".part")
        assert watched[-2:] == [digest[:2], name]
        parts.attach(session, BY, tag, path)
    record.close()


def _attached_and_refused(session: Session, tag: str, path: Path) -> None:
    parts.attach(session, BY, tag, path)
    raise Refused("no", "Not this one")


def _changed_and_attached(record: Record, session: Session, tag: str, path: Path) -> None:
    """The picture is written anew, and what was stored of it is gone when its row is to be written."""
    path.write_bytes(b"another")
    if record.path:
        shutil.rmtree(folder(record.engine))
    parts.attach(session, BY, tag, path)


@pytest.mark.parametrize("fails", ["while it is copied", "as the act is written"])
def test_nothing_is_left_of_a_document_that_was_not_attached(
    sqlite_target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    record = open_record(sqlite_target)
    tag, path = make_part(record), _file(tmp_path)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    if fails == "while it is copied":
        monkeypatch.setattr(write_stored.os, "fsync", full)  # type: ignore[attr-defined]
    with pytest.raises(Refused) as refused, writing_with(record, path) as session:
        _attached_and_refused(session, tag, path)
    monkeypatch.undo()
    assert refused.value.code == ("document-not-kept" if fails == "while it is copied" else "no")
    assert [each for each in _files_of(record) if each != IDENTITY] == []
    assert _attach(record, tag, path) in _files_of(record)
    assert verify(record).ok
    record.close()


def test_a_file_that_changes_after_it_was_looked_at_is_refused(record: Record, tmp_path: Path) -> None:
    tag, path = make_part(record), _file(tmp_path)
    with pytest.raises(Refused) as refused, writing_with(record, path) as session:
        _changed_and_attached(record, session, tag, path)
    assert refused.value.code == "picture-changed"
    with record.read() as session:
        assert session.scalar(select(func.count()).select_from(Document)) == 0


@pytest.fixture
def pictured(sqlite_target: str, tmp_path: Path) -> tuple[Path, str]:
    """A record file with one picture, closed, and the picture's digest."""
    record = open_record(sqlite_target)
    digest = _attach(record, make_part(record), _file(tmp_path))
    record.close()
    return Path(sqlite_target), digest


def _seen(path: Path, digest: str) -> tuple[bytes | None, list[str]]:
    """What a record gives of a picture, and what `verify` says of its documents."""
    record = open_record(str(path))
    with record.read() as session:
        seen = content(session, digest), [each.says for each in paper_problems(session)]
    record.close()
    return seen


def _attach_another(path: Path) -> None:
    record = open_record(str(path))
    try:
        _attach(record, make_part(record), _file(path.parent, b"another", "b.jpg"))
    finally:
        record.close()


@pytest.mark.parametrize("how", ["renamed", "linked", "copied", "linked from elsewhere"])
def test_a_record_finds_its_pictures_under_another_name(pictured: tuple[Path, str], how: str, tmp_path: Path) -> None:
    path, digest = pictured
    other = path.with_name("other.db")
    if how == "renamed":
        path.rename(other)
    elif how == "copied":
        shutil.copy(path, other)
    else:
        other = tmp_path / "elsewhere" / "other.db" if "elsewhere" in how else other
        other.parent.mkdir(exist_ok=True)
        other.symlink_to(path)

    assert _seen(other, digest) == (PICTURE, [])
    _attach_another(other)
    assert _seen(other, digest) == (PICTURE, [])
    own = Path(f"{os.path.realpath(other)}.documents")
    assert (own / IDENTITY).read_text() == Path(f"{path}.documents", IDENTITY).read_text()


def test_a_record_without_its_pictures_says_so_once(pictured: tuple[Path, str], tmp_path: Path) -> None:
    path, digest = pictured
    other = tmp_path / "elsewhere" / "other.db"
    other.parent.mkdir()
    shutil.move(path, other)

    held, said = _seen(other, digest)
    assert held is None
    assert said == [
        "the pictures are not here: they lie beside the old file; put that folder here, named other.db.documents"
    ]
    record = open_record(str(other))
    with pytest.raises(Refused) as refused, record.read() as session:
        write_copy(session, digest, tmp_path / "out.jpg", for_others=False, overwrite=False)
    assert refused.value.code == "documents-not-here"
    record.close()
    shutil.move(f"{path}.documents", f"{other}.documents")
    assert _seen(other, digest) == (PICTURE, [])


def test_the_folder_of_another_record_is_not_written_to(pictured: tuple[Path, str], tmp_path: Path) -> None:
    path, digest = pictured
    own = Path(f"{path}.documents")
    (own / IDENTITY).write_text("0123456789abcdef0123456789abcdef\n")
    before = sorted(own.rglob("*"))

    assert _seen(path, digest) == (
        None,
        [f"the pictures are not here: {own.name} holds those of another record"],
    )
    with pytest.raises(Refused) as refused:
        _attach_another(path)
    assert refused.value.code == "documents-of-another"
    assert sorted(own.rglob("*")) == before


def test_a_folder_that_does_not_say_whose_it_is_is_of_the_record_beside_it(pictured: tuple[Path, str]) -> None:
    """As of every record before the identity was written there; the next document writes it."""
    path, digest = pictured
    says = Path(f"{path}.documents", IDENTITY)
    identity = says.read_text()
    says.unlink()

    assert _seen(path, digest) == (PICTURE, [])
    _attach_another(path)
    assert says.read_text() == identity
    assert says.stat().st_mode & 0o777 == 0o600


def test_a_document_that_was_changed_outside_is_not_given_out_as_the_one_attached(
    record: Record, tmp_path: Path
) -> None:
    digest = _attach(record, make_part(record), _file(tmp_path))
    changed = PICTURE.replace(b"case", b"fake")
    if record.path:
        stored = folder(record.engine) / digest[:2] / digest
        stored.chmod(0o600)
        stored.write_bytes(changed)
    else:
        with record.engine.begin() as plain:
            plain.execute(update(DocumentContent).values(content=changed))
    with record.read() as session:
        assert content(session, digest) is None
        with pytest.raises(Refused, match="is gone or was changed"):
            write_copy(session, digest, tmp_path / "out.jpg", for_others=False, overwrite=False)
    assert not (tmp_path / "out.jpg").exists()
