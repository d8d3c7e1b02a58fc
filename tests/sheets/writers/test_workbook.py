"""Workbooks as another library reads them: text stays text, nothing is lost, and what does not fit is refused."""

from __future__ import annotations

import re
import zipfile
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.utils.escape import unescape

from inventory.errors import Refused
from inventory.sheets.readers.files import read_tables
from inventory.sheets.writers.page import Page
from inventory.sheets.writers.workbook import write_workbook
from inventory.store.words.text import CELL as MOST_CHARACTERS
from inventory.store.words.text import CUT

#: Texts that a writer of workbooks might take for something else. The first: the library writes it as its own markup.
TEXTS = (
    "<r><t>bold</t></r>",
    "<r>",
    "<r>&amp;</r>",
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "{=1}",
    "http://example.org",
    "mailto:a@example.org",
    "internal:parts!A1",
    "00123",
    "1E5",
    "TRUE",
    "#N/A",
    "_x0041_",
    " two  blanks ",
    "two\nlines",
    "2019-04-03",
    "🙂 ß é",
)


def written(folder: Path, *pages: Page) -> Path:
    path = folder / "book.xlsx"
    write_workbook(path, pages)
    return path


def test_every_text_is_a_text_and_comes_back_as_it_was(tmp_path: Path) -> None:
    path = written(tmp_path, Page("parts", ["text", "=x"], [[text, text] for text in TEXTS], marked=[(0, 1), (1, 1)]))

    cells = [cell for row in load_workbook(path)["parts"].iter_rows(min_row=2) for cell in row]

    # openpyxl leaves the escape of an escape in a cell (ECMA-376, ST_Xstring) to whoever asks.
    assert [unescape(str(cell.value)) for cell in cells] == [text for text in TEXTS for _ in range(2)]
    assert {cell.data_type for cell in cells} == {"s"}
    assert {cell.hyperlink for cell in cells} == {None}
    assert [row.cells for row in read_tables(path)[0].rows[1:]] == [[text, text] for text in TEXTS]


def test_control_characters_are_left_out(tmp_path: Path) -> None:
    path = written(tmp_path, Page("parts", ["a\x1bb"], [["x\x00y\x9b\ufffe\uffffz"], ["\x07"]]))

    assert [[cell.value for cell in row] for row in load_workbook(path)["parts"].iter_rows()] == [["ab"], ["xyz"]]


def test_days_and_amounts_have_their_format(tmp_path: Path) -> None:
    values = [
        date(2019, 4, 3),
        Decimal("850.00"),
        Decimal("12.345"),
        Decimal(7),
        None,
        date(1900, 2, 28),
        date(1871, 1, 2),
    ]
    path = written(tmp_path, Page("values", [f"c{place}" for place in range(len(values))], [values]))

    day, amount, fraction, whole, empty, early, old = load_workbook(path)["values"][2]

    assert (day.value, day.number_format) == (datetime(2019, 4, 3), "yyyy-mm-dd")
    assert [(cell.value, cell.number_format) for cell in (amount, fraction, whole)] == [
        (850, "0.00"), (12.345, "0.000"), (7, "0"),
    ]  # fmt: skip
    # Spreadsheet programs count days wrongly before 1 March 1900 (Microsoft, as in `cells.day_numbered`).
    assert (empty.value, early.value, old.value) == (None, "1900-02-28", "1871-01-02")


def test_an_amount_of_more_digits_than_a_number_keeps_is_a_text(tmp_path: Path) -> None:
    path = written(tmp_path, Page("values", ["amount"], [[Decimal("123456789012345.67")]]))

    assert load_workbook(path)["values"]["A2"].value == "123456789012345.67"


