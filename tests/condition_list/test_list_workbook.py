"""The workbook as a reader's own program opens it: every promise about its build, and text that looks like formulas."""

from __future__ import annotations

import gc
import itertools
import re
import zipfile
from collections import defaultdict
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.utils import get_column_letter

from inventory.bench.actions import run
from inventory.condition_list.actions import write_list
from inventory.condition_list.schedule import schedule_rows
from inventory.condition_list.table import columns, row_of
from inventory.condition_list.values import Premises, Seen
from inventory.condition_list.write_front import front_rows
from inventory.condition_list.write_workbook import write_workbook
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.store.record import Record
from inventory.valuation import actions as worth
from tests.condition_list.conftest import OnDay
from tests.condition_list.filled import filled_item, filled_list, said
from tests.condition_list.workshop import BY, Workshop

SHEETS = [
    *("Front", "Schedule", "Items", "Tests and seals", "Values", "Evidence", "Gaps", "Not shown here", "Changes"),
    *("Recorded later", "Terms", "How to check"),
]
TABLES = SHEETS[1:10]
#: Characters of the usual type (11 points) on a line of A4 in landscape between margins of 0.4 inches, as LibreOffice
#: prints it in the widest type that is put in the usual one's place (DejaVu Sans; of Calibri it is 149).
ON_A_PAGE = 112
#: OWASP, CSV injection: a field that begins so can be run by a spreadsheet. Full-width forms from memory.
HOSTILE = ["=1+1", "+1", "-1+1", "@SUM(A1)", '=HYPERLINK("http://x","y")', "＝1+1", "#N/A", "[/] left", "💡 = 1"]


@pytest.fixture
def path(file_workshop: Workshop, tmp_path: Path) -> Path:
    """The workbook of 30 March 2026."""
    with file_workshop.record.write() as session:
        typed = {"resolution": "0.1cmHg"}
        run(session, BY, file_workshop.tags["ours"], "hold", ["0s=50cmHg", "10s=50cmHg"], typed, on="2026-02-20")
        worth.note_value(session, BY, file_workshop.tags["on_green"], "1200", "JPY", on="2022")
    target = tmp_path / "list.xlsx"
    write_list(target, file_workshop.drawn("2026-03-30"))
    return target


@pytest.fixture
def book(path: Path) -> Workbook:
    """The same, opened."""
    return load_workbook(path)


def _row(book: Workbook, tag: str) -> dict[str, Any]:
    head, *rows = book["Items"].iter_rows()
    (cells,) = [row for row in rows if row[1].value == tag]
    return {str(title.value): cell for title, cell in zip(head, cells, strict=True)}


def _values(book: Workbook, sheet: str) -> list[dict[str, Any]]:
    head, *rows = book[sheet].iter_rows(values_only=True)
    return [dict(zip(head, row, strict=True)) for row in rows]


def test_the_sheets_in_their_order_none_hidden(book: Workbook) -> None:
    assert book.sheetnames == SHEETS
    assert {sheet.sheet_state for sheet in book.worksheets} == {"visible"}
    assert not any(dimension.hidden for sheet in book.worksheets for dimension in sheet.column_dimensions.values())


def test_no_macro_link_or_author(path: Path, book: Workbook) -> None:
    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        core = archive.read("docProps/core.xml").decode()

    assert not [name for name in names if re.search("vba|externalLink|media|activeX", name, re.IGNORECASE)]
    assert "openpyxl" not in core
    assert book.properties.creator is None
    assert book.properties.lastModifiedBy is None
    assert not any(sheet._hyperlinks for sheet in book.worksheets)


@pytest.mark.parametrize("name", TABLES)
def test_head_filter_and_print_titles(book: Workbook, name: str) -> None:
    sheet = book[name]
    last = get_column_letter(sheet.max_column)

    assert sheet.freeze_panes == "C2"
    assert sheet.auto_filter.ref == f"A1:{last}{sheet.max_row}"
    assert (sheet.print_title_rows, sheet.print_title_cols) == ("$1:$1", "$A:$B")
    assert not sheet.merged_cells.ranges
    assert all(sheet.column_dimensions[get_column_letter(at)].width > 4 for at in range(1, sheet.max_column + 1))
    assert all(cell.alignment.wrap_text for cell in sheet[2])
    assert sheet.page_setup.orientation == "landscape"


