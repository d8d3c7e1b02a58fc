"""Reading a sheet of many parts into a journaled, searchable record.

The floor is what nobody can do without: calamine reading the file, the same rows put into one table of SQLite, and an
index over their text as the record's search has it. Beside it pandas with openpyxl merely loads the file. Each runs in
a process of its own, so that its memory at most can be told. MATCHMARK_BENCH_SHEETS sets another size.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
from pathlib import Path

import pytest
import xlsxwriter

from tests.benchmarks.report import table

ROWS = int(os.environ.get("MATCHMARK_BENCH_SHEETS", "100000"))
RUNS = int(os.environ.get("RUNS", "3"))
HEAD = (
    "kind", "maker", "part number", "serial", "date code", "match code", "seal", "seal state", "condition", "place",
    "acquired on", "acquired from", "price", "price currency", "value", "value currency", "value basis", "notes",
    "Plug", "Colour",
)  # fmt: skip

_OURS = """
from inventory.sheets import read_sheet
from inventory.opening import open_record
record = open_record(target)
start = time.perf_counter()
report = read_sheet(record, Path(source), "Ines", {options})
assert report.added == report.rows_read, report.problems[:3]
"""
_FLOOR = """
import sqlite3
import python_calamine as calamine
start = time.perf_counter()
rows = calamine.CalamineWorkbook.from_path(source).get_sheet_by_index(0).to_python()
head, *rows = rows
connection = sqlite3.connect(target)
columns = ", ".join(f"c{n}" for n in range(len(head)))
connection.execute(f"CREATE TABLE part (id INTEGER PRIMARY KEY, {columns})")
rows = [tuple(str(cell) if hasattr(cell, "year") else cell for cell in row) for row in rows]
connection.executemany(f"INSERT INTO part ({columns}) VALUES ({', '.join('?' * len(head))})", rows)
connection.execute("CREATE TABLE search_entry (part_id INTEGER PRIMARY KEY, text TEXT NOT NULL)")
connection.execute(
    "CREATE VIRTUAL TABLE search_index USING fts5("
    "text, content='search_entry', content_rowid='part_id', tokenize='trigram case_sensitive 1')"
)
texts = [(n, "\\n".join(map(str, row))) for n, row in enumerate(rows, 1)]
connection.executemany("INSERT INTO search_entry VALUES (?, ?)", texts)
connection.executemany("INSERT INTO search_index (rowid, text) VALUES (?, ?)", texts)
connection.commit()
"""
_PANDAS = """
import pandas
start = time.perf_counter()
pandas.read_excel(source, engine="openpyxl")
"""
_WRAP = """
import resource, sys, time
from pathlib import Path
source, target = sys.argv[1:]
{body}
print(time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def made_book(path: Path, rows: int = ROWS) -> Path:
    """A workbook of parts as a big shelf has them: kinds, makers and places come again, serials and notes do not."""
    chance = random.Random(rows)
    book = xlsxwriter.Workbook(str(path), {"constant_memory": True})
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    sheet = book.add_worksheet("parts")
    sheet.write_row(0, 0, HEAD)
    kinds = ("pressure sensor", "control unit", "relay", "injector", "auxiliary air valve", "fuel pump")
    for row in range(1, rows + 1):
        kind = chance.choice(kinds)
        sheet.write_row(row, 0, (
            kind, chance.choice(("Ostrell", "Tolvranne", "Murnebeck")),
            f"HV {200 + chance.randrange(190)} {chance.randrange(977):03}", f"{66 + row % 9}-{row:06}",
            f"{chance.randrange(52):02}/{chance.randrange(66, 75)}", chance.choice("KMNPR"), "cap",
            chance.choice(("intact", "missing", "not seen")), str(chance.randrange(4)),
            f"Shelf {chance.randrange(40)}",
        ))  # fmt: skip
        sheet.write_number(row, 10, 38000 + chance.randrange(8000), day)
        sheet.write_string(row, 11, f"Seller {chance.randrange(60)}")
        sheet.write_number(row, 12, chance.randrange(5, 900))
        sheet.write_string(row, 13, "EUR")
        sheet.write_number(row, 14, chance.randrange(5, 900))
        sheet.write_row(row, 15, ("EUR", "market", f"box {row}, lid bent", f"{chance.randrange(2, 12)}-pin", "grey"))
    book.close()
    return path


def _run(body: str, source: Path, target: str) -> tuple[float, float]:
    done = subprocess.run(
        [sys.executable, "-c", _WRAP.replace("{body}", body), str(source), target],
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    seconds, most = done.stdout.split()
    return float(seconds), float(most)


def test_sheets_in(sqlite_template: bytes, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    book = made_book(tmp_path / "parts.xlsx")
    found: dict[str, list[tuple[float, float]]] = {}
    for turn in range(RUNS):
        record = tmp_path / f"{turn}.db"
        record.write_bytes(sqlite_template)
        found.setdefault("floor", []).append(_run(_FLOOR, book, str(tmp_path / f"floor{turn}.db")))
        found.setdefault("pandas merely loads it", []).append(_run(_PANDAS, book, "-"))
        found.setdefault("sqlite, a trial", []).append(_run(_OURS.format(options="trial=True"), book, str(record)))
        found.setdefault("sqlite, read in", []).append(_run(_OURS.format(options=""), book, str(record)))
    found["postgres, read in"] = [_run(_OURS.format(options=""), book, request.getfixturevalue("postgres_target"))]
    floor = statistics.median(seconds for seconds, _ in found["floor"])
    rows = [
        (f"{name}, {max(most for _, most in runs):.0f} MB at most", statistics.median(each for each, _ in runs), floor)
        for name, runs in found.items()
    ]
    table(f"Reading {ROWS:,} rows x {len(HEAD)} columns", rows, "s", 1)
