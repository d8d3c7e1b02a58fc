"""Money in sheets, against the minor units of currencies: ISO 4217, list one (SIX Group, "Current currency & funds"),
from memory. An amount goes out with as many decimals as its currency has and comes back as it was; more are refused.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook

from inventory.cars.actions import add_car
from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.sheets import SheetRefused, read_sheet
from inventory.sheets.writers.sheets import write_sheets
from inventory.store.record import Record
from inventory.valuation.actions import note_value
from tests.sheets.conftest import BY, Desk

#: Currency, decimals, an amount, and how it is written: 12.500 could be twelve thousand, so it gets a nought more.
MINOR_UNITS = [
    ("EUR", 2, "850", "850.00"),
    ("USD", 2, "1.5", "1.50"),
    ("GBP", 2, "0.05", "0.05"),
    ("CHF", 2, "12000", "12000.00"),
    ("SEK", 2, "4500.5", "4500.50"),
    ("JPY", 0, "90000", "90000"),
    ("KRW", 0, "1200000", "1200000"),
    ("ISK", 0, "35000", "35000"),
    ("CLP", 0, "70000", "70000"),
    ("VND", 0, "500000", "500000"),
    ("KWD", 3, "12.5", "12.5000"),
    ("BHD", 3, "0.125", "0.125"),
    ("JOD", 3, "45.75", "45.7500"),
    ("TND", 3, "1234.567", "1234.567"),
    ("OMR", 3, "7", "7.0000"),
    ("CLF", 4, "3.1415", "3.1415"),
]
_FORMATS = ("all.xlsx", "all.ods", "all.json", "values.csv")


@pytest.fixture
def desk(record: Record, tmp_path: Path) -> Desk:
    with record.write() as session:
        add_car(session, BY, "Green tourer")
    return Desk(record, tmp_path)


def test_amounts_go_out_with_their_decimals_and_come_back(desk: Desk) -> None:
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay"))
        for currency, _, amount, _ in MINOR_UNITS:
            note_value(session, BY, tag, amount, currency)
    for name in _FORMATS:
        write_sheets(desk.record, desk.folder / name, sheet="values" if name.endswith("csv") else None)

    with (desk.folder / "values.csv").open(encoding="utf-8-sig", newline="") as file:
        by_csv = {row["currency"]: row["amount"] for row in csv.DictReader(file)}
    page = load_workbook(desk.folder / "all.xlsx")["values"]
    head = [cell.value for cell in page[1]]
    by_book = {
        row[head.index("currency")]: Decimal(str(row[head.index("amount")]))
        for row in page.iter_rows(min_row=2, values_only=True)
    }

    assert by_csv == {currency: text for currency, _, _, text in MINOR_UNITS}
    assert by_book == {currency: Decimal(text) for currency, _, _, text in MINOR_UNITS}
    for name in _FORMATS:
        desk.again(desk.folder / name)


@pytest.mark.parametrize(("currency", "decimals"), [(row[0], row[1]) for row in MINOR_UNITS])
def test_an_amount_with_a_decimal_more_is_refused(desk: Desk, currency: str, decimals: int) -> None:
    more = f"45678.{'1' * (decimals + 1)}"
    path = desk.csv([["Kind", "Serial", "Value", "Value currency"], ["relay", "1", more, currency]])

    with pytest.raises(SheetRefused) as caught:
        read_sheet(desk.record, path, BY, strict=True)

    (row,) = caught.value.report.rows
    assert [f"{currency} has {decimals} decimals" in each.problem for each in row.problems] == [True]
