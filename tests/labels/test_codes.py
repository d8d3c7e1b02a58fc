"""Codes on labels. Outside check: python-stdnum's ISO 7064 MOD 37-2."""

from __future__ import annotations

from stdnum.iso7064 import mod_37_2

from inventory.labels.codes import CAR_SIDES, CarSideCode, PartCode, read_code
from inventory.parts import tags


def _some_tags(count: int) -> list[str]:
    return tags.issue(count, lambda _: ())


def test_every_code_has_a_check_that_another_library_accepts_and_reads_back() -> None:
    for tag in _some_tags(300):
        codes = [PartCode(tag), *(CarSideCode(tag, number) for number in range(1, CAR_SIDES + 1))]
        for code in codes:
            assert mod_37_2.is_valid(code.coded)
            assert read_code(code.coded) == read_code(code.printed) == read_code(code.coded.lower()) == code
        assert len({code.coded for code in codes}) == 5


def test_one_wrong_character_or_two_swapped_ones_are_never_a_label() -> None:
    for tag in _some_tags(20):
        for code in (PartCode(tag).coded, CarSideCode(tag, 1).coded, CarSideCode(tag, 4).coded):
            for place in range(len(code)):
                for other in tags.ALPHABET + "B":
                    if other != code[place]:
                        assert read_code(code[:place] + other + code[place + 1 :]) is None
                swapped = code[:place] + code[place + 1 : place + 2] + code[place] + code[place + 2 :]
                assert swapped == code or read_code(swapped) is None


def test_other_text_is_no_label() -> None:
    tag = _some_tags(1)[0]
    for text in (
        "",
        f"https://example.org/{tag}",
        f"http://{tag}",
        f"{tag} C5",
        f"{tag} C0",
        f"{tag}{tag}",
        f"part {tag}",
        "inner wing",
        "4006381333931",
        "\u212a" * 6,
        "K" * 100_000,
    ):
        assert read_code(text) is None
