"""ISO 7064 MOD 37-2, as used for tags.

Examples: the docstring of python-stdnum's `stdnum.iso7064.mod_37_2` (G123489654321 -> Y, A999914123456 -> N).
That MOD 37-2 misses no single wrong character and no swap of neighbours follows from the standard's
prime modulus; here it is tried on every tag body that is drawn.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from inventory.errors import Refused
from inventory.parts.tags import ALPHABET, LETTERS, check_character, is_tag, issue, parse

TAGS = st.builds(
    lambda letter, rest: letter + rest,
    st.sampled_from(LETTERS),
    st.text(st.sampled_from(ALPHABET), min_size=4, max_size=4),
).filter(lambda body: check_character(body) in ALPHABET)


@pytest.mark.parametrize(("body", "check"), [("G123489654321", "Y"), ("A999914123456", "N")])
def test_examples(body: str, check: str) -> None:
    assert check_character(body) == check


@given(st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1))
def test_another_implementation_agrees(body: str) -> None:
    """python-stdnum, whose check character it is that makes the whole valid."""
    assert check_character(body) == mod_37_2.calc_check_digit(body)


def test_the_tag_of_the_design_is_a_tag() -> None:
    assert is_tag("K4127-7")
    assert parse("k41277") == "K4127-7"


@given(TAGS, st.integers(0, 5), st.sampled_from(ALPHABET))
def test_every_single_wrong_character_shows(body: str, place: int, other: str) -> None:
    tag = body + check_character(body)
    wrong = tag[:place] + other + tag[place + 1 :]

    assert is_tag(wrong) == (wrong == tag)


@given(TAGS, st.integers(0, 4))
def test_every_swap_of_neighbours_shows(body: str, place: int) -> None:
    tag = body + check_character(body)
    swapped = tag[:place] + tag[place + 1] + tag[place] + tag[place + 2 :]

    assert is_tag(swapped) == (swapped == tag)


def test_62_in_a_hundred_bodies_can_be_issued() -> None:
    """The share of check characters that fall in the set is 23 of 37, counted over bodies: 62 %."""
    bodies = [f"K{a}{b}{c}2" for a in ALPHABET for b in ALPHABET for c in ALPHABET]
    usable = sum(check_character(body) in ALPHABET for body in bodies)

    assert usable / len(bodies) == pytest.approx(23 / 37, abs=0.01)


def test_issued_tags_are_new_and_right() -> None:
    first = issue(50, lambda wanted: [])
    second = issue(50, lambda wanted: [tag for tag in wanted if tag in first])

    assert len({*first, *second}) == 100
    assert all(is_tag(tag) for tag in first + second)


@pytest.mark.parametrize("text", ["", "K4127-8", "A4127-7", "K4127", "K4127-77", "*4127-7", "K41O7-7"])
def test_what_is_no_tag_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse(text)
