"""Has LibreOffice save our files, and reads them back: nothing may change and nothing be refused.

    python -m tests.outside.libreoffice [RECORD]

Every file that `sheet write` makes (xlsx, ods, and each sheet as csv) is saved by LibreOffice as xlsx, ods and csv. Without
RECORD it is done with a record that has a row in every table. Needs `soffice` on the path.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from inventory.opening import make_record, open_record
from inventory.sheets import SheetRefused, read_sheet
from inventory.sheets.columns.own_sheets import EVERY_SHEET
from inventory.sheets.writers.sheets import write_sheets
from inventory.store.record import Record
from tests.build import whole_record

#: How a csv is written: comma, double quotes, UTF-8, all cells as they are shown (LibreOffice, "Filter options").
_CSV = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false"
#: How a csv is opened: the same, and every column as text, so that 0042 stays 0042.
_COLUMNS = "/".join(f"{number}/2" for number in range(1, 61))
_OPENED = f"--infilter=CSV:44,34,76,1,{_COLUMNS}"
_AS = {".xlsx": ["xlsx", "ods"], ".ods": ["xlsx", "ods"], ".csv": ["xlsx", "ods", _CSV]}


def main() -> int:
    """Print a line for each file; 1 if one of them came back otherwise."""
    with tempfile.TemporaryDirectory() as held:
        folder = Path(held)
        if sys.argv[1:]:
            record = open_record(sys.argv[1])
        else:
            record = make_record(str(folder / "whole.db"))
            (folder / "originals").mkdir()
            whole_record(record, folder / "originals")
        wrong = sum(
            [_one(record, path, form, folder) for path in _written(record, folder) for form in _AS[path.suffix]]
        )
        record.close()
    print("all came back as they were" if not wrong else f"{wrong} files came back otherwise")
    return bool(wrong)


def _written(record: Record, folder: Path) -> Iterator[Path]:
    for name in ("all.xlsx", "all.ods"):
        write_sheets(record, folder / name)
        yield folder / name
    for sheet in EVERY_SHEET:
        path = folder / f"{sheet.name}.csv"
        if write_sheets(record, path, sheet=sheet.name).rows[sheet.name] and not sheet.told:
            yield path


def _one(record: Record, path: Path, form: str, folder: Path) -> bool:
    """Whether a file saved in another form says something else; printed."""
    out = folder / "saved"
    opened = [_OPENED] if path.suffix == ".csv" else []
    command = ["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", *opened]
    subprocess.run([*command, "--convert-to", form, "--outdir", str(out), str(path)], check=True, capture_output=True)
    saved = out / f"{path.stem}.{form.split(':')[0]}"
    try:
        report = read_sheet(record, saved, "outside", trial=True)
    except SheetRefused as refusal:
        report = refusal.report
    told = f"{report.unchanged} unchanged, {report.added} added, {report.changed} changed, {report.refused} refused"
    print(f"{path.name} saved as {saved.suffix}: {told}", flush=True)
    for row in [row for row in report.rows if row.changes][:3]:
        print("   ", row.sheet.name, row.row.number, row.changes)
    for problem in report.problems[:3]:
        print("   ", problem.sheet, problem.row, problem.column, problem.value, problem.problem)
    saved.unlink()
    return not report.unchanged or report.unchanged != report.rows_read


if __name__ == "__main__":
    sys.exit(main())
