"""All of a record goes into a workbook and comes back: read into an empty record and written again, it is the same."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from openpyxl import load_workbook
from sqlalchemy import func, select

from inventory.declared import DECLARED
from inventory.documents.tables import Attachment
from inventory.opening import make_record
from inventory.pairing.tables import Setting
from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.sheets.columns.own_sheets import OWN_SHEETS, own_kind
from inventory.sheets.readers.tables import Row, Table
from inventory.sheets.writers.sheets import pages_of, write_sheets
from inventory.store.record import Record
from tests.build import whole_record
from tests.sheets.conftest import BY, Desk

#: What another record cannot take over: what was done there, and what says nothing without a document.
TOLD = {sheet.name for sheet in OWN_SHEETS if sheet.told} | {"attachments", "settings"}
NEEDS_A_PAPER = {Attachment, Setting}


def told(record: Record) -> dict[str, list[dict[str, object]]]:
    """Every sheet of a record as rows of filled cells, without the ids of facts and the names of documents."""
    with record.read() as session:
        pages = list(pages_of(session))
    return {
        page.name: [
            {
                column: _ranked(cell)
                for column, cell in zip(page.headers, row, strict=True)
                if cell is not None and column not in ("fact", "document")
            }
            for row in page.rows
        ]
        for page in pages
        if page.name not in TOLD
    }


def _ranked(cell: object) -> object:
    """A cell, with an id of a fact without its number: another record counts its facts anew."""
    return re.sub(r"^(strip_down|job)-\d+$", r"\1", cell) if isinstance(cell, str) else cell


def standing(record: Record) -> dict[str, int]:
    """How many facts of each kind stand that a workbook brings into another record."""
    kinds = [kind for kind in DECLARED.facts if kind.not_correctable is None and kind.table not in NEEDS_A_PAPER]
    with record.read() as session:
        return {
            kind.word: session.scalar(
                select(func.count()).select_from(kind.table).where(kind.table.superseded_by.is_(None))
            )
            or 0
            for kind in kinds
        }


@pytest.fixture
def elsewhere(empty_target: str, tmp_path: Path) -> Iterator[Desk]:
    """Another, empty record on the same engine."""
    made = make_record(empty_target)
    yield Desk(made, tmp_path)
    made.close()


@pytest.fixture
def whole(record: Record, tmp_path: Path) -> Desk:
    """A record with a row in every table."""
    (tmp_path / "originals").mkdir()
    whole_record(record, tmp_path / "originals")
    return Desk(record, tmp_path)


@pytest.mark.parametrize("name", ["all.xlsx", "all.json"])
def test_all_of_a_record_comes_back_cell_by_cell(whole: Desk, elsewhere: Desk, name: str) -> None:
    write_sheets(whole.record, whole.folder / name)
    tried = elsewhere.read(whole.folder / name, trial=True)
    assert elsewhere.tags() == []

    report = elsewhere.read(whole.folder / name)

    assert report.added == report.rows_read == tried.added
    before, after = told(whole.record), told(elsewhere.record)
    # Whoever writes is no contact, but is one where a fact of the tests names them.
    assert before.pop("contacts") == [row for row in after.pop("contacts") if row["contact"] != BY]
    assert after == before
    counts, left = standing(whole.record), standing(elsewhere.record)
    assert left.pop("contact") <= counts.pop("contact")
    assert counts.pop("mistake") == 1 and left.pop("mistake") == 0  # what it took away was not written
    counts["listing"] -= 1  # that of the position made by mistake
    assert left == counts
    assert any(remark.startswith("Not read, since it tells of that record itself") for remark in report.remarks)
    assert elsewhere.fits()
    elsewhere.again(whole.folder / name)


def test_its_own_workbook_changes_nothing(whole: Desk) -> None:
    write_sheets(whole.record, whole.folder / "all.ods")
    before = whole.entries()

    report = whole.read(whole.folder / "all.ods")

    assert (report.unchanged, report.problems) == (report.rows_read, [])
    assert whole.entries() == before


def test_what_the_sheet_of_parts_says_otherwise_is_added(whole: Desk, elsewhere: Desk) -> None:
    path = whole.folder / "all.json"
    write_sheets(whole.record, path)
    data = json.loads(path.read_text(encoding="utf-8"))
    data["parts"][0]["maker"] = "Halvard"
    path.write_text(json.dumps(data), encoding="utf-8")

    elsewhere.read(path)

    assert elsewhere.card(data["parts"][0]["tag"]).line.maker == "Ostrell"  # a sheet is no look, and ours counts
    assert len(told(elsewhere.record)["markings"]) == 1 + len(data["markings"])


def test_rows_that_were_refused_come_in_once_they_are_corrected(whole: Desk, elsewhere: Desk) -> None:
    path, bad = whole.folder / "all.json", whole.folder / "bad.xlsx"
    write_sheets(whole.record, path)
    data = json.loads(path.read_text(encoding="utf-8"))
    data["work done"][0]["area"] = "somewhere"
    data["removals"][0]["axis"] = "askew"
    path.write_text(json.dumps(data), encoding="utf-8")

    assert elsewhere.read(path, rejects=bad).refused == 2
    book = load_workbook(bad)
    for name, column, text in (("work done", "area", "outside"), ("removals", "axis", "upright")):
        heads = [cell.value for cell in book[name][1]]
        book[name].cell(2, 1 + heads.index(column), text)
    # The strip-down of that record has another number here, which nobody can know any more.
    book["removals"].cell(2, 1 + [cell.value for cell in book["removals"][1]].index("strip down")).value = None
    book.save(bad)

    assert elsewhere.read(bad).added == 2
    assert "upright" in [row.get("axis") for row in told(elsewhere.record)["removals"]]


def test_rows_typed_into_these_sheets(desk: Desk) -> None:
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay"))
    heads = ["car", "name", "maker", "on", "seen by", "seen on"]
    book = {
        "cars": [heads, ["Grey saloon", "Grey saloon", "Halvard", None, None, None]],
        "work done": [["tag", "what", "area", "seen by", "seen on"], [tag, "new mounts", "outside", "Ines", "2026-03"]],
        "positions": [["car", "position"], ["Blue coupe", "tank"]],
        "notes": [
            ["tag", "car", "position", "text"],
            [None, "Blue coupe", None, "smells of fuel"],
            [None, "Blue coupe", "tank", "rusty inside"],
            [tag, None, None, "clicks"],
        ],
    }

    assert desk.read(desk.book("typed.xlsx", **book)).added == 6  # type: ignore[arg-type]
    rows = told(desk.record)
    assert [row["how known"] for row in rows["work done"]] == ["seen"]
    assert {row["how known"] for row in rows["notes"]} == {"written in a sheet"}
    desk.again(desk.folder / "typed.xlsx")
    wrong = {
        "notes": [["tag", "car", "text"], [None, "Red wagon", "smells"]],
        "removals": [["tag", "car", "bag"], [tag, "Blue coupe", "7"]],
    }
    problems = desk.refused(desk.book("wrong.xlsx", **wrong)).report.problems  # type: ignore[arg-type]
    assert [(each.sheet, each.column) for each in problems] == [("notes", "car"), ("removals", "car")]
    assert "teardown log" in (problems[1].hint or "")


def test_an_owners_tab_of_such_a_name_is_no_sheet_of_ours() -> None:
    tabs = {"places": ["name", "town", "keys"], "work done": ["what", "cost"], "offers": ["kind", "price", "Where"]}
    for name, headers in tabs.items():
        assert own_kind(Table(name, [Row(1, headers), Row(2, ["a", "b"])])) is None
