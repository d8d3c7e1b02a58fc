"""A cell of a sheet of facts that cannot be read and is not needed is kept as text of its part; units stand in headers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from inventory.facts.views import facts_of
from tests.sheets.conftest import Desk

PARTS = [["tag", "kind", "serial"], ["K4127-7", "pressure sensor", "71-1"]]
RUNS = ["tag", "procedure", "readings", "ambient", "note", "on"]
RUN = ["K4127-7", "resistance", "primary=94.1ohm; secondary=361ohm", "warm", "first", "vor 2010"]


def unread(desk: Desk) -> dict[str, str]:
    return {fact.values["for_column"]: fact.values["text"] for fact in desk.card()["unread_cells"]}


def runs(desk: Desk) -> list[dict[str, Any]]:
    with desk.record.read() as session:
        facts = facts_of(session, desk.card().line.id)
        return [dict(fact.values) for fact in facts if fact.table == "bench_run" and fact.superseded_by is None]


def book(desk: Desk, *rows: list[str], head: list[str] = RUNS, name: str = "runs.xlsx") -> Path:
    return desk.book(name, parts=PARTS, runs=[head, *rows])


def test_the_row_goes_in_and_what_cannot_be_read_is_kept(desk: Desk) -> None:
    path = book(desk, RUN)
    assert desk.refused(path, strict=True).code == "rows-refused"

    report = desk.read(path)

    assert (report.added, report.refused) == (2, 0)
    assert sorted((each.column, each.value) for each in report.unread) == [("ambient", "warm"), ("on", "vor 2010")]
    assert unread(desk) == {"runs: ambient": "warm", "runs: on": "vor 2010"}
    assert len(runs(desk)) == 1
    desk.again(path)
    assert (len(runs(desk)), len(unread(desk))) == (1, 2)
    assert desk.fits()


def test_mended_it_is_the_same_run_and_the_text_is_taken_back(desk: Desk) -> None:
    desk.read(book(desk, RUN))
    mended = book(desk, [*RUN[:3], "20degC", *RUN[4:]], name="mended.xlsx")

    report = desk.read(mended)

    assert (report.added, report.changed) == (0, 1)
    (run,) = runs(desk)
    assert run["conditions"]["ambient"] == "20degC"
    assert unread(desk) == {"runs: on": "vor 2010"}
    desk.again(mended)
    assert desk.fits()


def test_a_text_that_comes_later_is_kept_too(desk: Desk) -> None:
    desk.read(book(desk, [*RUN[:3], "", "first", ""]))

    report = desk.read(book(desk, [*RUN[:3], "warm", "first", ""], name="later.xlsx"))

    assert (report.added, report.changed, len(runs(desk))) == (0, 1, 1)
    assert unread(desk) == {"runs: ambient": "warm"}


def test_what_is_needed_refuses_the_row_as_before(desk: Desk) -> None:
    desk.refused(book(desk, ["K4127-7", "resistance", "primary=many", "", "", ""]))
    desk.refused(book(desk, ["K4127-7", "by nose", "primary=94.1ohm", "", "", ""]))


def test_what_changes_the_figures_of_a_run_is_never_left_out(desk: Desk) -> None:
    head = [*RUNS[:3], "leads", *RUNS[4:]]

    desk.refused(book(desk, [*RUN[:3], "half an ohm", "", ""], head=head))


def test_a_price_that_cannot_be_read_keeps_how_the_part_came(desk: Desk) -> None:
    head = ["tag", "lane", "how", "attribution", "price", "whose"]
    row = ["K4127-7", "title", "bought", "said by seller", "env. 80", "Huber"]
    path = desk.book("came.xlsx", parts=PARTS, provenance=[head, row])

    report = desk.read(path)

    assert (report.added, report.refused, len(report.unread)) == (2, 0, 2), report.problems
    (came,) = [fact for fact in desk.card()["provenance"] if fact.values["how"] == "bought"]
    assert (came.values["price"], came.values["whose"]) == (None, "not known")
    desk.again(path)


def test_a_unit_in_brackets_is_that_of_its_column(desk: Desk) -> None:
    head = ["tag", "procedure", "Readings [kOhm]", "Temperature (°C)", "note", "on"]
    row = ["K4127-7", "resistance", "primary=0.0941; secondary=361ohm", "20", "first", ""]

    report = desk.read(book(desk, row, head=head))

    assert (report.refused, report.unread) == (0, [])
    (run,) = runs(desk)
    assert run["readings"] == ["primary=0.0941kOhm", "secondary=361ohm"]
    assert run["conditions"]["ambient"] == "20°C"


def test_what_is_no_unit_is_no_unit(desk: Desk) -> None:
    head = ["tag", "procedure", "Readings (values)", "ambient", "note", "on"]

    desk.read(book(desk, ["K4127-7", "resistance", "primary=94.1", "", "", ""], head=head))

    assert runs(desk)[0]["readings"] == ["primary=94.1"]
