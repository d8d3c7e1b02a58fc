"""A record of an earlier version is copied before it is brought up; where that fails, it stays as it was."""

from __future__ import annotations

import os
import random
import signal
import time
import zipfile
from pathlib import Path

import pytest

from inventory.copies import write_before_upgrade
from inventory.copies.actions import backup
from inventory.copies.write_before_upgrade import before_upgrade_files
from inventory.copies.write_restored import restore
from inventory.errors import Refused
from inventory.opening import open_record
from inventory.store.connection.readonly import fetch_all
from inventory.store.connection.version import HEAD
from inventory.store.record import Record
from inventory.verification import verify
from tests.build import BY, make_part
from tests.kept import REVISIONS_KEPT
from tests.kept import restore as put_kept

_OLDER = [each for each in REVISIONS_KEPT if each != HEAD]
OLDEST_AND_NEWEST = (_OLDER[0], _OLDER[-1])


@pytest.fixture(autouse=True)
def _own_data(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def _revision(target: str) -> str:
    record = Record(target)
    try:
        with record.readonly() as source:
            return str(fetch_all(source, "SELECT version_num FROM alembic_version")[0][0])
    finally:
        record.close()


@pytest.mark.parametrize("revision", OLDEST_AND_NEWEST)
def test_it_comes_back_at_its_own_revision_and_is_brought_up(empty_target: str, revision: str, tmp_path: Path) -> None:
    put_kept(empty_target, revision)
    record = open_record(empty_target)
    anchor = verify(record).anchor
    (file,) = before_upgrade_files(record)
    record.close()
    open_record(empty_target).close()
    target = str(tmp_path / "back.db")
    back = restore(file, target, passphrase=str)
    assert (back.damage, back.about.revision, _revision(target)) == ((), revision, revision)
    again = open_record(target)
    found = verify(again)
    again.close()
    assert found.anchor == anchor
    gone = [problem.says for problem in found.problems]
    assert all("the pictures are not here" in each for each in gone) and (not gone or "://" not in empty_target)


def test_where_it_cannot_be_copied_it_is_not_brought_up(empty_target: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise Refused("disk-full", "This disk is full")

    revision = OLDEST_AND_NEWEST[0]
    put_kept(empty_target, revision)
    monkeypatch.setattr(write_before_upgrade, "write_backup_file", full)
    with pytest.raises(Refused, match="disk is full") as refused:
        open_record(empty_target)
    assert refused.value.code == "not-copied-before-upgrade"
    assert _revision(empty_target) == revision
    monkeypatch.undo()
    open_record(empty_target).close()
    assert _revision(empty_target) == HEAD


def test_a_copy_of_another_record_is_not_written_over(tmp_path: Path) -> None:
    target = str(tmp_path / "empty.db")
    other = tmp_path / f"empty.before-{HEAD}.zip"
    other.write_bytes(b"another")
    put_kept(target, OLDEST_AND_NEWEST[1])
    record = open_record(target)
    assert [each.name for each in before_upgrade_files(record)] == [f"empty.before-{HEAD}-2.zip", other.name]
    assert other.read_bytes() == b"another"
    record.close()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="forks")
def test_a_killed_backup_leaves_no_file_of_its_name(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    make_part(record)
    backup(record, BY, tmp_path / "warm.zip")
    record.close()
    chance = random.Random(4)
    for kill in range(5):
        child = os.fork()
        if not child:
            own, number = open_record(sqlite_target), 0
            while True:
                number += 1
                backup(own, BY, tmp_path / f"{kill}-{number}.zip")
        time.sleep(chance.uniform(0.05, 0.3))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    for file in tmp_path.glob("[0-9]*.zip"):
        assert zipfile.ZipFile(file).testzip() is None
    record = open_record(sqlite_target)
    assert verify(record).ok
    record.close()
