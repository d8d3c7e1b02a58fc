"""A read of a sheet killed at each step it goes through: the whole file is in, or none of it; read again it is whole."""

from __future__ import annotations

import multiprocessing
import os
import signal
from pathlib import Path

import pytest
from openpyxl import load_workbook
from sqlalchemy import func, select

from inventory.opening import open_record
from inventory.parts.tables import Part
from inventory.sheets import SheetRefused, read_sheet
from inventory.sheets.plan import carry_out, parts
from inventory.store.connection.engine import is_sqlite
from inventory.store.record import Record
from inventory.verification import verify

GOOD = 240
_APART = multiprocessing.get_context("forkserver")
_APART.set_forkserver_preload(["tests.faults.test_sheet_killed"])


def sheet(folder: Path, *, wrong: bool) -> Path:
    """Good rows of every sort of fact, and one that cannot be taken where `wrong`."""
    rows = [
        f"relay,HV 332 014,{number:05},Shelf {number % 7},{number % 4},EUR {number + 1},2019-04-03,note {number}"
        for number in range(GOOD)
    ]
    path = folder / "parts.csv"
    head = "kind,part number,serial,place,condition,value,acquired on,notes"
    path.write_text("\n".join([head, *rows, *(["rely,HV 1,99999,,,,,"] if wrong else [])]) + "\n", encoding="utf-8")
    return path


def read_until(target: str, path: str, rejects: str | None, kill_at: int) -> None:
    """Read, and die at the so-manieth report of progress, as if the plug were pulled. In small steps."""
    carry_out._PARTS_AT_A_TIME = parts._ROWS_AT_A_TIME = 60  # type: ignore[misc]
    steps = 0

    def on_progress(_step: str, _done: int, _total: int | None) -> None:
        nonlocal steps
        steps += 1
        if steps == kill_at:
            os.kill(os.getpid(), signal.SIGKILL)

    bad = Path(rejects) if rejects else None
    read_sheet(open_record(target), Path(path), "Ines", rejects=bad, strict=True, on_progress=on_progress)


def parts_in(record: Record) -> int:
    with record.read() as session:
        return session.scalar(select(func.count()).select_from(Part)) or 0


@pytest.mark.parametrize("wrong", [False, True], ids=["all good", "with rejects"])
def test_all_of_a_file_or_none_wherever_it_is_killed(target: str, tmp_path: Path, wrong: bool) -> None:
    path, bad = sheet(tmp_path, wrong=wrong), tmp_path / "bad.xlsx"
    kill_at, exit_code = 0, -signal.SIGKILL
    record = open_record(target)
    step = 1 if is_sqlite(record.engine) else 3  # on a server the database is all in one transaction either way
    record.close()
    while exit_code == -signal.SIGKILL:
        kill_at += step
        bad.unlink(missing_ok=True)
        process = _APART.Process(target=read_until, args=(target, str(path), str(bad) if wrong else None, kill_at))
        process.start()
        process.join()
        exit_code = process.exitcode
        record = open_record(target)
        assert parts_in(record) == (GOOD if exit_code == 0 else 0)
        assert verify(record).problems == ()
        record.close()
        if bad.exists():  # whole, if it is there at all
            assert load_workbook(bad)["parts"]["A2"].value == "rely"

    assert exit_code == 0
    assert kill_at > 12
    record = open_record(target)
    if wrong:
        with pytest.raises(SheetRefused):
            read_sheet(record, path, "Ines", strict=True)
    assert read_sheet(record, path, "Ines", rejects=bad, strict=True, overwrite=True).unchanged == GOOD
    record.close()
