"""The command in a process of its own: its streams, and records it cannot open or write."""

from __future__ import annotations

import ctypes
import json
import os
import resource
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inventory.store.connection.engine import make_engine, record_url
from tests.cli.conftest import Shop, sentence_for_people

COMMAND = [sys.executable, "-c", "import sys; from tui.entry import main; sys.exit(main())"]
HOME = Path(__file__).parents[2]
_PR_CAPBSET_DROP = 24
_CAP_DAC_OVERRIDE, _CAP_DAC_READ_SEARCH = 1, 2


def matchmark(
    *words: str, before: Callable[[], object] | None = None, **settings: Any
) -> subprocess.CompletedProcess[str]:
    """Run the command as an installed one is run; `before` runs in the new process first."""
    environment = {**os.environ, "PYTHONPATH": str(HOME), "MATCHMARK_BY": "Ines", **settings.pop("env", {})}
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **settings}
    return subprocess.run(
        [*COMMAND, *words], text=True, env=environment, preexec_fn=before, encoding="utf-8", **streams
    )


def refused(said: subprocess.CompletedProcess[str], code: str, status: int = 3) -> dict[str, Any]:
    assert said.returncode == status, said.stderr
    sentence_for_people(said.stderr)
    error = json.loads(said.stdout)["error"]
    assert error["code"] == code
    return dict(error)


def entries(path: str | Path) -> int:
    with sqlite3.connect(path) as connection:
        found = connection.execute("SELECT count(*) FROM journal").fetchone()[0]
    connection.close()
    return int(found)


def kept_out() -> None:
    """Let permissions hold for this process, though it may belong to root, who else passes them all."""
    library = ctypes.CDLL(None, use_errno=True)
    for right in (_CAP_DAC_OVERRIDE, _CAP_DAC_READ_SEARCH) if os.geteuid() == 0 else ():
        if library.prctl(_PR_CAPBSET_DROP, right) != 0:
            raise OSError(ctypes.get_errno(), "root's right to pass permissions could not be laid down")


def test_the_solver_of_the_plan_prints_nothing_of_its_own(file_shop: Shop) -> None:
    """Only a process shows it: the solver would write past Python's own streams."""
    file_shop.part("pressure sensor", part_number="HV 204 118")
    file_shop.part("control unit", part_number="HV 310 118")
    file_shop.ok("fits", "add", "HV 204 118", "HV 310 118")
    said = matchmark("--record", file_shop.target, "pairs", "plan", "--json")

    assert len(json.loads(said.stdout)["pairs"]) == 1
    assert (said.returncode, said.stderr) == (0, "")


def test_other_places_that_hold_no_record(tmp_path: Path, file_shop: Shop) -> None:
    with sqlite3.connect(tmp_path / "other.db") as connection:
        connection.execute("CREATE TABLE part (tag TEXT)")
    connection.close()
    file = tmp_path / "a.txt"
    file.write_text("x")
    for target, code in (
        (str(tmp_path / "other.db"), "not-a-record"),
        (str(tmp_path), "not-a-record"),
        (str(tmp_path / "none.db"), "no-record"),
        (str(file / "r.db"), "record-not-readable"),
        (str(tmp_path / ("x" * 300)), "record-not-readable"),
        ("a\x00b", "record-not-readable"),
        ("mysql://h/r", "unknown-engine"),
        ("postgresql://secret:pw@h:port/r", "not-an-address"),
        ("://", "not-an-address"),
        ("postgresql://h:1/r", "unknown-host"),
    ):
        said = file_shop.bare("--record", target, "part", "find", "--json")
        assert (said.status, said.json["error"]["code"]) == (3, code), target
        sentence_for_people(said.err)
        assert "pw" not in said.err + said.out
    for target in (str(file / "r.db"), str(tmp_path / ("x" * 300)), "a\x00b"):
        said = file_shop.bare("--record", target, "new", "--json")
        assert (said.status, said.json["error"]["code"]) == (3, "folder-not-writable"), target
    assert file_shop.bare("--record", str(tmp_path / "deep" / "down" / "r.db"), "new").status == 0


@pytest.mark.parametrize("address", ["ines:hunter2@localhost:1/r", "localhost:1/r?user=ines&password=hunter2"])
def test_a_password_is_never_shown(file_shop: Shop, address: str) -> None:
    said = file_shop.bare("--record", f"postgresql://{address}", "part", "find", "--json")
    assert (said.status, said.json["error"]["code"]) == (3, "server-away")
    assert "postgresql://" in said.json["error"]["message"]
    assert "hunter2" not in said.out + said.err


