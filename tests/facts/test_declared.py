"""What must hold of every kind of fact that is declared, whichever kinds there are."""

from __future__ import annotations

from collections import Counter
from datetime import date
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inventory.declared import DECLARED
from inventory.errors import Refused
from inventory.facts.declare import Cell, FactKind, Value
from inventory.facts.views import own_columns
from inventory.reference.data import PROGRAM
from inventory.store.tables import Base, FactColumns

CELL = Cell(date(2026, 3, 31), PROGRAM)
VALUES = [pytest.param(value, id=f"{kind.word}, {value.name}") for kind in DECLARED.facts for value in kind.values]
KINDS = [pytest.param(kind, id=kind.word) for kind in DECLARED.facts]
#: Columns that nobody types: what the program says of its own acts, what lies apart, what sheets leave over.
NOT_TYPED = {
    "marking": {"extra"},
    "contact_description": {"name_digest", "blanked"},
    "count_line": {"occasion", "found", "place"},
    "given_out": {"what", "number", "fingerprint", "to"},
    "paper_written": {
        "what",
        "number",
        "fingerprint",
        "as_of",
        "known_on",
        "options",
        "edition",
        "anchor",
        "anchor_size",
    },
    "redaction": {"entry_thing", "entry_sequence", "of_table", "of_key", "of_column", "left_digest"},
    "sheet_reading": {"file_name", "tab", "headers", "rows", "parts", "to_mend", "rejects"},
    "workshop_data": {"text", "digest", "file_name"},
    "passport_read": {"from_record", "their_tag", "digest", "signed_by", "taken"},
    "stocktake": {"number", "scope", "begun", "here", "not_here", "elsewhere"},
    "label_roll": {"number", "tags", "car_sides"},
    "labelling": {"label", "was", "why"},
    "sheet_mapping": {"headers", "answers", "dates", "decimal", "day_numbers", "currency", "mends"},
    "withdrawal": {"fact"},
    "wrong_clock": {"from_at", "until_at", "moments", "true_day"},
}


def holds_what_it_shows(value: Value, text: str) -> None:
    read = value.read(text, CELL)
    again = value.read(value.show(read), CELL)

    assert again == read
    assert value.same(read, again)


@pytest.mark.parametrize("value", VALUES)
def test_an_example_is_read_again_as_it_is_shown(value: Value) -> None:
    for text in ("", *value.examples):
        holds_what_it_shows(value, text)


@pytest.mark.parametrize("value", VALUES)
@settings(max_examples=40)
@example(text="?,")
@given(text=st.text() | st.text("aB 0;=.\t\r\n\u0130\u200b\x85\ud800", max_size=12))
def test_whatever_text_can_be_read_is_read_again_as_it_is_shown(value: Value, text: str) -> None:
    try:
        value.read(text, CELL)
    except Refused:
        return
    holds_what_it_shows(value, text)


@pytest.mark.parametrize("kind", KINDS)
def test_what_can_be_corrected_besides_says_the_same_again(kind: FactKind) -> None:
    said: dict[str, Any] = {}
    for value in kind.values:
        said |= value.read(value.examples[0] if value.examples else "", CELL)
    for value in kind.more_values(said):
        assert value.show(said)
        assert said | value.read(value.show(said), CELL) == said


@pytest.mark.parametrize("kind", KINDS)
def test_a_needed_value_has_an_example_or_names_a_thing(kind: FactKind) -> None:
    assert [each.name for each in kind.values if each.needed and not each.examples and not each.refers] == []


def test_every_table_of_facts_is_declared_by_one_kind() -> None:
    tables = [mapper.class_ for mapper in Base.registry.mappers if issubclass(mapper.class_, FactColumns)]

    assert Counter(kind.table for kind in DECLARED.facts) == Counter(tables)


def test_no_word_is_used_for_two_kinds_or_two_sections() -> None:
    for each in DECLARED.facts:
        assert DECLARED.called(each.word) is DECLARED.called(each.name) is each
    for thing in DECLARED.things:
        keys = [kind.section.key for kind in DECLARED.about(thing.word) if kind.section is not None]
        assert sorted(keys) == sorted(set(keys))


@pytest.mark.parametrize("kind", KINDS)
def test_every_column_is_said_by_one_value_or_typed_by_nobody(kind: FactKind) -> None:
    said: Counter[str] = Counter()
    for value in kind.values:
        said.update(_said_by(value))
    assert [name for name, times in said.items() if times > 1] == []

    columns = {name.partition("/")[0] for name in said}
    assert columns | NOT_TYPED.get(kind.name, set()) == {name.removesuffix("_id") for name in own_columns(kind.table)}
    assert not columns & NOT_TYPED.get(kind.name, set())


def _said_by(value: Value) -> list[str]:
    """The columns that a value says, of one that holds several values with the name of the one it says."""
    read: dict[str, Any] = value.read("", CELL)
    return [f"{column}/{name}" for column, patch in read.items() if isinstance(patch, dict) for name in patch] + [
        column for column, patch in read.items() if not isinstance(patch, dict)
    ]


@pytest.mark.parametrize("kind", [each for each in KINDS if each.values[0].sheet])
def test_the_columns_of_a_sheet_are_values_of_its_kind(kind: FactKind) -> None:
    assert kind.sheet is not None
    known = {each.name for each in kind.values} | {"on", "how known", "seen by", "seen on"}

    assert set(kind.sheet.columns) <= known
    assert kind.sheet.recognised_by <= known
    assert {each.name for each in kind.values if each.needed} <= set(kind.sheet.columns)
