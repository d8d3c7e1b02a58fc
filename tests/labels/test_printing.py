"""Printed labels. Outside checks: pypdfium2 reads and renders what fpdf2 wrote, zxing-cpp reads what segno wrote."""

from __future__ import annotations

from collections.abc import Sequence

import pypdfium2
import pytest
import zxingcpp

from inventory.errors import Misused
from inventory.labels.big import big_lines
from inventory.labels.codes import read_code
from inventory.labels.label import Label, car_side_label, part_label, place_label, roll_labels
from inventory.labels.scanner import TEST, how_set
from inventory.labels.write_labels import on_paper, on_roll, on_stickers, size_of
from inventory.parts import tags
from inventory.places.place_codes import issue_place_code, parse_place_code
from inventory.printed.write_paper import Paper

LONG = "inner wing, behind the headlamp on the left, under the washer bottle"


def _labels() -> list[Label]:
    issued = tuple(tags.issue(9, lambda _: ()))
    part = part_label(
        issued[0], kind="pressure sensor", position=LONG, car="Grüne Limousine", day="12 Mar 2026", bag="7"
    )
    place = place_label(issue_place_code(()), "shelf B2", "the long rack")
    return [part, car_side_label(issued[0], "vacuum hose", 2), *roll_labels(3, issued[1:], 2), place]


def _scanned(paper: Paper, dots_per_mm: float) -> list[str]:
    """What another library reads from the rendered pages."""
    pages = pypdfium2.PdfDocument(paper.content())
    read = [zxingcpp.read_barcodes(page.render(scale=dots_per_mm * 25.4 / 72).to_pil()) for page in pages]
    return [found.text for page in read for found in page]


@pytest.mark.parametrize("way", ["paper", "stickers", "roll", "low roll"])
def test_every_code_is_read_from_the_printed_page(way: str) -> None:
    labels = _labels()
    paper = {
        "paper": lambda: on_paper(labels, "Labels", "12 March 2026"),
        "stickers": lambda: on_stickers(labels, "Labels", "12 March 2026", (70, 37)),
        "roll": lambda: on_roll(labels, "Labels", (50, 25)),
        "low roll": lambda: on_roll(labels, "Labels", (25, 10)),
    }[way]()

    assert sorted(_scanned(paper, 8 if "paper" not in way else 6)) == sorted(label.code.coded for label in labels)
    assert all(read_code(label.code.coded) == label.code for label in labels[:-1])
    assert parse_place_code(labels[-1].code.coded) == labels[-1].code.printed


def _words(labels: Sequence[Label], way: str = "paper") -> list[str]:
    paper = on_paper(labels, "Labels: Green tourer", "") if way == "paper" else on_roll(labels, "Labels", (25, 10))
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(paper.content())]


def test_a_label_says_what_is_needed_without_a_scanner() -> None:
    labels = _labels()
    (first, second) = _words(labels)

    for said in (
        labels[0].big,
        "inner wing",
        "bag 7",
        "12 Mar 2026; hot, oily: tie on",
        "STAYS ON CAR",
        "vacuum hose",
        "roll 3, 1/8",
    ):
        assert said in first
    assert "100 mm" in first and "tie it on" in first and "maker's label" in first and "100 mm" in second
    assert f"{labels[-1].big}" in second


def test_the_tag_is_whole_on_the_lowest_label_and_the_first_one_is_a_ruler() -> None:
    labels = _labels()
    pages = _words(labels, "low roll")

    assert "10 mm" in pages[0]
    assert all(label.big in page for label, page in zip(labels, pages[1:], strict=True))


@pytest.mark.parametrize("text", ["50x25", "50 x 25", "50,0×25.0 mm", "50mmx25mm"])
def test_sizes_are_read_as_people_write_them(text: str) -> None:
    assert size_of(text, "--roll") == (50, 25)


@pytest.mark.parametrize("text", ["", "50", "5x5", "50x", "1e3x10", "999x999", "-50x25", "nanxnan"])
def test_other_sizes_are_refused(text: str) -> None:
    with pytest.raises(Misused):
        size_of(text, "--roll")


def test_large_letters_fit_a_narrow_terminal_and_are_made_of_themselves() -> None:
    for tag in tags.issue(200, lambda _: ()):
        lines = big_lines(tag)
        assert len(lines) == 5 and max(map(len, lines)) <= 78
        assert {sign for line in lines for sign in line} - {" "} == set(tag)
    assert set(tags.ALPHABET) <= {sign for line in big_lines(tags.ALPHABET) for sign in line}


@pytest.mark.parametrize(
    ("arrives", "ok", "says"),
    [
        (TEST, True, "set right"),
        (TEST.lower() + "\n", True, "Small letters"),
        ("ZYAQWMß0123456789(", True, "US keyboard, the computer for a German"),
        ("ZYAQWM/0123456789}", True, "German keyboard, the computer for a US"),
        ("YWQAZ?)à&é\"'(-è_ç8", False, "US keyboard, the computer for a French"),
        ("YWQAZ:6)!@#$%^&*(\\", False, "French keyboard, the computer for a US"),
        ("YZAQWM-)!@#$%^&*(*", False, "Digits arrive shifted (US"),
        ("]C1" + TEST, False, 'adds "]C1" before it'),
        (TEST + "#", False, '"#" after it'),
        (TEST[:9], False, "Only 9 of 18"),
        ("K41277", False, "no keyboard known"),
        ("\t", False, "Nothing arrived"),
    ],
)
def test_the_test_code_tells_how_the_scanner_is_set(arrives: str, ok: bool, says: str) -> None:
    found = how_set(arrives)
    assert (found.ok, says in found.says) == (ok, True), found
    assert found.suffix == {"\n": "Enter", "\t": "Tab"}.get(arrives[-1], "")