def test_a_newer_record_is_not_opened_and_not_touched(target: str, capsys: pytest.CaptureFixture[str]) -> None:
    shop = Shop(target, capsys.readouterr)
    engine = make_engine(record_url(target))
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9001'")
    for words in (
        ["part", "find"],
        ["car", "add", "Green tourer"],
        ["verify"],
        ["fact", "withdraw", "x", "--reason", "y"],
    ):
        said = shop.run(*words, "--json")
        assert (said.status, said.json["error"]["code"]) == (3, "record-is-newer")
        assert "9001" in sentence_for_people(said.err)
    with engine.connect() as connection:
        assert connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() == "9001"
        assert connection.exec_driver_sql("SELECT count(*) FROM car").scalar() == 0
    engine.dispose()


def test_a_read_only_folder_is_said_plainly(tmp_path: Path, sqlite_target: str) -> None:
    folder = tmp_path / "kept"
    folder.mkdir()
    path = folder / "record.db"
    path.write_bytes(Path(sqlite_target).read_bytes())
    before = entries(path)
    for left in folder.glob("record.db-*"):
        left.unlink()
    path.chmod(0o444)
    folder.chmod(0o555)
    try:
        new = matchmark("--record", str(folder / "new.db"), "new", "--json", before=kept_out)
        refused(new, "folder-not-writable")
        write = matchmark("--record", str(path), "car", "add", "Green tourer", "--json", before=kept_out)
        assert str(path) in refused(write, "record-not-writable")["message"]
        assert sorted(each.name for each in folder.iterdir()) == ["record.db"]
    finally:
        folder.chmod(0o755)
        path.chmod(0o644)
    assert entries(path) == before


def test_a_record_that_may_not_be_read_is_said_plainly(tmp_path: Path, sqlite_target: str) -> None:
    Path(sqlite_target).chmod(0)
    said = matchmark("--record", sqlite_target, "part", "find", "--json", before=kept_out)
    refused(said, "record-not-readable")


def test_a_full_disk_changes_nothing_and_all_before_is_safe(sqlite_target: str) -> None:
    assert matchmark("--record", sqlite_target, "car", "add", "Green tourer").returncode == 0
    before = entries(sqlite_target)

    def full() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192))

    for words in (["part", "add", "--kind", "relay"], ["car", "add", "Blue coupe"], ["place", "add", "B2"]):
        said = matchmark("--record", sqlite_target, *words, "--json", before=full)
        assert "all that was logged before is safe" in refused(said, "disk-full")["message"].lower()
        assert entries(sqlite_target) == before
    assert matchmark("--record", sqlite_target, "part", "find").returncode == 0
    assert matchmark("--record", sqlite_target, "car", "add", "Blue coupe").returncode == 0


def test_the_answer_goes_nowhere_and_no_traceback_comes(sqlite_target: str) -> None:
    with Path("/dev/full").open("w") as full:
        said = matchmark("--record", sqlite_target, "car", "list", "--json", stdout=full)
    assert said.returncode == 3
    sentence_for_people(said.stderr)
    reading, writing = os.pipe()
    os.close(reading)
    said = matchmark("--record", sqlite_target, "car", "list", stdout=writing)
    os.close(writing)
    assert (said.returncode, said.stderr) == (0, "")


def test_bytes_that_are_no_text_are_kept_as_such_a_sign(sqlite_target: str) -> None:
    made = matchmark(
        "--record", sqlite_target, "part", "add", "--kind", "relay", "--maker", os.fsdecode(b"Ostr\xff"), "--json"
    )
    assert made.returncode == 0, made.stderr
    shown = matchmark("--record", sqlite_target, "part", "show", json.loads(made.stdout)["tag"], "--json")
    assert json.loads(shown.stdout)["maker"] == "Ostr\ufffd"


def test_without_a_terminal_the_command_alone_prints_the_help(sqlite_target: str) -> None:
    for words in ([], ["--record", sqlite_target]):
        said = matchmark(*words, stdin=subprocess.DEVNULL)
        assert said.returncode == 2
        assert "Commands:" in said.stdout


def test_two_who_make_the_same_record_at_once_leave_one(tmp_path: Path) -> None:
    path = tmp_path / "r.db"
    running = [
        subprocess.Popen(
            [*COMMAND, "--record", str(path), "new"], env={**os.environ, "PYTHONPATH": str(HOME)},
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(2)
    ]  # fmt: skip
    said = [(*process.communicate(), process.returncode) for process in running]
    assert sorted(status for _, _, status in said) == [0, 3], said
    assert matchmark("--record", str(path), "car", "add", "Green tourer").returncode == 0


def test_a_refusal_that_goes_nowhere_is_no_crash(sqlite_target: str) -> None:
    with Path("/dev/full").open("w") as full:
        said = matchmark("--record", sqlite_target, "part", "show", "nothing", "--json", stdout=full)
    assert said.returncode == 3
    assert "Nothing was changed" in sentence_for_people(said.stderr)


def test_a_passport_is_written_where_no_other_command_has_loaded_the_tables(tmp_path: Path, file_shop: Shop) -> None:
    tag = file_shop.part("pressure sensor")
    said = matchmark("--record", file_shop.target, "passport", "write", tag, "-o", str(tmp_path / "p.zip"))

    assert said.returncode == 0, said.stderr