@pytest.mark.parametrize("name", SHEETS)
def test_print_set_up(book: Workbook, name: str) -> None:
    sheet = book[name]

    assert sheet.page_setup.paperSize == 9  # A4
    breaks = [each.id for each in sheet.col_breaks.brk]
    widths = [sheet.column_dimensions[get_column_letter(at)].width for at in range(1, sheet.max_column + 1)]
    if breaks:  # a page for each group of columns, after the two that repeat: the type is not reduced
        scale = (sheet.page_setup.scale or 100) / 100
        assert scale * sheet["C2"].font.sz >= 8.9
        starts = [0, *breaks, len(widths)]
        pages = [sum(widths[:2]) * (start > 0) + sum(widths[start:end]) for start, end in itertools.pairwise(starts)]
    else:
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        width = sheet.page_setup.fitToWidth or 1  # left out where it is 1 (ECMA-376 part 1, pageSetup)
        assert (width, sheet.page_setup.fitToHeight) == (1, 0)
        pages, scale = [sum(widths)], 0.85  # the program reduces it to the page, with the usual type hardly at all
    assert max(pages) * scale <= (ON_A_PAGE if sheet.page_setup.orientation == "landscape" else 97)
    assert sheet.oddFooter.center.text == "page &P of &N"
    assert sheet.oddHeader.left.text == "Condition list no. 1"
    assert sheet.oddHeader.right.text == "confidential"


def test_no_cell_of_the_items_is_blank(book: Workbook) -> None:
    assert all(cell.value not in (None, "") for row in book["Items"].iter_rows() for cell in row)


def test_the_schedule_has_a_line_for_each_item_and_no_digit_stands_alone(book: Workbook) -> None:
    schedule, items = _values(book, "Schedule"), _values(book, "Items")

    assert len(schedule[0]) <= 11
    assert [row["Tag"] for row in schedule] == [row["Tag"] for row in items]
    assert {type(row["Value [not added]"]) for row in schedule} == {int, float}
    assert {row["Looks"] for row in schedule} == {"2: moderately strong symptoms", "not assessed"}
    formats = {row[9].number_format for row in book["Schedule"].iter_rows(min_row=2) if row[9].data_type == "n"}
    assert formats == {'#,##0.00 "EUR"', '"["#,##0.00 "EUR]"'}
    bracketed = {
        row[1].value for row in book["Schedule"].iter_rows(min_row=2) if row[9].number_format.startswith('"["')
    }
    assert bracketed == {row["Tag"] for row in items if row["Counted"] == "no" and row["Value"] != "no value"}


def test_identifiers_are_text_and_keep_their_zeros(file_workshop: Workshop, book: Workbook) -> None:
    row = _row(book, file_workshop.tags["ours"])

    assert (row["Serial"].value, row["Serial"].number_format, row["Serial"].data_type) == ("0071-40822", "@", "s")
    assert (row["Tag"].number_format, row["Part number"].number_format) == ("@", "@")


def test_a_day_is_a_date_and_a_vague_one_is_text_beside_its_bounds(file_workshop: Workshop, book: Workbook) -> None:
    row = _row(book, file_workshop.tags["ours"])

    assert (row["Last seen"].value, row["Last seen"].number_format) == (datetime(2026, 3, 2), "yyyy-mm-dd")
    assert row["Last seen"].is_date
    values = [value for value in _values(book, "Values") if value["Currency"] == "JPY" and value["Basis"] == "market"]
    assert [(value["On"], value["Earliest"], value["Latest"]) for value in values] == [
        ("2022", datetime(2022, 1, 1), datetime(2022, 12, 31))
    ]


def test_amounts_are_exact_and_shown_with_their_currencys_decimals(file_workshop: Workshop, book: Workbook) -> None:
    grey = _row(book, file_workshop.tags["on_grey"])
    formats = {row[4].value: row[3].number_format for row in book["Values"].iter_rows(min_row=2)}

    assert (str(grey["Value"].value), grey["Value"].number_format) == ("120.5", "#,##0.00")
    assert formats == {"EUR": "#,##0.00", "JPY": "#,##0"}


