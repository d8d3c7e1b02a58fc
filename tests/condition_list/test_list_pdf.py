"""The list as a PDF. Outside check: pypdf and pypdfium2 read back and render what fpdf2 wrote."""

from __future__ import annotations

import ctypes
import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdf
import pypdfium2
import pytest
from pypdfium2 import raw

from inventory.condition_list.actions import give_out
from inventory.condition_list.item_lines import item_lines
from inventory.condition_list.load_pictures import SmallPicture
from inventory.condition_list.values import ConditionList, Item, Seen
from inventory.condition_list.write_pdf import EMBEDDED, list_paper
from inventory.condition_list.write_pdf_annexes import numbers_in_short
from inventory.condition_list.write_pdf_schedule import by_premises
from inventory.documents.picture import small_copy
from inventory.printed.lines import shared_widths
from inventory.printed.write_paper import LEAST
from tests.condition_list.filled import filled_item, filled_list, said
from tests.condition_list.workshop import BY, Workshop
from tests.pictures_made import picture_bytes

JAPANESE, GREEK, CYRILLIC = "圧力センサー", "αισθητήρας πίεσης", "датчик давления"
LONG = " ".join(f"word{number}." for number in range(570))  # 5,019 signs


def drawn_list() -> ConditionList:
    items = [filled_item(number) for number in range(1, 13)]
    note = replace(items[1].value, amount="123456789012", source=GREEK)  # type: ignore[type-var]
    items[1] = replace(items[1], value=note, maker=JAPANESE, remarks=(LONG,), history=LONG, serial="S" * 60)
    items[2] = replace(items[2], kind=CYRILLIC, evidence=(), evidence_numbers=())
    items[3] = replace(
        items[3], value=None, condition=None, works=None, last_seen=None, description=None, relation=None, remarks=(),
        maker=None, marks_verbatim=(), serial=None, date_code=None, marks=None, goes_with=None, seals_now=(), came_when=None,
    )  # fmt: skip
    return filled_list(items)


def pictures() -> Callable[[str, int], SmallPicture]:
    small, ratio = small_copy(picture_bytes(size=(1600, 1200)), 480)

    def picture_of(document: str, pixels: int) -> SmallPicture:
        if document == "document-2":
            return SmallPicture(problem="This picture has more than 100 megapixels")
        return SmallPicture(small, ratio, "2026-02-01", "camera")

    return picture_of


@pytest.fixture(scope="module")
def drawn() -> ConditionList:
    return drawn_list()


@pytest.fixture(scope="module")
def held(drawn: ConditionList) -> bytes:
    paper = list_paper(drawn, pictures())
    assert paper.missing_sentence() == ""
    return paper.content()


@pytest.fixture(scope="module")
def pages(held: bytes) -> list[str]:
    return [bare(page.get_textpage().get_text_range()) for page in pypdfium2.PdfDocument(held)]


def bare(text: str) -> str:
    """Text without blanks: a line may end at any of them."""
    return "".join(text.split())


def item_page(item: Item, pages: list[str]) -> str:
    """The page of an item among the items."""
    (page,) = [
        page
        for page in pages
        if bare(f"{item.number} {item.tag} {item.kind} {item.maker or ''}") in page and "Goeswith" in page
    ]
    return page


def test_the_text_of_every_item_is_there_and_no_item_is_split(drawn: ConditionList, pages: list[str]) -> None:
    for item in drawn.items:
        page = item_page(item, pages)
        for label, text in item_lines(item, drawn.basis):
            assert len(text) > 3000 or bare(f"{label} {text}") in page
        assert sum(each.count(item.tag) for each in pages) >= 3  # schedule, item, gap


def test_the_parts_of_the_list_have_bookmarks_and_every_page_a_head(held: bytes, pages: list[str]) -> None:
    read = pypdf.PdfReader(io.BytesIO(held))
    outline = read.outline
    top = [each.title for each in outline if not isinstance(each, list)]
    (items,) = [
        found for at, found in enumerate(outline) if isinstance(found, list) and outline[at - 1].title == "Items"
    ]

    assert top == [
        "Front", "Terms", "Schedule of items", "Items", "Remarks and gaps", "Changes since list no. 3",
        "Recorded, corrected or taken back after 2026-03-31", "Evidence index", "Texts in full",
        "How the figures came about, and how to check them", "Statement",
    ]  # fmt: skip
    assert len(items) == 12
    assert read.metadata is not None and read.metadata.title == "Condition list no. 4"
    for number, page in enumerate(pages, 1):
        assert bare(f"as of 2026-03-31 confidential page {number} of {len(pages)}") in page
        assert page.startswith("Conditionlistno.4")


def test_nothing_is_smaller_than_nine_points_and_nothing_stands_outside_the_page(held: bytes) -> None:
    for page in pypdfium2.PdfDocument(held):
        for each in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
            size = ctypes.c_float()
            assert raw.FPDFTextObj_GetFontSize(each, size) and size.value >= LEAST - 0.01
            left, low, right, high = each.get_bounds()
            assert left >= 30 and right <= 595.3 - 30 and low >= 30 and high <= 842 - 15


