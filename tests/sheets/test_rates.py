"""The sheet of rates of exchange: read, read again, written out, and read into another record."""

from __future__ import annotations

import pytest

from inventory.sheets.writers.sheets import write_sheets
from inventory.valuation.queries import rates
from tests.sheets.conftest import Desk

HEAD = ["from currency", "to currency", "rate", "source", "on"]


def test_rates_of_several_days_are_facts_of_their_own(desk: Desk) -> None:
    rows = [HEAD, ["eur", "CHF", "0.9412", "the bank", "2026-02-01"], ["EUR", "CHF", "0.95", "the bank", "2026-03-01"]]
    assert desk.read(desk.csv(rows)).added == 2
    desk.again(desk.csv(rows))

    rows[2][2] = "0.96"
    assert desk.read(desk.csv(rows)).changed == 1
    with desk.record.read() as session:
        said = [(rate.from_currency, rate.rate, rate.on) for rate in rates(session)]
    assert said == [("EUR", "0.9412", "2026-02-01"), ("EUR", "0.96", "2026-03-01")]

    write_sheets(desk.record, desk.folder / "all.xlsx")
    desk.again(desk.folder / "all.xlsx")


@pytest.mark.parametrize(
    ("row", "column"),
    [
        (["EUR", "CHF", "0", "the bank", ""], "rate"),
        (["EUR", "CHF", "1", "", ""], "source"),
        (["EUR", "QQQ", "1", "the bank", ""], "to currency"),
        (["EUR", "eur", "1", "the bank", ""], "to currency"),
    ],
)
def test_a_row_that_is_no_rate_is_refused(desk: Desk, row: list[str], column: str) -> None:
    (problem,) = desk.refused(desk.csv([HEAD, row])).report.problems
    assert problem.column == column
