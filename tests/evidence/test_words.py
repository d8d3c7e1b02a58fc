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
        (0.0, "doubtful", "at most 1 in 10"),
        (0.01, "doubtful", "at most 1 in 10"),
        (0.08, "doubtful", "at most 1 in 10"),
        (0.20, "doubtful", "1 to 3 in 10"),
        (0.34, "doubtful", "2 to 5 in 10"),
        (0.35, "even", "2 to 5 in 10"),
        (0.50, "even", "3 to 7 in 10"),
        (0.64, "even", "5 to 8 in 10"),
        (0.65, "likely good", "5 to 8 in 10"),
        (0.77, "likely good", "6 to 9 in 10"),
        (0.92, "likely good", "9 in 10"),
        (1.0, "likely good", "9 in 10"),
    ],
)
def test_the_word_and_the_range_of_a_probability(p: float, word: str, said: str) -> None:
    assert (band(p), round_range(p, PROGRAM.failures)) == (word, said)


@given(st.floats(0.0, 1.0))
def test_a_range_holds_what_it_rounds_and_never_says_proved(p: float) -> None:
    ends = [
        int(word) for word in round_range(p, PROGRAM.failures).replace("at most", "0 to").split() if word.isdecimal()
    ][:-1]

    assert min(ends) <= 10 * p + 0.5
    assert max(ends) >= min(9.0, 10 * p - 0.5)
    assert "10 in 10" not in round_range(p, PROGRAM.failures)
