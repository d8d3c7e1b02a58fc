"""The sheet of parts read into a record: what is added, changed, left as it is, refused."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from openpyxl import load_workbook
from sqlalchemy import select

from inventory.contradictions.queries import contradictions_of
from inventory.parts.actions import add_part, assess
from inventory.parts.markings import Markings
from inventory.parts.tags import issue
from inventory.provenance.actions import note_provenance
from inventory.sheets import read_sheet
from inventory.sheets.columns.catalogue import WRONG
from inventory.sheets.writers.sheets import write_sheets
from inventory.store.tables import JournalEntry
from inventory.teardown import actions as teardown
from tests.sheets.conftest import BY, Desk

FULL = {
    "kind": "pressure sensor",
    "maker": "Ostrell",
    "part number": "HV 204 118",
    "serial": "71-40822",
    "date code": "22/71",
    "match code": "K",
    "match code read from": "picture",
    "seal": "cap",
    "seal state": "intact",
    "condition": "2",
    "place": "shelf B2",
    "whose": "own",
    "acquired on": "2019-05",
    "acquired from": "Odo Fimber",
    "price": "310",
    "price currency": "EUR",
    "value": "850.00",
    "value currency": "EUR",
    "value basis": "market",
    "value on": "2026-02-01",
    "notes": "one stud bent",
    "Plug": "grey",
}


def rows(*cells: dict[str, str]) -> list[list[str]]:
    head = list(dict.fromkeys(column for each in cells for column in each))
    return [head, *([each.get(column, "") for column in head] for each in cells)]


def test_a_full_row_becomes_facts_and_a_second_read_changes_nothing(desk: Desk) -> None:
    sheet = desk.csv(rows(FULL))

    report = desk.read(sheet)

    assert (report.rows_read, report.added) == (1, 1)
    card = desk.card()
    line = card.line
    assert (line.kind, line.maker, line.part_number, line.serial) == (
        "pressure sensor", "Ostrell", "HV 204 118", "71-40822",
    )  # fmt: skip
    assert (line.date_code, line.match_code, line.match_code_read_from) == ("22/71", "K", "picture")
    assert (line.seal_state, line.condition, line.place, line.whose) == ("intact", "2", "shelf B2", "own")
    assert line.extra == {"Plug": "grey"}
    (came,) = card["provenance"]
    assert (came.on, came.values["party"], came.values["price"], came.values["how"]) == (
        "2019-05", "Odo Fimber", "310", "not known",
    )  # fmt: skip
    (value,) = card["values"]
    assert (value.values["amount"], value.values["basis"], value.on) == ("850.00", "market", "2026-02-01")
    assert [note.values["text"] for note in card["notes"]] == ["one stud bent"]
    desk.again(sheet)
    assert desk.fits()


@pytest.mark.parametrize(
    ("column", "text", "section", "facts"),
    [
        ("kind", "control unit", "markings", 2),
        ("date code", "23/71", "markings", 2),
        ("match code", "R", "markings", 2),
        ("match code", "unreadable", "markings", 2),
        ("match code read from", "part", "markings", 2),
        ("seal state", "missing", "seals", 2),
        ("condition", "0", "assessments", 2),
        ("place", "shelf C1", "moves", 2),
        ("whose", "customer's", "provenance", 2),
        ("acquired on", "2018", "provenance", 1),
        ("acquired from", "Mela Grund", "provenance", 1),
        ("price", "300", "provenance", 1),
        ("value", "900", "values", 1),
        ("value on", "2026-03-01", "values", 2),
        ("value basis", "replacement", "values", 2),
        ("notes", "one stud bent; label loose", "notes", 2),
        ("Plug", "black", "markings", 2),
    ],
)
def test_one_changed_cell_is_one_further_fact(desk: Desk, column: str, text: str, section: str, facts: int) -> None:
    desk.read(desk.csv(rows(FULL)))
    changed = desk.csv(rows({**FULL, column: text}), "changed.csv")

    trial = desk.read(changed, trial=True)
    report = desk.read(changed)

    assert (report.changed, trial.changed) == (1, 1)
    assert [(row.changes, row.what) for row in trial.rows] == [(row.changes, row.what) for row in report.rows]
    assert len(report.rows[0].changes) == 1
    assert len(desk.card()[section]) == facts
    desk.again(changed)
    assert desk.fits()


def test_empty_cells_and_absent_columns_change_nothing(desk: Desk) -> None:
    desk.read(desk.csv(rows(FULL)))
    kept = {name: FULL[name] for name in ("maker", "part number", "serial")}

    desk.again(desk.csv(rows({**dict.fromkeys(FULL, ""), **kept}), "empty.csv"))
    desk.again(desk.csv(rows(kept), "absent.csv"))


def test_what_was_filled_by_default_is_never_compared(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = desk.csv(
        rows({"kind": "relay", "serial": "7", "maker": "Tolvranne", "value": "25", "value currency": "EUR"})
    )
    desk.read(sheet)
    (value,) = desk.card()["values"]
    assert value.values["basis"] == "not stated"

    from datetime import timedelta

    from inventory.store.days import clock

    later = clock.now() + timedelta(days=3)
    monkeypatch.setattr(clock, "now", lambda: later)

    desk.again(sheet)


def test_a_part_is_known_by_tag_or_by_maker_number_and_serial_however_written(desk: Desk) -> None:
    desk.read(desk.csv(rows(FULL)))
    tag = desk.only()

    desk.again(desk.csv(rows({"tag": tag.lower().replace("-", ""), "condition": "2"}), "a.csv"))
    desk.again(
        desk.csv(
            rows({"maker": "OSTRELL", "part number": "hv-204.118", "serial": "7140822"} | {"maker": "Ostrell"}), "b.csv"
        )
    )
    report = desk.read(desk.csv(rows({"tag": tag, "condition": "1"}), "c.csv"))

    assert report.changed == 1
    assert desk.tags() == [tag]


def test_a_date_code_identifies_nothing(desk: Desk) -> None:
    same = {"kind": "relay", "maker": "Tolvranne", "part number": "12-R4", "date code": "72 1"}
    sheet = desk.csv(rows({**same, "place": "A1"}, {**same, "place": "A2"}, {**same, "place": "A2"}))

    assert desk.read(sheet).added == 3
    desk.again(sheet)


def test_parts_without_a_serial_go_together_in_order_where_as_many_are_left(desk: Desk) -> None:
    relay = {"kind": "relay", "maker": "Tolvranne", "part number": "12-R4", "place": "A1"}
    desk.read(desk.csv(rows({**relay, "condition": "1"}, {**relay, "condition": "2"})))
    tags = desk.tags()

    report = desk.read(desk.csv(rows({**relay, "condition": "2"}, {**relay, "condition": "3"}), "next.csv"))

    assert (report.changed, report.unchanged, desk.tags()) == (1, 1, tags)
    refused = desk.refused(desk.csv(rows({**relay, "condition": "0"}), "one.csv"))
    assert "could be" in refused.report.problems[0].problem
    assert desk.read(desk.csv(rows({**relay, "tag": "new", "condition": "0"}), "another.csv")).added == 1
    desk.again(desk.csv(rows({**relay, "tag": "new", "condition": "0"}), "another.csv"))


def test_one_part_in_two_rows_is_refused(desk: Desk) -> None:
    twin = {"kind": "relay", "maker": "Tolvranne", "part number": "12-R4", "serial": "0602"}

    refused = desk.refused(desk.csv(rows(twin, {**twin, "maker": ""}, {**twin, "serial": "0603"})))

    assert (refused.report.refused, refused.report.held) == (2, 1)


def test_a_serial_that_two_parts_bear_is_ambiguous(desk: Desk) -> None:
    with desk.record.write() as session:
        for _ in range(2):
            add_part(session, BY, Markings(kind="relay", maker="Tolvranne", part_number="12-R4", serial="0602"))

    refused = desk.refused(
        desk.csv(rows({"maker": "Tolvranne", "part number": "12-R4", "serial": "0602", "place": "A1"}))
    )

    (problem,) = refused.report.problems
    assert all(tag in problem.problem for tag in desk.tags())


def test_a_fresh_label_is_taken_and_one_whose_serial_has_another_is_not(desk: Desk) -> None:
    first, second = issue(2, lambda _: ())
    desk.read(desk.csv(rows({"tag": first, **FULL})))

    assert desk.only() == first
    refused = desk.refused(desk.csv(rows({"tag": second, **FULL}), "other.csv"))
    assert first in refused.report.problems[0].problem


def test_all_or_nothing_and_every_problem_is_placed(desk: Desk) -> None:
    cells = [
        {"kind": "relay", "condition": "1"},
        {"kind": "presure sensor"},
        {"kind": "relay", "condition": "7"},
        {"condition": "1"},
        {"kind": "relay", "car": "Gren tourer"},
        {"kind": "relay", "position": "left wing"},
        {"kind": "relay", "seal": "cap"},
        {"kind": "relay", "value": "850"},
        {"kind": "relay", "acquired on": "2999"},
        {"kind": "relay", "tag": "K4127-8"},
        {"kind": "relay", "whose": "theirs"},
    ]

    refused = desk.refused(desk.csv(rows(*cells)), strict=True)

    report = refused.report
    assert (refused.code, refused.exit_status) == ("rows-refused", 3)
    assert (report.rows_read, report.refused, report.held) == (11, 10, 1)
    assert [(problem.row, problem.column) for problem in report.problems] == [
        (3, "kind"), (4, "condition"), (5, "kind"), (6, "car"), (7, "position"), (8, "seal"), (9, "value"),
        (10, "acquired on"), (11, "tag"), (12, "whose"),
    ]  # fmt: skip
    assert "pressure sensor" in (report.problems[0].hint or "")
    assert "Green tourer" in (report.problems[3].hint or "")
    assert desk.tags() == []


def test_with_rejects_the_good_rows_go_in_and_the_others_can_be_mended(desk: Desk) -> None:
    cells = [{"kind": "relay", "serial": "1", "Plug": "grey"}, {"kind": "rely", "serial": "2", "Plug": "black"}]
    bad = desk.folder / "bad.xlsx"
    sheet = desk.csv([["A list"], *rows(*cells)])

    report = desk.read(sheet, rejects=bad, strict=True)

    assert (report.added, report.refused, report.held) == (1, 1, 0)
    page = load_workbook(bad)["parts"]
    title, head, row = [[cell.value for cell in line] for line in page.iter_rows()]
    assert title[0] == "A list"
    assert head == ["kind", "serial", "Plug", "from sheet", "from row", WRONG]
    assert row[:3] == ["rely", "2", "black"]
    assert row[3:5] == ["parts", 4]
    assert "relay" in str(row[5])
    desk.refused(bad, strict=True)
    page["A3"] = "relay"
    page.parent.save(bad)
    assert desk.read(bad).added == 1
    assert {desk.card(tag).line.extra["Plug"] for tag in desk.tags()} == {"grey", "black"}
    assert len(desk.tags()) == 2


def test_a_trial_writes_nothing(desk: Desk) -> None:
    before = desk.entries()

    report = desk.read(desk.csv(rows(FULL)), trial=True)

    assert (report.added, desk.entries(), desk.tags()) == (1, before, [])


def test_one_entry_a_part_all_of_one_act(desk: Desk) -> None:
    desk.read(desk.csv(rows(FULL, {**FULL, "serial": "2", "place": "C3"})))
    with desk.record.read() as session:
        entries = session.scalars(select(JournalEntry).where(JournalEntry.act == "sheet read")).all()

    assert len({entry.act_key for entry in entries}) == 1
    assert len({entry.thing_id for entry in entries}) == len(entries)
    assert desk.fits()


def whereabouts(desk: Desk) -> tuple[Any, ...]:
    line = desk.card().line
    return line.car, line.position, line.fitted, line.place


def test_a_car_without_a_place_is_where_it_is_fitted_and_with_a_place_where_it_came_off(desk: Desk) -> None:
    relay = {"kind": "relay", "maker": "Tolvranne", "part number": "12-R4", "serial": "1"}
    on_car = desk.csv(rows({**relay, "car": "green tourer", "position": "left wing"}))
    off_car = desk.csv(rows({**relay, "car": "Green tourer", "position": "left wing", "place": "A1"}), "off.csv")

    desk.read(on_car)
    assert whereabouts(desk) == ("Green tourer", "left wing", True, None)
    desk.again(on_car)
    desk.read(off_car)
    assert whereabouts(desk) == ("Green tourer", "left wing", False, "A1")
    desk.again(off_car)
    desk.again(on_car)
    assert desk.fits()


@pytest.mark.parametrize("cells", [{"place": "A1"}, {"car": "Blue coupe"}, {"car": "Blue coupe", "place": "A1"}])
@pytest.mark.parametrize("ours", [True, False])
def test_where_a_sheet_puts_a_fitted_part_is_kept_and_told(desk: Desk, cells: dict[str, str], ours: bool) -> None:
    relay = {"kind": "relay", "maker": "Tolvranne", "part number": "12-R4", "serial": "1"}
    fitted = desk.csv(rows(relay if ours else {**relay, "car": "Green tourer"}))
    desk.read(fitted)
    if ours:
        with desk.record.write() as session:
            teardown.fit(session, BY, desk.only(), "left wing", car="Green tourer")
    sheet = desk.csv(rows({**relay, **cells}), "x.csv")

    today = date.today().isoformat()
    tried, read = desk.read(sheet, trial=True, on=today), desk.read(sheet, on=today)
    assert tried.remarks == read.remarks
    assert 'is on record as fitted to the car "Green tourer"' in read.remarks[0]
    with desk.record.read() as session:
        (found,) = contradictions_of(session)
    assert found.contradiction.about == "whereabouts"
    assert found.contradiction.remark is ours
    if ours:
        assert whereabouts(desk) == ("Green tourer", "left wing", True, None)
        desk.again(fitted)
    desk.again(sheet, on=today)
    assert desk.fits()


def test_a_sheet_of_which_nobody_knows_the_day_is_newer_than_nothing_of_ours(desk: Desk) -> None:
    relay = {"kind": "relay", "maker": "Tolvranne", "part number": "12-R4", "serial": "1"}
    desk.read(desk.csv(rows(relay)))
    with desk.record.write() as session:
        teardown.fit(session, BY, desk.only(), "left wing", car="Green tourer")
        assess(session, BY, desk.only(), 1, on="2020-05-01")
    sheet = desk.csv(rows({**relay, "place": "A1", "condition": "3"}), "x.csv")

    desk.read(sheet)

    assert whereabouts(desk) == ("Green tourer", "left wing", True, None)
    assert desk.card().line.condition == "1"
    assert [fact.values["category"] for fact in desk.card()["assessments"]] == [1, 3]
    with desk.record.read() as session:
        assert contradictions_of(session) == []
    desk.again(sheet)
    assert desk.fits()


def test_where_a_sheet_puts_a_part_that_was_sold_is_kept_and_told(desk: Desk) -> None:
    relay = {"kind": "relay", "maker": "Tolvranne", "serial": "1"}
    desk.read(desk.csv(rows(relay)))
    with desk.record.write() as session:
        note_provenance(session, BY, desk.only(), "sold", lane="title", attribution="seen by us", on="2020-01-01")
    sheet = desk.csv(rows({**relay, "place": "A1"}), "x.csv")

    today = date.today().isoformat()
    assert desk.read(sheet, on=today).remarks == [
        f"parts, row 2: {desk.only()} is on record as sold; what the row says is kept beside it"
    ]
    assert desk.card().line.gone == "sold"
    desk.again(sheet, on=today)
    with desk.record.read() as session:
        assert [each.contradiction.remark for each in contradictions_of(session)] == [True]
    assert desk.fits()


def test_what_a_strip_down_wrote_is_not_undone_by_the_old_sheet(desk: Desk) -> None:
    sheet = desk.csv(rows({"kind": "relay", "maker": "Tolvranne", "serial": "1", "car": "Green tourer"}))
    desk.read(sheet)
    with desk.record.write() as session:
        teardown.begin(session, BY, "Green tourer")
        tag = desk.only()
        teardown.log(session, BY, Markings(), teardown.ComingOff(), tag=tag)

    desk.again(sheet)
    assert desk.card().line.fitted is False


@pytest.mark.parametrize("word", ["unbekannt", "not known", "?"])
def test_a_word_for_not_known_is_an_answer_to_whose_it_is(desk: Desk, word: str) -> None:
    relay = {"kind": "relay", "maker": "Tolvranne", "serial": "9", "whose": word}
    sheet = desk.csv(rows(relay))
    desk.read(sheet)
    assert desk.card().line.whose == "not known"
    desk.again(sheet)

    theirs = {**relay, "serial": "10", "whose": "customer's"}
    desk.read(desk.csv(rows(theirs)))
    desk.read(desk.csv(rows({**theirs, "whose": word})))  # what is on record is more than that
    assert sorted(desk.card(tag).line.whose for tag in desk.tags()) == ["customer's", "not known"]


def test_whose_a_part_is(desk: Desk) -> None:
    for place, whose in enumerate(("own", "customer's", "lent in", "lent out")):
        relay = {"kind": "relay", "maker": "Tolvranne", "serial": str(place), "whose": whose}
        sheet = desk.csv(
            rows(relay, {**relay, "serial": f"{place} b", "acquired on": "2015", "price": "3", "price currency": "EUR"})
        )
        assert desk.read(sheet).added == 2
        desk.again(sheet)

    assert sorted(desk.card(tag).line.whose for tag in desk.tags()) == sorted(
        2 * ["own", "customer's", "lent in", "lent out"]
    )


def test_control_characters_are_removed_with_a_remark(desk: Desk) -> None:
    report = desk.read(desk.csv(rows({"kind": "relay", "serial": "7\x1b[31m", "notes": "two\nlines"})))

    assert desk.card().line.serial == "7[31m"
    (remark,) = report.remarks
    assert "parts, row 2" in remark
    assert remark.endswith("serial")


def test_a_doubtful_header_refuses_the_file_unless_it_is_said(desk: Desk) -> None:
    sheet = desk.csv([["kind", "Number"], ["relay", "12-R4"]])

    refused = desk.refused(sheet)
    assert (refused.code, refused.report.rows_read, refused.report.held) == ("doubtful-header", 1, 1)
    assert '--map "Number=' in (refused.hint or "")

    report = desk.read(sheet, mapping={"Number": "part number"})
    assert report.mapping == {"kind": "kind", "Number": "part number"}
    assert desk.card().line.part_number == "12-R4"


def test_a_name_that_is_kept_apart_stays_out_of_the_journal(desk: Desk) -> None:
    desk.read(desk.csv(rows(FULL)))
    with desk.record.read() as session:
        assert not any("Fimber" in images for images in session.scalars(select(JournalEntry.images)))


def test_a_sheet_tells_of_the_day_it_was_written(desk: Desk) -> None:
    sheet = desk.csv(rows({"kind": "relay", "serial": "7", "place": "A1", "condition": "1"}))

    read_sheet(desk.record, sheet, BY, on="2026-03-21")

    card = desk.card()
    assert {fact.on for section in ("markings", "moves", "assessments") for fact in card[section]} == {"2026-03-21"}
    desk.again(sheet)


@pytest.mark.parametrize(("header", "how"), [("price", "not known"), ("Kaufpreis", "bought"), ("acheté le", "bought")])
def test_only_a_header_that_says_so_makes_a_price_a_purchase(desk: Desk, header: str, how: str) -> None:
    cell = "2015" if "le" in header else "450 EUR"
    desk.read(desk.csv([["kind", "serial", header], ["relay", "1", cell]]))

    (came,) = desk.card()["provenance"]
    assert (came.values["how"], came.how_known) == (how, "written in a sheet")


def test_line_breaks_of_notes_stay_and_are_one_line_where_a_line_is_shown(desk: Desk) -> None:
    sheet = desk.csv([["kind", "serial", "notes", "Bemerkung 2"], ["relay", "1", "first\r\nsecond", "one\ntwo"]])
    desk.read(sheet)

    card = desk.card()
    assert card["notes"][0].values["text"] == "first\nsecond"
    assert card["notes"][0].says == "first / second"
    assert card.line.extra == {"Bemerkung 2": "one\ntwo"}
    for name in ("out.xlsx", "out.ods", "out.csv"):
        write_sheets(desk.record, desk.folder / name)
        desk.again(desk.folder / name)
    assert desk.fits()


def test_a_name_in_another_case_is_the_same_with_its_first_spelling(desk: Desk) -> None:
    header = ["kind", "serial", "place", "acquired from", "maker"]
    desk.read(
        desk.csv(
            [
                header,
                ["relay", "1", "Regal A", "Odo Fimber", "Halvard"],
                ["relay", "2", "regal a", "ODO FIMBER", "HALVARD"],
            ]
        )
    )

    lines = [desk.card(tag).line for tag in desk.tags()]
    assert {line.place for line in lines} == {"Regal A"}
    assert {line.maker for line in lines} == {"Halvard", "HALVARD"}  # as it stands on each part
    assert {desk.card(tag)["provenance"][0].values["party"] for tag in desk.tags()} == {"Odo Fimber"}
