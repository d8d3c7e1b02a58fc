"""Sheets of facts: seals, values, provenance, runs; positions and fits."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from inventory.bench.actions import run
from inventory.cars.queries import car_named, positions
from inventory.errors import Refused
from inventory.facts import change
from inventory.facts.change import correct, withdraw
from inventory.parts.actions import attach
from inventory.people.actions import blank_contact
from inventory.provenance.actions import note_provenance
from inventory.provenance.tables import Provenance
from inventory.seals.actions import note_seal
from tests.sheets.conftest import BY, Desk

SENSOR = ["pressure sensor", "Ostrell", "HV 204 118", "71-40822"]
UNIT = ["control unit", "Ostrell", "HV 310 118", "71-18806"]
HEAD = ["kind", "maker", "part number", "serial"]
RESISTANCE = ["resistance", "primary=94.1ohm; secondary=361ohm"]
NAMED = ["maker", "part number", "serial"]


@pytest.fixture
def sensor(desk: Desk) -> str:
    desk.read(desk.csv([HEAD, SENSOR]))
    return desk.only()


SHEETS = {
    "seals": ([*NAMED, "seal", "state", "on"], [*SENSOR[1:], "cap", "intact", "2026-03-02"], "state", "disturbed"),
    "values": (
        [*NAMED, "amount", "currency", "basis", "on", "source"],
        [*SENSOR[1:], "850.00", "EUR", "market", "2026-02-01", "two sale results"],
        "amount",
        "900",
    ),
    "provenance": (
        [*NAMED, "lane", "how", "party", "on", "attribution", "price", "currency"],
        [*SENSOR[1:], "title", "bought", "Odo Fimber", "2019-05", "document", "310", "EUR"],
        "on",
        "2018",
    ),
    "runs": (
        [*NAMED, "procedure", "readings", "ambient", "on"],
        [*SENSOR[1:], "hold", "0s=50cmHg; 5s=49cmHg; 10s=48cmHg", "20degC", "2026-03-12"],
        "readings",
        "0s=50cmHg; 10s=47cmHg",
    ),
}


@pytest.mark.parametrize("name", SHEETS)
def test_a_row_is_a_fact_once_however_often_it_is_read(desk: Desk, sensor: str, name: str) -> None:
    head, row, _, _ = SHEETS[name]
    sheet = desk.csv([head, row, row], "facts.csv")

    assert desk.read(sheet).added == 2
    desk.again(sheet)
    assert len(desk.card()[name]) == 2
    assert desk.fits()


@pytest.mark.parametrize("name", SHEETS)
def test_a_row_that_carries_its_fact_corrects_it_and_no_other(desk: Desk, sensor: str, name: str) -> None:
    head, row, column, text = SHEETS[name]
    desk.read(desk.csv([head, row], "facts.csv"))
    (fact,) = desk.card()[name]
    edited = [cell if title != column else text for title, cell in zip(head, row, strict=True)]
    sheet = desk.csv([[*head, "fact"], [*edited, fact.id]], "edited.csv")

    report = desk.read(sheet)

    assert (report.changed, [change.column for change in report.rows[0].changes]) == (1, [column])
    (stands,) = desk.card()[name]
    assert stands.id != fact.id
    desk.again(sheet)
    assert desk.fits()


def test_a_row_written_before_a_correction_does_not_undo_it(desk: Desk, sensor: str) -> None:
    with desk.record.write() as session:
        fact = note_seal(session, BY, sensor, "cap", "intact", on="2026-03-02")
        standing = correct(session, BY, fact, {"state": "disturbed"}, "misread")
    sheet = desk.csv([["fact", "tag", "seal", "state"], [fact, sensor, "cap", "intact"]], "facts.csv")

    report = desk.read(sheet)

    assert (report.unchanged, len(report.remarks)) == (1, 1)
    assert standing in report.remarks[0]
    with desk.record.write() as session:
        withdraw(session, BY, standing, "wrong part")
    assert "taken back" in desk.refused(sheet).report.problems[0].problem


def test_rows_that_name_no_part_or_the_wrong_fact_are_refused(desk: Desk, sensor: str) -> None:
    rows = [
        ["", "", "", "", "", "cap", "intact"],
        ["", "", "Ostrell", "HV 204 118", "1", "cap", "intact"],
        ["", sensor, "", "", "71-40823", "cap", "intact"],
        ["seal_sighting-99", sensor, "", "", "", "cap", "intact"],
        ["", sensor, "", "", "", "cap", ""],
        ["", sensor, "", "", "", "cap", "wobbly"],
    ]
    sheet = desk.csv([["fact", "tag", "maker", "part number", "serial", "seal", "state"], *rows], "facts.csv")

    report = desk.refused(sheet).report

    assert [(problem.row, problem.column) for problem in report.problems] == [
        (2, "tag"), (3, "serial"), (4, "serial"), (5, "fact"), (6, "state"), (7, "state"),
    ]  # fmt: skip


def test_a_run_that_cannot_be_read_is_refused_as_at_the_bench(desk: Desk, sensor: str) -> None:
    head, row, _, _ = SHEETS["runs"]
    wrong = [cell.replace("cmHg", "inHg") for cell in row]

    report = desk.refused(desk.csv([head, wrong], "facts.csv")).report

    assert "more vacuum" in report.problems[0].problem


def test_facts_of_parts_that_the_same_file_adds(desk: Desk) -> None:
    book = desk.book(
        parts=[HEAD, SENSOR, UNIT],
        seals=[SHEETS["seals"][0], SHEETS["seals"][1]],
        fits=[["sensor part number", "unit part number"], [SENSOR[2], UNIT[2]]],
        positions=[["car", "position", "order", "kind"], ["green tourer", "inner wing", 3, SENSOR[0]]],
    )

    assert desk.read(book).added == 5
    desk.again(book)
    assert desk.fits()
    with desk.record.read() as session:
        (position,) = positions(session, car_named(session, "Green tourer").id)
    assert (position.name, position.ordinal, position.kind) == ("inner wing", 3, "pressure sensor")


def test_the_last_word_on_two_numbers_and_on_a_position(desk: Desk) -> None:
    fits = [["sensor part number", "unit part number", "fits"], ["HV 204 118", "HV 310 118", "yes"]]
    listed = [["car", "position", "kind", "mounts"], ["Green tourer", "inner wing", "relay", "2x grommet"]]
    desk.read(desk.book("one.xlsx", fits=fits, positions=listed))
    fits[1] = ["HV204118", "hv 310-118", "no"]
    listed[1] = ["Green tourer", "inner wing", "injector", ""]
    sheet = desk.book("two.xlsx", fits=fits, positions=listed)

    assert desk.read(sheet).changed == 2
    desk.again(sheet)
    with desk.record.read() as session:
        (position,) = positions(session, car_named(session, "Green tourer").id)
    assert (position.kind, position.mounts) == ("injector", "2x grommet")
    assert desk.fits()


def test_mending_an_older_line_does_not_make_it_the_latest(desk: Desk, sensor: str) -> None:
    with desk.record.write() as session:
        first = note_seal(session, BY, sensor, "cap", "intact", on="2026-03-02")
        note_seal(session, BY, sensor, "cap", "disturbed", on="2026-03-02")

    desk.read(desk.csv([["fact", "tag", "seal", "state"], [first, sensor, "cap", "never fitted"]], "facts.csv"))

    assert desk.card().line.seal_state == "disturbed"
    assert desk.fits()


def test_rows_of_a_list_that_name_nothing_are_refused(desk: Desk) -> None:
    fits = [["sensor part number", "unit part number", "fits"], ["HV 204 118", "", "yes"], ["HV 204 118", "--", "no"]]

    report = desk.refused(desk.book(fits=fits)).report

    assert {(problem.row, problem.column) for problem in report.problems} == {
        (2, "unit part number"), (3, "unit part number"),
    }  # fmt: skip


def test_runs_are_judged_by_what_the_same_file_says_of_their_part(desk: Desk) -> None:
    head, row, _, _ = SHEETS["runs"]
    of_unit = [*UNIT[1:], *row[3:]]

    report = desk.refused(desk.book("wrong.xlsx", parts=[HEAD, SENSOR, UNIT], runs=[head, row, of_unit])).report
    right = desk.book("right.xlsx", parts=[HEAD, SENSOR, UNIT], runs=[head, row])

    assert [(problem.row, problem.column) for problem in report.problems] == [(3, "procedure")]
    assert "control unit" in report.problems[0].problem
    assert desk.read(right).added == 3
    desk.again(right)
    assert desk.fits()


def test_a_run_with_an_instrument_that_nobody_entered_is_refused_as_at_the_bench(desk: Desk, sensor: str) -> None:
    sheet = desk.csv([["tag", "procedure", "readings", "instrument"], [sensor, *RESISTANCE, "L9"]], "facts.csv")

    (problem,) = desk.refused(sheet).report.problems
    with desk.record.write() as session, pytest.raises(Refused) as refused:
        run(session, BY, sensor, RESISTANCE[0], RESISTANCE[1].split("; "), {"instrument": "L9"})

    assert (problem.column, problem.problem) == ("instrument", refused.value.message)


def test_a_corrected_row_keeps_what_its_sheet_has_no_column_for(desk: Desk, sensor: str) -> None:
    picture = desk.folder / "offer.txt"
    picture.write_text("850 EUR")
    with desk.record.write() as session:
        attach(session, BY, sensor, picture, shows="paper")
        fact = change.add(
            session,
            BY,
            "value",
            sensor,
            {"amount": "850", "currency": "EUR", "basis": "market", "document": "offer.txt"},
        )
    desk.read(desk.csv([["fact", "tag", "amount", "currency"], [fact, sensor, "900", "EUR"]], "facts.csv"))

    (stands,) = desk.card()["values"]
    assert (stands.values["amount"], stands.values["document"], stands.how_known) == ("900", "offer.txt", "document")


def test_a_removed_name_stays_with_a_fact_that_is_corrected(desk: Desk, sensor: str) -> None:
    with desk.record.write() as session:
        fact = note_provenance(session, BY, sensor, "bought", party="Odo Fimber", on="2019")
        blank_contact(session, BY, "Odo Fimber", "asked for it")

    desk.read(desk.csv([["fact", "tag", "how", "on"], [fact, sensor, "bought", "2018"]], "facts.csv"))

    with desk.record.read() as session:
        old, new = session.scalars(select(Provenance).order_by(Provenance.id))
    assert (new.so_from, new.party_id) == ("2018", old.party_id)


def test_positions_say_what_they_sit_behind_also_if_it_stands_further_down(desk: Desk) -> None:
    heads = ["car", "position", "kind", "Bereich", "autres numéros", "sits behind"]
    rows = [
        ["green tourer", "inner wing", SENSOR[0], "engine bay", "HV 204 119, HV 204 120", "air horn; heater"],
        ["green tourer", "air horn", "air temperature sensor", None, None, None],
        ["green tourer", "heater", "other", None, None, None],
    ]
    desk.read(desk.book("positions.xlsx", positions=[heads, *rows]))
    with desk.record.read() as session:
        (view, *_) = positions(session, car_named(session, "Green tourer").id)
    assert (view.area, view.numbers) == ("engine bay", ("HV 204 119", "HV 204 120"))
    assert view.behind == ("air horn", "heater")
    wrong = ["green tourer", "loom", "loom", None, None, "air hron"]
    report = desk.refused(desk.book("wrong.xlsx", positions=[heads, wrong])).report
    assert report.problems[0].column == "behind"
