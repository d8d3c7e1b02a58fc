"""A record where nothing may be written can be read in all ways, and a write is one clear sentence."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from inventory.opening import open_record
from tests.build import whole_record
from tests.cli.test_process import HOME, kept_out, matchmark, refused
from tests.faults.test_disk import mount  # noqa: F401 - a fixture

READS = [
    ["part", "find"],
    ["part", "find", "sensor"],
    ["part", "show", "TAG"],
    ["fact", "list", "TAG"],
    ["bench", "history", "TAG"],
    ["evidence", "TAG"],
    ["car", "list"],
    ["car", "show", "Green tourer"],
    ["place", "list"],
    ["contact", "list"],
    ["fits", "list"],
    ["pairs"],
    ["pairs", "plan"],
    ["verify"],
]
WRITES = [["car", "add", "Grey saloon"], ["part", "add", "--kind", "relay"], ["part", "note", "TAG", "seen"]]


@pytest.fixture
def shelf(tmp_path: Path, sqlite_target: str) -> tuple[Path, str]:
    """A folder with a whole record in it, and the tag of a part."""
    record = open_record(sqlite_target)
    papers = tmp_path / "papers"
    papers.mkdir()
    tag = whole_record(record, papers).sensor
    record.close()
    folder = tmp_path / "what is kept? 100 %"
    folder.mkdir()
    for path in Path(sqlite_target).parent.glob("record.db*"):
        (shutil.copytree if path.is_dir() else shutil.copy)(path, folder / path.name)
    return folder, tag


@contextmanager
def locked(*paths: Path) -> Iterator[None]:
    """Nothing may be written in these."""
    before = [path.stat().st_mode for path in paths]
    for path, mode in zip(paths, before, strict=True):
        path.chmod(mode & ~0o222)
    try:
        yield
    finally:
        for path, mode in zip(paths, before, strict=True):
            path.chmod(mode)


#: One process does all commands: a process for each would take most of its time to start.
_EACH = """
import json, sys
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from inventory.cli import main
for words in json.loads(sys.argv[1]):
    with redirect_stdout(StringIO()) as out, redirect_stderr(StringIO()) as problem:
        status = main(words)
    print(json.dumps([status, out.getvalue(), problem.getvalue()]))
"""


def _reads_and_refuses(folder: Path, tag: str, before: Callable[[], object] | None) -> None:
    path = folder / "record.db"
    names, held = sorted(each.name for each in folder.iterdir()), path.read_bytes()
    given = [[tag if word == "TAG" else word for word in words] for words in (*READS, *WRITES)]
    command = [sys.executable, "-c", _EACH, json.dumps([["--record", str(path), "--json", *words] for words in given])]
    environment = {**os.environ, "PYTHONPATH": str(HOME), "MATCHMARK_BY": "Ines"}
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=environment, preexec_fn=before)

    said = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(said) == len(given)
    for words, (status, out, problem) in zip(given, said, strict=True):
        if words[:2] in [each[:2] for each in WRITES]:
            error = json.loads(out)["error"]
            assert (status, error["code"]) == (3, "record-not-writable"), words
            assert str(path) in error["message"]
        else:
            assert (status, problem) == (0, ""), words
    assert path.read_bytes() == held
    assert sorted(each.name for each in folder.iterdir()) == names


@pytest.mark.parametrize("what", ["folder", "file", "both"])
def test_a_record_that_may_only_be_read_is_read(shelf: tuple[Path, str], what: str) -> None:
    folder, tag = shelf
    kept = {"folder": [folder], "file": [folder / "record.db"], "both": [folder / "record.db", folder]}[what]

    with locked(*kept):
        _reads_and_refuses(folder, tag, kept_out)


def test_a_record_on_a_disk_that_may_only_be_read_is_read(
    shelf: tuple[Path, str],
    mount: Callable[..., Path],  # noqa: F811
) -> None:
    folder, tag = shelf
    disk = mount("10m")
    shutil.copytree(folder, disk, dirs_exist_ok=True)
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)

    _reads_and_refuses(disk, tag, None)


def test_what_somebody_else_has_just_written_is_seen(shelf: tuple[Path, str]) -> None:
    folder, tag = shelf
    path = folder / "record.db"

    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA wal_autocheckpoint = 0")
        other.execute("UPDATE part SET maker = 'Graphite'")
        assert (folder / "record.db-wal").stat().st_size > 0
        with locked(path, folder / "record.db-wal", folder / "record.db-shm", folder):
            said = matchmark("--record", str(path), "part", "show", tag, "--json", before=kept_out)

    assert json.loads(said.stdout)["maker"] == "Graphite"


def test_what_was_written_last_and_cannot_be_reached_is_said(shelf: tuple[Path, str], tmp_path: Path) -> None:
    """A copy taken while somebody wrote, without the file through which the log is read."""
    folder, _ = shelf
    copied = tmp_path / "copied"
    copied.mkdir()
    with closing(sqlite3.connect(folder / "record.db", isolation_level=None)) as other:
        other.execute("PRAGMA wal_autocheckpoint = 0")
        other.execute("UPDATE part SET maker = 'Graphite'")
        for name in ("record.db", "record.db-wal"):
            shutil.copy(folder / name, copied / name)

    with locked(*copied.iterdir(), copied):
        said = matchmark("--record", str(copied / "record.db"), "part", "find", "--json", before=kept_out)

    assert str(copied / "record.db") in refused(said, "record-not-settled")["message"]
