"""Values of two parts as one pair, in a sheet: also where the file brings both parts itself."""

from __future__ import annotations

from sqlalchemy import select

from inventory.parts.queries import part_row
from inventory.sheets.writers.sheets import write_sheets
from inventory.valuation.tables import Valuation
from inventory.verification import verify
from tests.sheets.conftest import Desk

PARTS = [["tag", "kind"], ["K4127-7", "pressure sensor"], ["K2210-C", "control unit"]]
HEAD = ["tag", "amount", "currency", "basis", "on", "tax", "with"]
PAIR = ["K4127-7", "1500", "EUR", "market", "2026-02-01", "with tax", "k2210c"]


def test_a_pair_is_read_with_its_parts_and_comes_back_as_it_went(desk: Desk) -> None:
    report = desk.read(desk.book(parts=PARTS, values=[HEAD, PAIR]))

    assert (report.added, report.refused) == (3, 0)
    with desk.record.read() as session:
        (value,) = session.scalars(select(Valuation))
        tags = part_row(session, "K4127-7").id, part_row(session, "K2210-C").id
        assert ((value.thing_id, value.with_id), value.tax) == (tags, "with tax")
    write_sheets(desk.record, desk.folder / "all.xlsx")
    desk.again(desk.folder / "all.xlsx")
    assert desk.fits()
    assert verify(desk.record).ok


def test_a_pair_with_itself_or_with_no_part_is_refused(desk: Desk) -> None:
    for mate in ("K4127-7", "T1111-5"):
        refused = desk.refused(desk.book(parts=PARTS, values=[HEAD, [*PAIR[:-1], mate]]))
        (problem,) = refused.report.problems
        assert (problem.sheet, problem.column) == ("values", "with")