def test_the_totals_are_formulas_that_count_what_the_list_counts(file_workshop: Workshop, book: Workbook) -> None:
    front = {row[0].value: row[1] for row in book["Front"].iter_rows() if row[0].value}
    formulas = {label: cell.value for label, cell in front.items() if cell.data_type == "f"}
    drawn = file_workshop.drawn("2026-03-30")
    said = {f"{currency} counted": amount for currency, amount in drawn.totals.items()} | {
        f"{currency} not counted: {heading}": amount
        for heading, sums in drawn.other_totals_by_heading.items()
        for currency, amount in sums.items()
    }

    assert front["Basis of value"].value == "market"
    assert said["EUR counted"] == "1270.00"
    worked_out = {label: f"{_worked_out(book, formula):.2f}" for label, formula in formulas.items()}
    assert {label: worked_out[label] for label in said} == said
    assert formulas.keys() - said.keys() <= {"EUR counted there"}


def test_the_total_of_a_place_of_insurance_whatever_its_name(file_workshop: Workshop, tmp_path: Path) -> None:
    """A premises' name with the signs that stand for others in a condition, and with quotes."""
    name = 'Ebb "works" *~? <1>'
    drawn = file_workshop.drawn("2026-03-30")
    (ours,) = [item for item in drawn.items if item.tag == file_workshop.tags["ours"]]
    moved = replace(ours, where=replace(ours.where, premises=name))
    premises = (Premises(name, items=1, totals={"EUR": "850.00"}), Premises("n" * 300, totals={"EUR": "1.00"}))
    target = tmp_path / "list.xlsx"
    write_list(target, replace(drawn, items=(moved, *drawn.items), premises=premises))
    book = load_workbook(target)

    there, too_long = [row[1].value for row in book["Front"].iter_rows() if row[0].value == "EUR counted there"]
    assert (f"{_worked_out(book, there):.2f}", too_long) == ("850.00", "1.00")


def _worked_out(book: Workbook, formula: str) -> float:
    """SUMIFS over the sheet Items, as a spreadsheet works it out."""
    inner = re.fullmatch(r"=SUMIFS\((.*)\)", formula)
    assert inner is not None
    summed, *conditions = re.findall(r'"(?:[^"]|"")*"|[^,]+', inner[1])
    cells = {text: [row[0].value for row in book["Items"][text.split("!")[1]]] for text in [summed, *conditions[::2]]}
    wanted = [
        _wanted(text) if text.startswith('"') else book["Front"][text.replace("$", "")].value
        for text in conditions[1::2]
    ]
    rows = zip(cells[summed], *(cells[text] for text in conditions[::2]), strict=True)
    return sum(amount for amount, *found in rows if found == wanted and isinstance(amount, int | float))


def _wanted(condition: str) -> str:
    """The text that a condition like "=EUR" asks for, without its tildes before signs that stand for others."""
    return re.sub(r"~([~*?])", r"\1", condition[1:-1].replace('""', '"').removeprefix("="))


def test_what_stands_on_the_further_sheets(file_workshop: Workshop, book: Workbook) -> None:
    ours = file_workshop.tags["ours"]
    findings = [(row["Test or seal"], row["Found"]) for row in _values(book, "Tests and seals") if row["Tag"] == ours]
    bases = {row["Basis"]: row["Shown as the item's value"] for row in _values(book, "Values")}
    gaps: dict[str, str] = defaultdict(str)
    for row in _values(book, "Gaps"):
        gaps[row["Tag"]] += f"{row['Not known']}; "
    terms = {row[0] for row in book["Terms"].iter_rows(values_only=True)}

    assert findings == [("test: hold", "passed"), ("seal: cap", "intact")]
    assert {row["Recorded on"] for row in _values(book, "Tests and seals")} == {datetime(2026, 3, 31)}
    assert bases["replacement"] == "no"
    assert "no picture" in gaps[file_workshop.tags["unit"]]
    assert "no picture" not in gaps[ours]
    assert {"0", "3", "not assessed", "borrowed", "renewed", "undecided", "agreed", "confirmed"} <= terms


