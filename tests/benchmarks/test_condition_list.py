"""The condition list of many parts: drawn and written as xlsx and csv, each in a process of its own.

The workbook is compared with openpyxl writing the same cells bare; the csv with the rows of the same tables fetched by
sqlite3 and nothing done with them. MATCHMARK_BENCH_LIST sets the numbers of parts, MATCHMARK_BENCH_RUNS how often.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

from inventory.opening import open_record
from inventory.sheets import read_sheet
from tests.benchmarks.report import table

SIZES = [int(size) for size in os.environ.get("MATCHMARK_BENCH_LIST", "10000,100000").split(",")]
RUNS = int(os.environ.get("MATCHMARK_BENCH_RUNS", "3"))
#: One part in so many has a run on it.
RUN_EVERY = 20
HEAD = "kind,maker,part number,serial,match code,seal,seal state,condition,place,value,value currency,value basis,notes"

_OURS = """
from pathlib import Path
from inventory.opening import open_record
from inventory.condition_list.actions import condition_list
from inventory.condition_list.write_files import write_list
record = open_record(source)
start = time.perf_counter()
with record.read() as session:
    drawn = condition_list(session)
write_list(Path(target), drawn, overwrite=True)
"""
_FLOOR_XLSX = """
from openpyxl import Workbook, load_workbook
pages = [(page.title, list(page.values)) for page in load_workbook(target.replace("floor", "ours")).worksheets]
start = time.perf_counter()
book = Workbook()
book.remove(book.active)
for name, rows in pages:
    sheet = book.create_sheet(name)
    for row in rows:
        sheet.append(row)
book.save(target)
"""
_FLOOR_CSV = """
import sqlite3
connection = sqlite3.connect(source)
start = time.perf_counter()
tables = ("part", "marking", "seal_sighting", "assessment", "move", "valuation", "note", "bench_run", "provenance")
rows = [connection.execute(f"SELECT * FROM {table}").fetchall() for table in tables]
"""
#: The list of a day, made and not written; against the last fact of each table and part by that day.
_AS_OF = """
from datetime import date
from inventory.opening import open_record
from inventory.condition_list.actions import condition_list
record = open_record(source)
start = time.perf_counter()
with record.read() as session:
    condition_list(session, date.fromisoformat(target))
"""
_FLOOR_AS_OF = """
import sqlite3
connection = sqlite3.connect(source)
start = time.perf_counter()
for table in ("marking", "seal_sighting", "assessment", "move", "valuation", "note", "bench_run", "provenance"):
    last = "ROW_NUMBER() OVER (PARTITION BY thing_id ORDER BY counts_from DESC, ranked DESC, id DESC)"
    told = f"SELECT *, {last} AS place FROM {table} WHERE superseded_by IS NULL AND counts_from <= ?"
    connection.execute(f"SELECT * FROM ({told}) WHERE place = 1", (target,)).fetchall()
"""
_WRAP = """
import resource, sys, time
source, target = sys.argv[1:]
{body}
print(time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def test_condition_list(sqlite_template: bytes, tmp_path: Path) -> None:
    for size in SIZES:
        for runs in (False, True):
            path = tmp_path / f"{size}{runs}.db"
            path.write_bytes(sqlite_template)
            command = [sys.executable, "-m", "tests.benchmarks.test_condition_list", str(path), str(size), str(runs)]
            subprocess.run(command, check=True)
            told = f"{size // RUN_EVERY} runs" if runs else "no runs"
            rows = []
            for ending, floor in (("xlsx", _FLOOR_XLSX), ("csv", _FLOOR_CSV)):
                ours = [_run(_OURS, path, tmp_path / f"ours.{ending}") for _ in range(RUNS)]
                bare = [_run(floor, path, tmp_path / f"floor.{ending}") for _ in range(RUNS)]
                seconds, least = (statistics.median(each for each, _ in found) for found in (ours, bare))
                most = max(each for _, each in ours)
                rows.append((f"{ending}, {most:.0f} MB at most", seconds, least))
            day = (date.today() - timedelta(days=1)).isoformat()
            ours = [_run(_AS_OF, path, Path(day)) for _ in range(RUNS)]
            bare = [_run(_FLOOR_AS_OF, path, Path(day)) for _ in range(RUNS)]
            seconds, least = (statistics.median(each for each, _ in found) for found in (ours, bare))
            rows.append((f"as of, {max(each for _, each in ours):.0f} MB at most", seconds, least))
            table(f"Condition list of {size:,} parts of seven facts, {told}", rows, "s", 1)


def _run(body: str, source: Path, target: Path) -> tuple[float, float]:
    """Seconds, and the memory of the process at most in MB."""
    command = [sys.executable, "-c", _WRAP.format(body=body), str(source), str(target)]
    seconds, most = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(seconds), float(most)


def _fill(path: Path, size: int, *, runs: bool) -> None:
    """Read the parts into a record, and runs of some of them."""
    record, sheet = open_record(str(path)), path.with_suffix(".csv")
    rows = [HEAD]
    for row in range(size):
        kind, number = ("pressure sensor", "HV 204 118") if row % 2 else ("relay", "12-R4")
        rows.append(
            f"{kind},Ostrell,{number},{row:07},K,cap,intact,2,shelf {row % 90},{row % 900},EUR,market,note {row}"
        )
    sheet.write_text("\n".join(rows))
    read_sheet(record, sheet, "bench", on="2026-03-01")
    if runs:
        lines = ["maker,part number,serial,procedure,readings,on"]
        lines += [
            f"Ostrell,HV 204 118,{row:07},hold,0s=50cmHg; 10s={45 + row % 5}cmHg,2026-03-12"
            for row in range(1, size, RUN_EVERY)
        ]
        sheet.write_text("\n".join(lines))
        read_sheet(record, sheet, "bench", on="2026-03-01")
    record.close()


if __name__ == "__main__":
    _fill(Path(sys.argv[1]), int(sys.argv[2]), runs=sys.argv[3] == "True")