def test_every_script_is_read_back_by_both_libraries(drawn: ConditionList, held: bytes, pages: list[str]) -> None:
    of_pypdf = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(held)).pages)
    for whole in (bare(of_pypdf), "".join(pages)):
        for text in (JAPANESE, GREEK, CYRILLIC, "Werkstatt Süd, Łąkowo", drawn.fingerprint_shown, "not known"):
            assert bare(text) in whole
        assert "¤" not in whole
    assert of_pypdf.count("123456789012.00\n") >= 2  # an amount is never broken


def test_a_text_too_long_for_its_item_stands_in_full_in_an_annex(drawn: ConditionList, pages: list[str]) -> None:
    whole = "".join(pages)

    for number in range(570):
        assert whole.count(f"word{number}.") >= 2  # its remarks; its history
    for annex in ("Remarks and gaps", "Texts in full"):
        assert bare(f"(in full under {annex})") in item_page(drawn.items[1], pages)


def test_the_schedule_sums_each_page_and_each_place_of_insurance(drawn: ConditionList, pages: list[str]) -> None:
    schedule = [page for page in pages if "Maker,number" in page]
    places = by_premises(drawn.items)

    assert sum(len(items) for items in places.values()) == 12
    for place, items in places.items():
        assert sum(bare(f"Subtotal: {place}: {len(items)} items") in page for page in schedule) == 1
    assert all("Onthispage:" in page for page in schedule)
    whole = "; ".join(f"{currency} {amount}" for currency, amount in drawn.totals.items())
    assert bare(f"All items: 12 items; counted: {whole}") in schedule[-1]
    assert "[KWD109.125]" in "".join(schedule)  # what is not added stands in brackets


def test_a_picture_that_cannot_be_read_is_a_sentence_in_its_frame(
    drawn: ConditionList, pages: list[str], held: bytes
) -> None:
    assert bare("Not drawn: This picture has more than 100 megapixels.") in item_page(drawn.items[0], pages)
    assert bare("Evidence 2, marking: 2026-02-01 (camera's clock)") in item_page(drawn.items[0], pages)
    shown = [each for page in pypdfium2.PdfDocument(held) for each in page.get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE])]
    assert len(shown) == 2 * 11 - 1


def test_the_list_as_data_is_inside_and_the_page_is_dark_on_light(drawn: ConditionList, held: bytes) -> None:
    inside = pypdf.PdfReader(io.BytesIO(held)).attachments[EMBEDDED][0]
    front = pypdfium2.PdfDocument(held)[0].render(scale=0.5).to_pil().convert("L")

    last = "".join(bare(page.get_textpage().get_text_range()) for page in list(pypdfium2.PdfDocument(held))[-3:])

    assert drawn.check and all(bare(f"{name} {said}") in last for name, said in drawn.check.items())
    assert drawn.fingerprint in last
    assert json.loads(inside) == json.loads(json.dumps(drawn.as_dict()))
    assert 0.02 < sum(front.histogram()[:128]) / (front.width * front.height) < 0.3


def test_a_list_without_items_and_one_of_one() -> None:
    for items in ([], [filled_item(1)]):
        empty = filled_list(items, evidence=(), gaps=(), later=(), changes=None, premises=(), converted=None)
        pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(list_paper(empty).content())]
        assert ("No items." in " ".join(pages)) == (not items)
        assert 4 <= len(pages) <= 7


def test_a_coming_is_said_once_and_an_open_day_in_words() -> None:
    item = filled_item(
        1, history="bought 1998~; came off Grey saloon 2019-05", last_seen=Seen("marks read", said("../2026-11-27"))
    )
    lines = dict(item_lines(item, "market"))

    assert (
        lines["From"]
        == "bought (said by seller), 1998~ by the bench hand, recorded 2026-03-31; came off Grey saloon 2019-05"
    )
    assert "last seen not after 2026-11-27 by the bench hand" in lines["Whose, where"]


def test_the_second_half_of_a_pair_is_not_without_a_value() -> None:
    pair = filled_item(1).value
    half = filled_item(
        2, value=None, value_alone=pair, heading="valued with its mate", why="valued as one pair with K0001-7, item 1"
    )

    assert dict(item_lines(half, "market"))["Value"].startswith(
        "valued as one pair with K0001-7, item 1; this half alone GBP 101.50"
    )
    assert (
        dict(item_lines(replace(half, heading="away", value_alone=None), "market"))["Value"]
        == "no value stated on the basis market"
    )


def test_widths_and_numbers() -> None:
    assert shared_widths([10, 10], [10, 30], 30) == [10, 20]
    assert shared_widths([10, 40, 40], [10, 40, 40], 60) == [10, 25, 25]
    assert shared_widths([10, 40, 30], [10, 40, 30], 60, [False, True, False]) == [10, 40, 10]
    assert sum(shared_widths([5, 5], [6, 6], 30)) == pytest.approx(30)
    assert numbers_in_short([3, 1, 2, 7, 9, 9]) == "1-3, 7, 9"


def test_the_record_s_pictures_are_on_its_pages_and_the_file_is_the_owner_s_alone(
    workshop: Workshop, tmp_path: Path
) -> None:
    target = tmp_path / "list.pdf"
    drawn = give_out(workshop.record, BY, target)
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(target)]

    assert target.stat().st_mode & 0o077 == 0
    assert any("Not drawn: This is no picture." in page for page in pages)  # what was attached as one is none
    for item in drawn.items:
        assert sum(item.tag in page for page in pages) >= 2