def test_text_that_looks_like_a_formula_is_text(file_record: Record, on_day: OnDay, tmp_path: Path) -> None:
    on_day("2026-03-31")
    shop = Workshop(file_record)
    with file_record.write() as session:
        for text in HOSTILE:
            parts.add_part(session, BY, Markings(kind="relay", maker=text, serial=text, marks=text), damage=text)
        parts.add_part(session, BY, Markings(kind="relay", marks="a\x01b\x1b[31m\x9b\x0bc\ufffe", serial="long"))
        long = parts.add_part(session, BY, Markings(kind="relay", marks="m" * 40_000, serial="m"))
        worth.note_value(session, BY, long, "1", "EUR", source="=1+1", capacity="@SUM(A1)")
    path = tmp_path / "hostile.xlsx"
    write_list(path, shop.drawn())
    book = load_workbook(path)

    written = [cell for sheet in book.worksheets[1:] for row in sheet.iter_rows() for cell in row]
    assert not [cell.coordinate for cell in written if cell.data_type in ("f", "e")]
    serials = {row[5].value: row[5] for row in book["Items"].iter_rows(min_row=2)}
    assert set(HOSTILE) <= set(serials)
    assert {text for text in HOSTILE if serials[text].quotePrefix} == {*HOSTILE[:6]}
    marks = {row[5].value: row[9].value for row in book["Items"].iter_rows(min_row=2)}
    assert marks["long"] == "serial: long; marks: ab[31mc"
    assert len(marks["m"]) == 32_767
    assert marks["m"].endswith("m ... (cut here, whole in the json)")


def test_a_list_of_nothing_is_a_list(file_record: Record, on_day: OnDay, tmp_path: Path) -> None:
    on_day("2026-03-31")
    write_list(tmp_path / "empty.xlsx", Workshop(file_record).drawn())
    book = load_workbook(tmp_path / "empty.xlsx")

    assert book["Items"].max_row == 1
    assert "no value stated on this basis" in [row[1] for row in book["Front"].iter_rows(values_only=True)]


#: Words that promise what the list cannot (judgement of the project, its section on words).
_NOT_ON_A_LIST = re.compile(
    r"\b(appraisal|certifi|insured value|guarantee|warrant|approved|proven|proof|serviceable|released|fit for use|"
    r"genuine|authentic|original|matching numbers|as new|mint|confirmed pair|verified|tamper|rare|irreplaceable|"
    r"priceless|probability)",
    re.IGNORECASE,
)


def test_no_word_promises_what_a_list_cannot(book: Workbook) -> None:
    said = [str(cell.value) for sheet in book.worksheets for row in sheet.iter_rows() for cell in row if cell.value]

    assert [text for text in said if _NOT_ON_A_LIST.search(text)] == []


def test_the_second_half_of_a_pair_is_not_without_a_value_in_the_workbook() -> None:
    half = filled_item(2, value=None, heading="valued with its mate", why="valued as one pair with K0001-7, item 1")
    row = dict(zip([each.title for each in columns("insurer")], row_of(half, "market", "insurer"), strict=True))
    (line,) = schedule_rows(filled_list([half]))

    assert row["Value"] == "valued as one pair with K0001-7, item 1"
    assert line[9] == "with its mate"


def test_how_a_part_was_seen_is_said_once() -> None:
    seen = filled_item(2, last_seen=Seen("picture: whole", said(), "picture"))
    row = dict(zip([each.title for each in columns("insurer")], row_of(seen, "market", "insurer"), strict=True))

    assert row["Seen how, by"] == "picture: whole, the bench hand"


def test_the_front_of_the_workbook_says_what_each_total_is_of_tax() -> None:
    tax = {"with tax": {"EUR": "1.00"}, "tax not stated": {"EUR": "2.00"}}
    drawn = replace(filled_list([filled_item(1)]), totals={"EUR": "3.00"}, totals_by_tax=tax)

    assert ["EUR by tax", "1.00 with tax, 2.00 tax not stated"] in front_rows(drawn)


def test_a_disk_without_room_complains_once(file_record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    again: list[object] = []
    monkeypatch.setattr("sys.unraisablehook", again.append)
    with pytest.raises(OSError, match="No space left"):
        write_workbook(Path("/dev/full"), Workshop(file_record).drawn())
    gc.collect()
    assert again == []
