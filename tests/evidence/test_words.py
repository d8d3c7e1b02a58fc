"""How a probability is said to people: a word and a round range, never proved and never hopeless."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.evidence.words import band, round_range
from inventory.reference.data import PROGRAM


@pytest.mark.parametrize(
    ("p", "word", "said"),
    [
        (0.0, "exceptionally unlikely to be good", "at most 1 in 10"),
        (0.009, "exceptionally unlikely to be good", "at most 1 in 10"),
        (0.01, "very unlikely to be good", "at most 1 in 10"),
        (0.08, "very unlikely to be good", "at most 1 in 10"),
        (0.10, "unlikely to be good", "1 to 2 in 10"),
        (0.20, "unlikely to be good", "1 to 3 in 10"),
        (0.32, "unlikely to be good", "2 to 5 in 10"),
        (0.33, "about as likely good as not", "2 to 5 in 10"),
        (0.65, "about as likely good as not", "5 to 8 in 10"),
        (0.66, "likely good", "5 to 8 in 10"),
        (0.89, "likely good", "8 to 9 in 10"),
        (0.90, "very likely good", "8 to 9 in 10"),
        (1.0, "very likely good", "9 in 10"),
    ],
)
def test_the_word_and_the_range_of_a_probability(p: float, word: str, said: str) -> None:
    """The bounds of the likelihood terms: IPCC, AR4 WG II, front matter (archive.ipcc.ch). Nothing is more than very likely."""
    assert (band(p, PROGRAM.failures), round_range(p, PROGRAM.failures)) == (word, said)


@given(st.floats(0.0, 1.0))
def test_a_range_holds_what_it_rounds_and_never_says_proved(p: float) -> None:
    ends = [
        int(word) for word in round_range(p, PROGRAM.failures).replace("at most", "0 to").split() if word.isdecimal()
    ][:-1]

    assert min(ends) <= 10 * p + 0.5
    assert max(ends) >= min(9.0, 10 * p - 0.5)
    assert "10 in 10" not in round_range(p, PROGRAM.failures)
