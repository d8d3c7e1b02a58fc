"""Writing a record of many parts into sheets, beside openpyxl's write-only workbook given the same cells.

Each writes in a process of its own, so that its memory at most can be told. MATCHMARK_BENCH_SHEETS sets another size.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from pathlib import Path
from typing import Any

from inventory.facts.write import write
from inventory.opening import open_record
from inventory.parts.actions import new_parts
from inventory.parts.tables import Marking
from inventory.people.actions import begin_act
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.journal.entries import canonical
from inventory.store.tables import Base
from tests.benchmarks.made import made_parts
from tests.benchmarks.report import table

PARTS = int(os.environ.get("MATCHMARK_BENCH_SHEETS", "100000"))
RUNS = int(os.environ.get("RUNS", "3"))
NAMES = ("kind", "maker", "part_number", "serial", "match_code")
#: With tag, the five names and the owner, twenty columns have something in every row.
EXTRA = tuple(f"their column {number}" for number in range(13))

_OURS = """
from pathlib import Path
from inventory.sheets.writers.sheets import write_sheets
from inventory.opening import open_record
record = open_record(source)
start = time.perf_counter()
write_sheets(record, Path(target), overwrite=True)
"""
_FLOOR = """
from decimal import Decimal
from openpyxl import Workbook
from inventory.sheets.writers.sheets import pages_of
from inventory.opening import open_record
with open_record(source).read() as session:
    pages = [(page.name, [page.headers, *page.rows]) for page in pages_of(session)]
start = time.perf_counter()
book = Workbook(write_only=True)
for name, rows in pages:
    sheet = book.create_sheet(name)
    for row in rows:
        sheet.append(row)
book.save(target)
"""
_WRAP = """
import resource, sys, time
source, target = sys.argv[1:]
{body}
print(time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def test_sheets_out(sqlite_template: bytes, tmp_path: Path) -> None:
    path = tmp_path / "record.db"
    path.write_bytes(sqlite_template)
    # In a process of its own: a process begins with the memory at most of the one that started it.
    subprocess.run([sys.executable, "-m", "tests.benchmarks.test_sheets_out", str(path)], check=True)
    names = ("all.xlsx", "all.ods", "parts.csv", "all.json")
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in ("floor", *names)}
    for _ in range(RUNS):
        found["floor"].append(_run(_FLOOR, path, tmp_path / "floor.xlsx"))
        for name in names:
            found[name].append(_run(_OURS, path, tmp_path / name))
    floor = statistics.median(seconds for seconds, _ in found["floor"])
    rows = [
        (f"{name}, {max(most for _, most in runs):.0f} MB at most", statistics.median(each for each, _ in runs), floor)
        for name, runs in found.items()
    ]
    table(
        f"Writing {PARTS:,} parts of 20 filled columns, against openpyxl write-only given the same cells", rows, "s", 1
    )


def _run(body: str, source: Path, target: Path) -> tuple[float, float]:
    """Seconds, and the memory of the process at most in MB."""
    command = [sys.executable, "-c", _WRAP.format(body=body), str(source), str(target)]
    seconds, most = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(seconds), float(most)


def _fill(path: Path) -> None:
    """Put the parts into a record."""
    record = open_record(str(path))
    with record.write() as session:
        act = begin_act(session, "bulk", "bench")
        when = when_on(None, act.today)
        rows: list[Base] = []
        for number, (made, (thing, part)) in enumerate(zip(made_parts(PARTS), new_parts(session, PARTS), strict=True)):
            values: dict[str, Any] = {name: made[name] for name in NAMES} | {"match_code": made["match_code"] or "K"}
            extra = canonical({name: f"{name[-2:]} text {number}" for name in EXTRA})
            rows += [
                thing,
                part,
                make_fact(Marking, act, thing.id, when, match_code_state="read", extra=extra, **values),
            ]
        write(session, act, rows)
    record.close()


if __name__ == "__main__":
    _fill(Path(sys.argv[1]))
