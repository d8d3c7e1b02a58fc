"""Not known, none and as above are three answers, in six languages; none of them is a letter, a serial or a name."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.errors import Refused
from inventory.store.words.near import known_name
from inventory.store.words.nothing import name_given, nothing_in, set_aside, what_is_meant

NOT_KNOWN = [
    "unknown",
    "UNKNOWN",
    "unbekannt",
    "k.A.",
    "k. A.",
    "k.a",
    "inconnu",
    "n/d",
    "sconosciuto",
    "?",
    "??",
    "(?)",
    "o. A.",
    "desconocido",
    "ONBEKEND",
    "boh",
    "Nr. unbekannt",
    "Serial No. unknown",
]
NONE = ["none", "néant", "ohne", "nessuno", "keine", "None.", "aucun", "ninguno", "geen", "n.v.t."]
AS_ABOVE = [
    "dito",
    "dto.",
    "ídem",
    "zie boven",
    "ditto",
    '"',
    "''",
    "//",
    ",,",
    "〃",
    "”",
    "siehe oben",
    "come sopra",
    "ci-dessus",
]
DOUBTFUL = ["s.o.", "S. O.", "idem", "-", "--", "–", "/", ".", "n/a", "n/c", "S/N"]
ANSWERS = ["yes", "ja", "oui", "sì", "Yes", "missing", "fehlt", "manquant", "manca"]


@pytest.mark.parametrize(
    ("words", "meaning"),
    [
        (NOT_KNOWN, "not known"),
        (NONE, "none"),
        (AS_ABOVE, "as above"),
        (DOUBTFUL, "doubtful"),
        (ANSWERS, "an answer"),
    ],
)
def test_what_each_word_means(words: list[str], meaning: str) -> None:
    assert {word: nothing_in(word) for word in words} == dict.fromkeys(words, meaning)


@pytest.mark.parametrize(
    "text",
    [
        "K",
        "12",
        "O or Q",
        "O?",
        "KA",
        "ND",
        "NA",
        "SO",
        "ID",
        "SI",
        "NO",
        "OR",
        "Ostrell",
        "71-40822",
        "+",
        "Ω",
        "No K",
        "Nr. 12",
        "noja",
        "s/n 71",
        "",
    ],
)
def test_what_says_something(text: str) -> None:
    assert nothing_in(text) is None


@pytest.mark.parametrize(
    ("text", "language", "meaning"),
    [("s.o.", "de", "as above"), ("s.o.", "fr", "none"), ("s.o.", "it", "doubtful"), ("-", "de", "doubtful")],
)
def test_doubtful_words_mean_what_they_mean_in_the_language_of_the_sheet(
    text: str, language: str, meaning: str
) -> None:
    assert nothing_in(text, language) == meaning


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("K", ("K", "read")),
        ("unbekannt", (None, "not looked at")),
        ("unleserlich", (None, "unreadable")),
        ("keine", (None, "never fitted")),
        ("dito", (None, None)),
        ("oui", (None, None)),
        ("-", ("-", "read")),
    ],
)
def test_what_becomes_of_a_match_code(text: str, code: tuple[str | None, str | None]) -> None:
    assert what_is_meant(text) == code


@pytest.mark.parametrize("text", [*NOT_KNOWN, *NONE, *AS_ABOVE, *DOUBTFUL])
def test_none_of_them_is_a_name_and_each_is_told(text: str) -> None:
    with pytest.raises(Refused) as refused:
        name_given("name of the place", text)
    assert refused.value.code == "not-a-name"
    with pytest.raises(Refused) as refused:
        known_name({}, "place", text, ["shelf 2"], f'to enter it: matchmark place add "{text}"')
    assert refused.value.code == "not-a-name"
    assert set_aside("serial", text).startswith(f'serial: "{text}" ')
    assert set_aside("match code", text)


@given(st.text(max_size=40))
def test_any_text_is_answered(text: str) -> None:
    nothing_in(text)
    set_aside("match code", text)