def test_the_head_stays_in_view_is_filtered_and_printed_on_every_page(tmp_path: Path) -> None:
    page = Page("parts", ["kind", "notes"], [["relay", "x" * 90], ["injector", None]], above=[["A list"], []])
    sheet = load_workbook(written(tmp_path, page))["parts"]

    assert [[cell.value for cell in row] for row in sheet.iter_rows(max_row=3)] == [
        ["A list", None], [None, None], ["kind", "notes"],
    ]  # fmt: skip
    assert [cell.font.bold for cell in (sheet["A1"], sheet["A3"], sheet["A4"])] == [False, True, False]
    assert (sheet.freeze_panes, sheet.auto_filter.ref, sheet.print_title_rows) == ("A4", "A3:B5", "$3:$3")
    assert (sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == ("landscape", 0)
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert [round(sheet.column_dimensions[letter].width) for letter in "AB"] == [11, 49]


def test_lists_notes_and_marks(tmp_path: Path) -> None:
    page = Page(
        "parts",
        ["kind", "serial"],
        [["relay", None], ["rely", "2"]],
        choices={"serial": "'lists'!$A$2:$A$3"},
        notes={"kind": "What the part is."},
        marked=[(0, 1), (1, 0)],
    )
    sheet = load_workbook(written(tmp_path, page, Page("lists", ["choices"], [["1"], ["2"]])))["parts"]

    (offered,) = sheet.data_validations.dataValidation
    assert (offered.type, offered.formula1, str(offered.sqref)) == ("list", "'lists'!$A$2:$A$3", "B2:B1048576")
    assert (offered.allow_blank, offered.showErrorMessage) == (True, False)
    assert (sheet["A1"].comment.text, sheet["A1"].comment.author) == ("What the part is.", "matchmark")
    assert sheet["B1"].comment is None
    filled = {
        cell.coordinate: cell.fill.fgColor.rgb for row in sheet.iter_rows() for cell in row if cell.fill.fill_type
    }
    assert filled == {"B2": "FFFFE08A", "A3": "FFFFE08A"}


def test_long_texts_of_a_page_to_read_are_wrapped_and_their_rows_high_enough(tmp_path: Path) -> None:
    page = Page("about", ["what it means"], [["word " * 40], ["short"]], prose=True)
    sheet = load_workbook(written(tmp_path, page))["about"]

    assert (sheet["A2"].alignment.wrap_text, sheet["A2"].alignment.vertical) == (True, "top")
    assert (sheet.row_dimensions[2].height, sheet.row_dimensions[3].height) == (45, None)  # None: one line, as usual


def test_names_of_sheets_are_made_fit_and_told_apart(tmp_path: Path) -> None:
    # What a name may not hold, and 31 characters: Microsoft, "Excel specifications and limits" (seen).
    names = ["parts", "Parts", "a/b:c*d?e[f]g\\h", "'quoted'", "", "n" * 40, "n" * 40, "b\x07ell"]

    path = written(tmp_path, *(Page(name, ["kind"], [["relay"]]) for name in names))

    made = load_workbook(path).sheetnames
    assert made == ["parts", "Parts2", "a_b_c_d_e_f_g_h", "quoted", "sheet", "n" * 31, "n" * 30 + "2", "bell"]


@pytest.mark.parametrize(
    "text", ["Ä" * (MOST_CHARACTERS + 1), "🙂" * (MOST_CHARACTERS // 2 + 1), "one two " * 5000, "a🙂b " * 9000]
)
def test_a_text_longer_than_a_cell_is_cut_at_a_word_and_says_so(tmp_path: Path, text: str) -> None:
    path = written(tmp_path, Page("parts", ["notes"], [["x"], [text]]))

    cut = str(load_workbook(path)["parts"]["A3"].value)
    kept = cut.removesuffix(CUT)
    assert len(cut.encode("utf-16-le")) // 2 <= MOST_CHARACTERS
    assert cut != kept
    assert text.startswith(kept)
    assert " " not in text or text[len(kept)] == " "
    assert len(kept.encode("utf-16-le")) // 2 > MOST_CHARACTERS - 300


def test_the_fullest_cell_is_written_whole(tmp_path: Path) -> None:
    texts = ["Ä" * MOST_CHARACTERS, "🙂" * (MOST_CHARACTERS // 2), "<r>" + "x" * (MOST_CHARACTERS - 3)]

    path = written(tmp_path, Page("parts", ["notes"], [[text] for text in texts]))

    assert [row[0].value for row in load_workbook(path)["parts"].iter_rows(min_row=2)] == texts


def test_a_sheet_of_too_many_rows_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    with pytest.raises(Refused) as caught:
        written(tmp_path, Page("parts", ["kind"], [["relay"]] * 1_048_576))

    assert caught.value.code == "too-many-rows"
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_cannot_be_written_is_refused_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(Refused) as caught:
        write_workbook(tmp_path / "no folder" / "book.xlsx", [Page("parts", ["kind"], [["relay"]])])

    assert caught.value.code == "file-not-written"


def test_it_says_nothing_of_who_wrote_it(tmp_path: Path) -> None:
    with zipfile.ZipFile(written(tmp_path, Page("parts", ["kind"], [["relay"]]))) as archive:
        core = archive.read("docProps/core.xml").decode()

    assert re.search("<dc:creator>[^<]", core) is None
