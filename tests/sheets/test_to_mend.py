"""Today names the workbooks of refused rows until they are read in, or the reading is taken back."""

from __future__ import annotations

from inventory.facts.change import withdraw
from inventory.facts.write import write
from inventory.people.actions import begin_act
from inventory.record.tables import SheetReading
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.record import Record
from tui.data.today import rows_to_mend

BY = "Ines"


def test_rows_to_mend_are_told_by_workbook_until_taken_back(record: Record) -> None:
    with record.write() as session:
        act = begin_act(session, "sheet read", BY, RECORD_THING)
        shared = {"headers": "[]", "parts": "[]", "file_name": "list.ods", "how_known": "read"}
        write(
            session,
            act,
            [
                make_fact(
                    SheetReading, act, RECORD_THING, when_on(None, act.today),
                    tab=tab, rows=300, to_mend=count, rejects="bad.xlsx" if count else None, **shared,
                )
                for tab, count in (("A", 180), ("B", 8), ("C", 0))
            ],
        )  # fmt: skip

    with record.read() as session:
        (line,) = rows_to_mend(session)
    assert (line.opens, line.says, line.more) == ("sheet", "188 rows to mend in bad.xlsx", "from list.ods")

    with record.write() as session:
        for number in (1, 2):
            withdraw(session, BY, f"sheet_reading-{number}", "the file is gone")
    with record.read() as session:
        assert rows_to_mend(session) == ()
