"""The words that people head columns with and write in cells: enough of them in each language, none with two meanings."""

from __future__ import annotations

import tomllib
from datetime import date
from importlib.resources import files
from typing import Any

import pytest

from inventory.errors import UnknownName
from inventory.facts.values import kind_named
from inventory.reference.data import PROGRAM
from inventory.seals.states import STATES
from inventory.sheets.columns.catalogue import PARTS, SHEETS, SheetKind, header_key, spellings, word_meant
from inventory.sheets.columns.cells import in_a_sheet

TODAY = date(2026, 3, 31)
LANGUAGES = {"en", "de", "fr", "it"}


def data(name: str) -> dict[str, Any]:
    return tomllib.loads((files("inventory.sheets.columns") / name).read_text(encoding="utf-8"))


@pytest.mark.parametrize("column", PARTS.columns)
def test_a_column_of_parts_has_five_spellings_in_each_language(column: str) -> None:
    spelled = data("synonyms.toml")["parts"][column]

    few = spelled.keys() - LANGUAGES  # of other languages the plainest words
    spelled = {language: words for language, words in spelled.items() if language not in few}
    assert spelled.keys() == LANGUAGES
    assert {language: words for language, words in spelled.items() if len(set(map(header_key, words))) < 5} == {}


@pytest.mark.parametrize(
    ("sheet", "column"), [(sheet, column) for sheet in SHEETS if sheet is not PARTS for column in sheet.columns]
)
def test_a_column_of_facts_has_five_spellings(sheet: SheetKind, column: str) -> None:
    assert len(spellings(sheet)[column]) > 5


@pytest.mark.parametrize("column", ["kind", "seal state", "code state", "read from", "whose", "basis"])
def test_no_word_in_a_cell_has_two_meanings(column: str) -> None:
    meanings: dict[str, set[str]] = {}
    for word, languages in data("cell_words.toml")[column].items():
        for key in map(header_key, [word, *(each for words in languages.values() for each in words)]):
            meanings.setdefault(key, set()).add(word)

    assert {key: several for key, several in meanings.items() if len(several) > 1} == {}


def test_every_kind_and_seal_state_is_understood_in_four_languages() -> None:
    words = data("cell_words.toml")

    assert {each.name for each in PROGRAM.kinds} == words["kind"].keys()
    assert set(STATES) == words["seal state"].keys()
    assert all(languages.keys() == LANGUAGES for languages in words["seal state"].values())


@pytest.mark.parametrize(
    ("text", "near"), [("Drucksensr", "pressure sensor"), ("iniettre", "injector"), ("rely", "relay")]
)
def test_a_kind_nearly_right_in_any_language_is_refused_with_the_one_it_is_near_to(text: str, near: str) -> None:
    with pytest.raises(UnknownName) as refused:
        kind_named(text, in_a_sheet(TODAY, PROGRAM))

    assert near in (refused.value.hint or "")


@pytest.mark.parametrize(
    ("column", "text", "meant"),
    [
        ("kind", "Drucksensor", "pressure sensor"),
        ("kind", "STEUERGERÄT", "control unit"),
        ("kind", "Steuergerat", "control unit"),
        ("kind", "Capteur de pression", "pressure sensor"),
        ("kind", "iniettore", "injector"),
        ("kind", "Relaiss", "Relaiss"),
        ("seal state", "unversehrt", "intact"),
        ("seal state", "manquant", "missing"),
        ("whose", "du client", "customer's"),
        ("basis", "valore di mercato", "market"),
        ("code state", "illisible", "unreadable"),
    ],
)
def test_a_word_is_understood_or_left_as_it_is(column: str, text: str, meant: str) -> None:
    assert word_meant(column, text) == meant
