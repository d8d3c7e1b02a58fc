"""Printed pages. Outside check: pypdfium2 reads back what fpdf2 wrote."""

from __future__ import annotations

import io
from collections.abc import Callable

import pypdf
import pypdfium2
import pytest

from inventory.printed import write_paper
from inventory.printed.write_paper import LEAST, Paper


def _read_back(paper: Paper) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(paper.content())]


def test_every_page_has_its_head_and_says_which_of_how_many() -> None:
    paper = Paper("Order of refit: Green tourer", "12 March 2026")
    paper.add_page()
    for number in range(90):
        paper.words(f"step {number}", 12)

    pages = _read_back(paper)

    assert len(pages) == 2
    for number, page in enumerate(pages, 1):
        assert "Order of refit: Green tourer" in page and f"page {number} of 2" in page and "12 March 2026" in page
    assert "step 89" in pages[1]


def test_latin_greek_and_cyrillic_are_printed_and_controls_are_not() -> None:
    paper = Paper("x")
    paper.add_page()
    words = "Prüfer Őrsi łódź Датчик давления Ελληνικά 10 × 18 µm ½ €"
    paper.words(words)
    paper.words("a\x1b[31mb\nc", 9)

    page = _read_back(paper)[0]

    assert words in page and "a[31mb c" in page
    assert paper.missing_sentence() == ""


def test_words_that_look_like_a_place_for_the_number_of_pages_stay() -> None:
    paper = Paper("x")
    paper.add_page()
    paper.words("bag {nb}")

    assert "bag {nb}" in _read_back(paper)[0]


def test_of_a_long_text_that_is_cut_only_the_beginning_is_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    paper = Paper("x")
    paper.add_page()
    measured: list[int] = []
    asked = paper.printable

    def noted(text: str) -> str:
        measured.append(len(text))
        return asked(text)

    monkeypatch.setattr(paper, "printable", noted)

    paper.words("word " * 2_000_000, lines=2)

    assert measured[0] <= 2000
    assert "word..." in _read_back(paper)[0]


def test_a_sign_without_a_font_is_replaced_and_what_to_install_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(write_paper, "cjk_fonts", list)
    paper = Paper("x")
    paper.add_page()
    paper.words("shelf \u538b B2")

    assert "shelf ¤ B2" in _read_back(paper)[0]
    assert "\u538b" in paper.missing_sentence() and "matchmark[cjk]" in paper.missing_sentence()


def test_with_a_font_for_it_japanese_is_printed_and_read_back_by_another_library_too() -> None:
    paper = Paper("x")
    paper.add_page()
    paper.words("圧力センサー", bold=True)
    paper.words("건전지 压力")

    held = paper.content()
    assert "圧力センサー" in pypdfium2.PdfDocument(held)[0].get_textpage().get_text_range()
    assert "圧力センサー\n건전지 压力" in pypdf.PdfReader(io.BytesIO(held)).pages[0].extract_text()


@pytest.mark.parametrize("cut", [lambda text: text, lambda text: text.replace(" ", "")])
def test_what_does_not_fit_is_cut_with_dots_and_stays_within_its_width(cut: Callable[[str], str]) -> None:
    paper = Paper("x", size=(50, 25))
    paper.add_page()
    high = paper.words(cut("inner wing, behind the headlamp on the left " * 5), LEAST, width=46, lines=2)

    page = _read_back(paper)[0]

    assert high < 10 and page.strip().endswith("...")
    assert all(paper.fits(line, LEAST, 46.1) for line in page.splitlines())
