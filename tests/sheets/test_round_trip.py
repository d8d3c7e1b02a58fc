"""What is written is read back without a change, on both engines, whatever the texts are."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter

from inventory.bench.actions import run
from inventory.cars.actions import Listing, add_car, list_position
from inventory.errors import Refused
from inventory.money import BASES
from inventory.parts.actions import add_part, note, state_fit
from inventory.parts.markings import CODE_STATES, READ_FROM, Markings
from inventory.people.actions import blank_contact
from inventory.places.actions import add_place, put
from inventory.provenance.actions import HOW, WHOSE, note_provenance
from inventory.seals.actions import note_seal
from inventory.seals.states import STATES
from inventory.sheets.columns.catalogue import SHEETS
from inventory.sheets.columns.own_sheets import OWN_SHEETS
from inventory.sheets.writers.sheets import write_sheets
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.valuation.actions import note_value
from tests.sheets.conftest import BY, Desk

#: Sheets that are written for people and never read.
TOLD = {sheet.name for sheet in OWN_SHEETS if sheet.told}
# Starts of texts that a spreadsheet program may take for something else; the first four: CWE-1236.
STARTS = (
    "=1+1",
    "+1",
    "-1+1",
    "@SUM(A1)",
    "'=1",
    "''",
    "＋1",
    "－1",
    "＠A1",
    "00123",
    "12345678901234567890",
    "2019-04-03",
    "line\nbreak ",
    "🙂",
    "שלום ",
    "#N/A",
    "007",
    "1E5",
    "TRUE",
    "＝1",
    "_x0041_",
    "3/4",
    ";",
    '"',
)
TEXT = st.builds(
    "".join,
    st.tuples(
        st.sampled_from(("", *STARTS)),
        st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Cn"))),
        st.just("a"),
    ),
)
DAYS = st.sampled_from((None, "2019-05-01", "1998~", "1968/1972", "1899-12-31", "2019", "about 1998"))
MONEY = st.sampled_from((("850.00", "EUR"), ("1.5", "GBP"), ("1234", "JPY"), ("123.456", "KWD"), ("0", "EUR")))


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_written_then_read_changes_nothing(desk: Desk, data: st.DataObject) -> None:
    with desk.record.write() as session:
        tag = add_part(
            session,
            BY,
            Markings(
                kind=data.draw(st.sampled_from(("relay", "pressure sensor", "other"))),
                maker=data.draw(st.none() | TEXT),
                part_number=data.draw(st.none() | TEXT),
                serial=data.draw(st.none() | TEXT),
                date_code=data.draw(st.none() | TEXT),
                marks=data.draw(st.none() | TEXT),
                match_code=data.draw(st.none() | st.sampled_from(("K", "O or Q", "=1"))),
                match_code_read_from=data.draw(st.sampled_from((None, *READ_FROM))),
                extra=data.draw(st.dictionaries(TEXT, TEXT, max_size=3)),
            ),
            condition=data.draw(st.sampled_from((None, 0, 3))),
            remark=data.draw(st.none() | TEXT),
        )
        note(session, BY, tag, data.draw(TEXT))
        for _ in range(data.draw(st.integers(0, 3))):
            note_seal(
                session,
                BY,
                tag,
                data.draw(st.sampled_from(("cap", "label"))),
                data.draw(st.sampled_from(STATES)),
                on=data.draw(DAYS),
            )
        for _ in range(data.draw(st.integers(0, 2))):
            amount, currency = data.draw(MONEY)
            basis = data.draw(st.sampled_from(BASES))
            note_value(
                session, BY, tag, amount, currency, basis=basis, on=data.draw(DAYS), source=data.draw(st.none() | TEXT)
            )
            note_provenance(
                session,
                BY,
                tag,
                data.draw(st.sampled_from(HOW)),
                whose=data.draw(st.sampled_from((None, *WHOSE))),
                party=data.draw(st.none() | TEXT),
                price=data.draw(st.sampled_from((None, amount))),
                currency=currency,
                on=data.draw(DAYS),
                text=data.draw(st.none() | TEXT),
            )
    for name in ("all.xlsx", "all.ods", "all.json", "all.csv"):
        write_sheets(desk.record, desk.folder / name, overwrite=True)
        desk.again(desk.folder / name)


@pytest.fixture
def shop(desk: Desk) -> Iterator[Desk]:
    """A record in which every sheet has a row, and parts are on a car, off it and on shelves."""
    with desk.record.write() as session:
        add_place(session, BY, "A1")
        list_position(
            session, BY, "Green tourer", "inner wing", Listing(ordinal=2, kind="pressure sensor", axis="across")
        )
        state_fit(session, BY, "HV 204 118", "HV 310 118", fits=False)
        tag = add_part(session, BY, Markings(kind="pressure sensor", maker="Ostrell", serial="71-40822"))
        readings = ["0s=50cmHg", "10s=48cmHg"]
        run(session, BY, tag, "hold", readings, {"blank": ["0s=50cmHg", "10s=50cmHg"], "volume": "60ml"})
        teardown.fit(session, BY, tag, "inner wing", car="Green tourer")
        teardown.begin(session, BY, "Green tourer")
        for place in range(3):
            relay = Markings(kind="relay", match_code_state=CODE_STATES[1 + place])
            off = teardown.log(
                session, BY, relay, teardown.ComingOff(position=f"wing {place}", seals=[("cap", "renewed")])
            )
            if place:
                put(session, BY, off.tag, "A1")
        note_provenance(session, BY, off.tag, "lent in", party="Odo Fimber")
        blank_contact(session, BY, "Odo Fimber", "asked for it")
        sold = add_part(session, BY, Markings(kind="relay"))
        note_provenance(session, BY, sold, "sold", party="Mela Grund")
        add_car(session, BY, "=Car")
    yield desk


def test_a_whole_record_comes_back_as_it_was(shop: Desk) -> None:
    for name in ("all.xlsx", "all.ods", "all.json", "parts.csv"):
        counts = write_sheets(shop.record, shop.folder / name).rows
        report = shop.read(shop.folder / name)

        read = sum(count for sheet, count in counts.items() if sheet not in TOLD)
        assert report.unchanged == report.rows_read == read
    written_out = set(write_sheets(shop.record, shop.folder / "all.json", overwrite=True).rows)
    assert written_out > {sheet.name for sheet in SHEETS}
    written = json.loads((shop.folder / "all.json").read_text(encoding="utf-8"))
    assert written["runs"][0]["blank"] == "0s=50cmHg; 10s=50cmHg"
    assert written["fits"][0]["fits"] == "no"


def test_it_reads_into_an_empty_record_as_well(shop: Desk, sqlite_template: bytes, tmp_path: Path) -> None:
    from inventory.opening import open_record

    book = shop.folder / "all.xlsx"
    write_sheets(shop.record, book)
    (tmp_path / "other.db").write_bytes(sqlite_template)
    other: Record = open_record(str(tmp_path / "other.db"))
    with other.write() as session:
        for car in ("Green tourer", "Blue coupe", "=Car"):
            add_car(session, BY, car)
    elsewhere = Desk(other, tmp_path)

    # Facts carry the numbers of the record they were written from; the parts themselves do not.
    parts = load_workbook(book)
    for name in parts.sheetnames[1:]:
        del parts[name]
    parts.save(book)
    report = elsewhere.read(book)

    assert report.added == report.rows_read == len(shop.tags())
    assert elsewhere.tags() == shop.tags()
    elsewhere.again(book)
    other.close()


def test_no_cell_of_a_workbook_is_a_formula_and_its_head_stays(desk: Desk) -> None:
    with desk.record.write() as session:
        add_part(session, BY, Markings(kind="relay", maker="=1+1", serial="0012", extra={"=x": "@y"}))
    write_sheets(desk.record, desk.folder / "all.xlsx")

    page = load_workbook(desk.folder / "all.xlsx")["parts"]

    cells = [cell for row in page.iter_rows() for cell in row if cell.value is not None]
    assert {cell.data_type for cell in cells} == {"s", "d"}
    assert {"=1+1", "0012", "=x", "@y"} <= {cell.value for cell in cells}
    assert page.freeze_panes == "A2"
    assert page.auto_filter.ref == f"A1:{get_column_letter(page.max_column)}2"


def test_in_a_csv_a_formula_is_held_by_an_apostrophe(desk: Desk) -> None:
    with desk.record.write() as session:
        add_part(session, BY, Markings(kind="relay", maker="=1+1", part_number="HV 204-118"))
    write_sheets(desk.record, desk.folder / "parts.csv")

    with (desk.folder / "parts.csv").open(encoding="utf-8-sig", newline="") as file:
        (row,) = csv.DictReader(file)

    assert (row["maker"], row["part number"]) == ("'=1+1", "HV 204-118")


def test_a_file_that_is_there_is_left_alone(desk: Desk) -> None:
    there = desk.csv([["mine"]], "all.csv")
    with pytest.raises(Refused) as caught:
        write_sheets(desk.record, there)

    assert caught.value.code == "file-exists"
    assert there.read_text().strip() == "mine"
    assert list(desk.folder.glob(".*")) == []


@pytest.mark.parametrize("name", ["all.xlsx", "all.ods", "all.json", "parts.csv"])
def test_the_fullest_cell_comes_back_to_its_last_character(desk: Desk, name: str) -> None:
    # A cell holds 32,767 characters: Microsoft, "Excel specifications and limits" (seen).
    marks = "Ä" * 32_767
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay", extra={"stamped": marks}))
    write_sheets(desk.record, desk.folder / name)

    desk.again(desk.folder / name)

    assert desk.card(tag).line.extra == {"stamped": marks}


def test_a_text_that_was_cut_stays_as_it_is_on_record(desk: Desk) -> None:
    long = "one two " * 6000
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay", marks=long.strip(), extra={"stamped": long.strip()}))
        note(session, BY, tag, long)
    write_sheets(desk.record, desk.folder / "all.xlsx")

    desk.again(desk.folder / "all.xlsx")

    remarks = "\n".join(desk.read(desk.folder / "all.xlsx").remarks)
    assert "was cut when this sheet was written; what is on record stays" in remarks
    assert desk.card(tag).line.extra == {"stamped": long.strip()}
    assert desk.card(tag).line.marks == long.strip()


def test_long_names_of_columns_come_back_whole(desk: Desk) -> None:
    names = {f"{'a long name ' * 20}{number}": f"{number}" for number in range(3)}
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay", extra=names))
    write_sheets(desk.record, desk.folder / "all.xlsx")

    desk.again(desk.folder / "all.xlsx")

    assert desk.card(tag).line.extra == names
