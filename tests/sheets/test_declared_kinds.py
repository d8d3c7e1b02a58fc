"""Every kind of fact that is declared with a sheet is read, written out and corrected by it; nothing else is needed."""

from __future__ import annotations

import csv
import subprocess
import sys
from pathlib import Path

import pytest
from openpyxl import load_workbook

from inventory.declared import DECLARED
from inventory.facts.declare import FactKind, Sheet
from inventory.facts.views import FactView, facts_of
from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.sheets.writers.sheets import write_sheets
from tests.sheets.conftest import BY, Desk

KINDS = [kind for kind in DECLARED.facts if kind.sheet is not None]
DAY, OTHER_DAY = "2026-03-02", "2026-03-01"


def sheet_of(kind: FactKind) -> Sheet:
    assert kind.sheet is not None
    return kind.sheet


def told(kind: FactKind) -> dict[str, str]:
    """A text for each column of a kind's sheet that has an example, and a day."""
    texts = {value.name: value.examples[0] for value in kind.values if value.examples} | {"on": DAY}
    return {column: texts[column] for column in sheet_of(kind).columns if column in texts}


def other_texts(kind: FactKind) -> dict[str, str]:
    """Another text for some columns. Those of a run go together, so only its day is another."""
    seconds = {value.name: value.examples[1] for value in kind.values if len(value.examples) > 1}
    return {"on": OTHER_DAY} if kind.word == "run" else {**seconds, "on": OTHER_DAY}


def facts(desk: Desk, tag: str, kind: FactKind) -> list[FactView]:
    with desk.record.read() as session:
        return facts_of(session, part_row(session, tag).id, (kind.table,), superseded=True)


@pytest.fixture
def part(desk: Desk) -> str:
    with desk.record.write() as session:
        return add_part(session, BY, Markings(kind="pressure sensor", maker="Ostrell", serial="71-40822"))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.word)
def test_the_examples_of_a_kind_come_back_as_they_were(desk: Desk, part: str, kind: FactKind) -> None:
    said, book = told(kind), desk.folder / "all.xlsx"

    assert desk.read(desk.book(**{sheet_of(kind).name: [["tag", *said], [part, *said.values()]]})).added == 1
    write_sheets(desk.record, book)

    desk.again(book)
    assert desk.fits()


@pytest.mark.parametrize(
    ("kind", "column", "text"),
    [(kind, column, text) for kind in KINDS for column, text in other_texts(kind).items()],
    ids=lambda each: each if isinstance(each, str) else each.word,
)
def test_a_cell_that_says_something_else_corrects_the_fact(
    desk: Desk, part: str, kind: FactKind, column: str, text: str
) -> None:
    said, path = told(kind), desk.folder / "one.csv"
    desk.read(desk.csv([["tag", *said], [part, *said.values()]], "first.csv"))
    write_sheets(desk.record, path, sheet=sheet_of(kind).name)
    with path.open(encoding="utf-8-sig", newline="") as file:
        head, row = csv.reader(file)
    edited = desk.csv([head, [text if title == column else cell for title, cell in zip(head, row, strict=True)]])

    report = desk.read(edited)

    assert (report.changed, report.refused) == (1, 0)
    assert [change.column for row in report.rows for change in row.changes] == [column]
    old, new = sorted(facts(desk, part, kind), key=lambda fact: fact.superseded_by is None)
    assert (old.superseded_by, new.superseded_by) == (new.id, None)
    desk.again(edited)
    assert desk.fits()


_ANOTHER = """
import sys
from dataclasses import replace
from pathlib import Path
from inventory import declared
from inventory.facts.declare import Sheet

sheet = Sheet("work", ("what", "area", "product", "on"), frozenset({"what", "area"}), {"area": "outside"})
kinds = [replace(each, sheet=sheet) if each.word == "work" else each for each in declared.DECLARED.facts]
declared.DECLARED = replace(declared.DECLARED, facts=tuple(kinds))

from inventory.opening import open_record
from inventory.reference.data import PROGRAM
from inventory.sheets import read_sheet
from inventory.sheets.writers.sheets import write_sheets
from inventory.sheets.writers.template import write_template

target, folder = sys.argv[1], Path(sys.argv[2])
record = open_record(target)
(folder / "parts.csv").write_text("kind,maker,serial\\nrelay,Ostrell,0042\\n")
rows = ("maker,serial,what,area,product", "Ostrell,0042,new mounts,,zinc primer", "Ostrell,0042,washed,on the unit,")
(folder / "work.csv").write_text("\\n".join(rows))
print(read_sheet(record, folder / "parts.csv", "Ines").added, read_sheet(record, folder / "work.csv", "Ines").added)
write_sheets(record, folder / "all.xlsx")
report = read_sheet(record, folder / "all.xlsx", "Ines")
print(report.unchanged, report.rows_read)
written = write_sheets(record, folder / "work.csv", sheet="work", overwrite=True).rows["work"]
(folder / "work.csv").write_text((folder / "work.csv").read_text("utf-8").replace("washed", "washed twice"), "utf-8")
report = read_sheet(record, folder / "work.csv", "Ines")
print(written, report.changed, report.unchanged)
write_template(folder / "t.xlsx", PROGRAM)
"""


def test_a_kind_that_is_given_a_sheet_needs_nothing_else(sqlite_target: str, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", _ANOTHER, sqlite_target, str(tmp_path)], capture_output=True, text=True, check=False
    )

    assert (done.stdout.split("\n"), done.stderr) == (["1 2", "4 4", "2 1 1", ""], "")
    page = load_workbook(tmp_path / "t.xlsx")["work"]
    assert [cell.value for cell in page[1]][5:] == ["what", "area", "product", "on"]
    assert len(page.data_validations.dataValidation) == 1
