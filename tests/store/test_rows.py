"""Rows that were made and not loaded hold all their columns; canonical JSON is one text, whoever writes it."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.parts.tables import Note, PartNumber
from inventory.store.journal.entries import after_image
from inventory.store.journal.images import canonical
from inventory.store.tables import columns_of

_PLAIN = st.none() | st.booleans() | st.integers() | st.text(st.characters(exclude_categories=()))
_ANY = st.recursive(_PLAIN, lambda some: st.lists(some) | st.dictionaries(st.text(), some), max_leaves=30)


@given(_ANY)
def test_canonical_json_is_what_json_writes(value: object) -> None:
    expected = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))

    written = canonical(value)

    assert written == expected


@pytest.mark.parametrize(
    ("value", "written"),
    [
        ("\ud800", '"\ud800"'),
        (1 << 70, "1180591620717411303424"),
        ("\x00\x1f\x7f\u2028", '"\\u0000\\u001f\x7f\u2028"'),
        ({"b": 1, "\U0001f600": 2, "\uffff": 3}, '{"b":1,"\uffff":3,"\U0001f600":2}'),
    ],
    ids=["half a character", "more than 64 bits", "controls", "order of keys"],
)
def test_what_writers_of_json_do_differently(value: object, written: str) -> None:
    assert canonical(value) == written


def test_a_row_that_was_made_holds_every_column() -> None:
    row = PartNumber(id=7, written="HV 200", squeezed="hv200")

    row.kind = "relay"

    assert not row.loaded
    assert after_image(row) == {"id": 7, "written": "HV 200", "squeezed": "hv200", "kind": "relay"}
    assert list(after_image(row)) == list(columns_of(PartNumber))


def test_a_row_takes_its_columns_only() -> None:
    row = Note(text="rattles")

    with pytest.raises(TypeError, match="Note has no column colour"):
        Note(colour="red")
    with pytest.raises(AttributeError, match="Note has no column colour"):
        row.colour = "red"  # type: ignore[attr-defined]
