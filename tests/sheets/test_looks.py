"""What a sheet says without words goes into the record: formats, comments, colours, strikes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
import xlsxwriter
import xlwt

from inventory.errors import Refused
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.cells import amount_of, day_of
from inventory.sheets.readers.files import read_tables
from inventory.sheets.readers.looks import Look, look_of
from inventory.sheets.readers.number_format import NumberFormat
from inventory.sheets.readers.ods_styles import OdsStyles
from tests.sheets.conftest import Desk
from tests.sheets.readers.made import OWNED_HEAD, looked_ods, owned_book


def test_a_sheet_says_it_without_words(desk: Desk) -> None:
    path = owned_book(desk.folder / "owned.xlsx")

    tried = desk.read(path, trial=True, rejects=desk.folder / "bad.xlsx")
    asked = {each.key: (each.says, len(each.rows), each.taken) for each in tried.questions}
    assert asked["colour/ffff00"] == ("yellow", 1, "mark")
    assert asked["struck/shelf"] == ("struck through", 1, "read")
    assert asked["currency/$"] == ("amounts with the sign $", 2, "text")
    assert 'Shelf, A1: the comment "all of 1971" is on no part' in tried.remarks

    said = {"currency/$": "cad", "colour/ffff00": "to be sold", "struck/shelf": "left out"}
    desk.read(path, said=said)
    cards = {card.line.serial: card for card in map(desk.card, desk.tags())}
    assert cards.keys() == {"0014522", "0000147", "0000099", "0000005"}
    came = {serial: card["provenance"][0] for serial, card in cards.items()}
    prices = {serial: (fact.values["price"], fact.values["currency"]) for serial, fact in came.items()}
    assert prices == {
        "0014522": ("12.5", "USD"),
        "0000147": ("8", "EUR"),
        "0000099": ("9.5", "CAD"),
        "0000005": ("100", "CAD"),
    }
    assert {fact.on for fact in came.values()} == {"1971-03"}
    assert [fact.values["text"] for fact in cards["0014522"]["notes"]] == ["lid bent; comment at Serial: read twice"]
    assert [fact.values["text"] for fact in cards["0000147"]["notes"]] == ["comment at Notes: ask him"]
    assert {serial: card.line.extra for serial, card in cards.items() if card.line.extra} == {
        "0000147": {"marks in the sheet": "to be sold"}
    }
    desk.again(path, said=said)
    assert desk.fits()


def test_stripes_and_whole_columns_are_no_marks(desk: Desk) -> None:
    path = desk.folder / "striped.xlsx"
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Shelf")
    sheet.write_row(0, 0, OWNED_HEAD[:3])
    stripe, column, mark = (book.add_format({"bg_color": each}) for each in ("#DDEBF7", "#F4B084", "#FF0000"))
    for row in range(1, 11):
        sheet.write(row, 0, "relay", mark if row == 7 else stripe if row % 2 else None)
        sheet.write(row, 1, f"S {row}", mark if row == 7 else stripe if row % 2 else None)
        sheet.write(row, 2, row, column)
        if row == 7:
            sheet.write(row, 3, "", mark)
    sheet.write(0, 3, "Cap")
    sheet.write(3, 3, "on")
    book.close()

    report = desk.read(path, trial=True, currency="EUR")

    assert [each.key for each in report.questions] == ["colour/ff0000"]
    design = [each for each in report.remarks if "design" in each]
    assert design == [
        "Shelf: light blue on every second row was taken for design, not for a mark",
        "Shelf: orange on a whole column was taken for design, not for a mark",
    ]


def _xls(path: Path) -> None:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Shelf")
    style = xlwt.easyxf("pattern: pattern solid, fore_colour yellow; font: struck_out on", num_format_str="0000000")
    sheet.write(0, 0, 147, style)
    sheet.write(0, 1, 8, xlwt.easyxf(num_format_str="[$$-409]0.00"))
    book.save(str(path))


def test_looks_in_an_xls_and_anlooked_ods(tmp_path: Path) -> None:
    _xls(tmp_path / "a.xls")
    looked_ods(tmp_path / "a.ods")
    for name, comment in (("a.xls", ""), ("a.ods", "read twice")):
        (table,) = read_tables(tmp_path / name)
        serial, price, *others = table.rows[0].cells
        look = look_of(serial)
        assert (look.number.shown(serial), look.fill, look.struck, look.comment) == ("0000147", "FFFF00", True, comment)
        assert (price, look_of(price)) == ("8", Look(NumberFormat("USD")))
        assert [look_of(each).number.shown(each) for each in others] == ["0 280 000 001"] * len(others)


def test_a_bare_sign_is_the_currency_given_only_if_it_is_one_of_its_own() -> None:
    assert amount_of("$85", "USD") == ("85", "USD")
    assert amount_of("$85", None, CellFormat(currencies=("AUD",))) == ("85", "AUD")
    assert amount_of("US$ 85", "EUR") == ("85", "USD")
    for given in ("EUR", None):
        with pytest.raises(Refused) as caught:
            amount_of("$85", given)
        assert caught.value.code == "sign-of-several"


def test_years_of_two_figures_and_months_in_figures() -> None:
    today = date(2026, 3, 12)
    assert day_of("03/71", today).edtf == day_of("3.1971", today).edtf == "1971-03"
    assert day_of("13.4.71", today).edtf == "1971-04-13"
    for century, year in (("19", "1919"), ("20", "2019")):
        written = CellFormat(century=century)
        assert day_of("13.4.19", today, written).edtf == f"{year}-04-13"
        assert day_of("4/19", today, written).edtf == f"{year}-04"
    with pytest.raises(Refused):
        day_of("4/19", today)


def test_the_century_is_asked_once(desk: Desk) -> None:
    path = desk.csv(
        [OWNED_HEAD[:4], ["relay", "1", "", "13.4.19"], ["relay", "2", "", "13.4.71"], ["relay", "3", "", "5/08"]]
    )
    tried = desk.read(path, trial=True, rejects=desk.folder / "bad.xlsx")
    assert [(each.key, len(each.rows)) for each in tried.questions] == [("century", 2)]

    desk.read(path, said={"century": "20"})

    days = {card.line.serial: card["provenance"][0].on for card in map(desk.card, desk.tags())}
    assert days == {"1": "2019-04-13", "2": "1971-04-13", "3": "2008-05"}


def test_formulas_without_a_value_are_named(tmp_path: Path) -> None:
    path = tmp_path / "f.xlsx"
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Shelf")
    for row in range(8):
        sheet.write_formula(row, 1, "=A1+1", None, "")
    book.close()

    (table,) = read_tables(path)

    assert "(Shelf B1, B2, B3, B4, B5 and others)" in table.remarks[0]


def test_a_cell_says_what_a_person_sees_in_it(desk: Desk) -> None:
    path = desk.folder / "shown.xlsx"
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Shelf")
    share, euros = book.add_format({"num_format": "0%"}), book.add_format({"num_format": "[$EUR] 0.00"})
    sheet.write_row(0, 0, ("kind", "serial", "value", "share"))
    sheet.write_row(1, 0, ("relay", "1"))
    sheet.write_formula(1, 2, "=B2*2", euros, "")
    sheet.write(1, 3, 0.07, share)
    book.close()

    report = desk.read(path, trial=True)

    assert report.questions == []
    assert desk.read(path).unread == []
    assert desk.card(desk.tags()[0]).line.extra == {"share": "7%"}


def test_percentages_of_an_ods_are_seen_too() -> None:
    styles = OdsStyles()
    styles.begin("percentage-style", {"name": "N10"})
    styles.begin("style", {"name": "ce1", "family": "table-cell", "data-style-name": "N10"})
    assert styles.look("ce1").number.percent


@pytest.mark.parametrize(("colours", "asked"), [(12, 12), (40, 1), (400, 1)])
def test_many_colours_are_few_questions(desk: Desk, colours: int, asked: int) -> None:
    path = desk.folder / "coloured.xlsx"
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Shelf")
    sheet.write_row(0, 0, ("kind", "serial"))
    for row in range(1, colours + 1):
        shade = f"#FFFF{row:02X}" if colours < 100 else f"#{row * 40000 % 0xFFFFFF:06X}"
        sheet.write_row(row, 0, ("relay", f"S {row}"), book.add_format({"bg_color": shade}))
    sheet.write_row(colours + 1, 0, ("relay", "plain"))
    book.close()

    report = desk.read(path, trial=True)

    assert len(report.questions) == asked
    if colours == 40:
        desk.read(path, said={report.questions[0].key: "sold"})
        marks = [desk.card(tag).line.extra.get("marks in the sheet") for tag in desk.tags()]
        assert marks.count("sold") == 40


def test_what_was_taken_from_the_row_above_is_told(desk: Desk) -> None:
    rows = [["kind", "serial"], ["relay", "1"], ["dito", "2"], ["dito", "3"]]
    report = desk.read(desk.book(Teile=rows), trial=True)
    assert 'Teile, row 3 and 1 more: kind: "dito" means as above, so it is what the row above says' in report.remarks


def test_a_sign_of_several_currencies_in_a_header_is_never_taken_for_another_one(desk: Desk) -> None:
    path = desk.csv([["kind", "serial", "Value ($)", "Note"], ["relay", "71", "85", ""], ["relay", "72", "90 €", ""]])

    trial = desk.read(path, trial=True, currency="EUR")
    assert [(each.key, len(each.rows)) for each in trial.questions] == [("currency/$", 1)]
    assert [(each.column, each.value) for each in trial.unread] == [("value", "85")]

    for given in ({"currency": "CAD"}, {"currency": "EUR", "said": {"currency/$": "CAD"}}):
        values = [
            [change.new for change in row.changes if change.column == "value"]
            for row in desk.read(path, trial=True, **given).rows
        ]
        assert values == [["CAD 85"], ["EUR 90"]]
