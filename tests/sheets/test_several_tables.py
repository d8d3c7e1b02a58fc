"""Several tables, several parts a row, and days of tabs, read into a record: rows are counted once, days are each tab's."""

from __future__ import annotations

from sqlalchemy import select

from inventory.hardware.queries import stock
from inventory.parts.tables import Marking
from tests.sheets.conftest import Desk


def days_of(desk: Desk) -> list[tuple[str | None, str | None]]:
    with desk.record.read() as session:
        rows = session.execute(select(Marking.serial, Marking.so_from).order_by(Marking.serial))
        return [(serial, edtf) for serial, edtf in rows]


def test_a_row_of_two_parts_waits_and_counts_once(desk: Desk) -> None:
    head = ["Sensor No", "Sensor SN", "ECU No", "ECU SN", "Shelf"]
    path = desk.csv([head, ["CV 204", "7100", "CV 310", "4400", "1"], ["CV 204", "7101", "", "", "1"]])

    refused = desk.refused(path)
    assert {"pair/parts" in (problem.hint or "") for problem in refused.report.problems} == {True}

    said = {"pair/parts": "two parts"}
    report = desk.read(path, said=said, keep_answers=True)
    assert (report.rows_read, report.added, report.parts) == (2, 2, {"added": 3})
    assert sorted(serial or "" for serial, _ in days_of(desk)) == ["4400", "7100", "7101"]
    assert [each.key for each in desk.read(path).questions] == []
    assert len(desk.tags()) == 3


def test_so_many_parts_and_a_line_of_hardware_from_one_list(desk: Desk) -> None:
    head = ["Type", "Part No", "Serial", "Qty", "Shelf"]
    rows = [head, ["injector", "51 220", "", "3", "A"], ["grommet", "10 x 18", "", "60", "B"]]
    said = {"quantity/parts/grommet": "one line"}

    report = desk.read(desk.csv(rows), said=said)

    assert (report.rows_read, report.added, report.parts) == (2, 2, {"added": 4})
    assert len(desk.tags()) == 3
    with desk.record.read() as session:
        (line,) = stock(session)
    assert "60" in str(line)
    assert desk.read(desk.csv(rows), said=said).unchanged == 2
    assert desk.fits()


def test_each_tab_was_kept_up_to_its_own_day_unless_the_user_says_another(desk: Desk) -> None:
    head = ["Type", "Part No", "Serial"]
    path = desk.book(**{"Stand 2017": [head, ["relay", "12", "1"]], "2019": [head, ["relay", "13", "2"]]})

    desk.read(path)

    assert days_of(desk) == [("1", "2017"), ("2", "2019")]
    desk.again(path)
    other = desk.book("other.xlsx", **{"2019": [head, ["relay", "13", "3"]]})
    assert not [each for each in desk.read(other, on="2020-05-01").questions if each.key.startswith("day/")]
    assert days_of(desk)[-1] == ("3", "2020-05-01")
