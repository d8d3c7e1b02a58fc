"""Tables and headings on paper. Outside check: pypdfium2 and pypdf read back what fpdf2 wrote."""

from __future__ import annotations

import io

import pypdf
import pypdfium2

from inventory.printed.lines import broken
from inventory.printed.write_paper import LEAST, Paper
from inventory.printed.write_table import Column, Table, labelled


def test_lines_are_broken_at_blanks_within_long_words_and_after_any_sign_of_japanese() -> None:
    assert broken("one two three", 7, len) == ["one two", "three"]
    assert broken("HV  204", 9, len) == ["HV  204"]  # a mark is printed as it was read
    assert broken("abcdefgh ij", 3, len) == ["abc", "def", "gh", "ij"]
    assert broken("圧力センサー壊れ", 3, len) == ["圧力セ", "ンサー", "壊れ"]
    assert broken("no 圧力", 4, len) == ["no 圧", "力"]
    assert broken("one two three", 7, len, 1) == ["one..."]
    assert broken("", 7, len) == [""]


def test_a_table_repeats_its_head_splits_no_row_and_sums_each_page() -> None:
    paper = Paper("x")
    paper.add_page()
    on_page: list[int] = []

    def foot() -> str:
        said = f"of this page: {sum(on_page)}"
        on_page.clear()
        return said

    table = Table(paper, (Column("No.", 30), Column("What is said", 60)), foot=foot)
    for number in range(60):
        table.row((f"row {number}", f"begin{number} {'word ' * 30}end{number}"))
        on_page.append(number)
    table.close()
    labelled(paper, [("Owner", "not known")])
    paper.heading("Then", bookmark="then")
    held = paper.content()
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(held)]

    assert len(pages) > 3
    for page in pages:
        assert page.count("What is said") == 1 and page.count("of this page") == 1
    for number in range(60):
        (page,) = [page for page in pages if f"begin{number} " in page]
        assert f"end{number}\r\n" in page
    assert "Owner" in pages[-1] and "not known" in pages[-1]
    read = pypdf.PdfReader(io.BytesIO(held))
    assert [each.title for each in read.outline] == ["then"]  # type: ignore[union-attr]
    assert read.trailer["/Root"]["/Lang"] == "en-GB" and "/OutputIntents" in read.trailer["/Root"]  # type: ignore[index,operator]


def test_a_row_higher_than_a_page_goes_on_and_is_whole() -> None:
    paper = Paper("x")
    paper.add_page()
    table = Table(paper, (Column("No.", 20), Column("Note", 50)))
    table.row(("1", " ".join(f"w{number}" for number in range(2000))))
    table.row(("2", "short"))
    held = paper.content()
    said = " ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(held)).split()

    assert [word for word in said if word[0] == "w" and word[1:].isdigit()] == [f"w{number}" for number in range(2000)]
    assert paper.fits("short", LEAST, 50)
