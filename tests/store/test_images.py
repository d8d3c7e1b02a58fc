"""What an entry leaves out comes back as it was, in both forms."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from inventory.parts import actions as parts
from inventory.parts.queries import part_row
from inventory.store.journal.images import FORM, canonical, entry_hash, facts_made, images_of, read_images
from inventory.store.record import Record
from inventory.store.tables import JournalEntry
from tests.build import BY, make_part

_DAYS = st.sampled_from(["2026-03-31", "2026-03-30", "1998-12-31", "9999-12-31"])
_MOMENTS = st.sampled_from(
    ["2026-03-31T10:00:00.000000Z", "2026-03-31T10:00:00.000001Z", "2025-01-01T00:00:00.000000Z"]
)
_TEXTS = st.none() | st.text(max_size=5)
_FACTS = st.fixed_dictionaries(
    {
        "id": st.integers(1, 3),
        "thing_id": st.just(7),
        "so_from": _DAYS,
        "told": _TEXTS,
        "earliest": _DAYS,
        "latest": _DAYS,
        "counts_from": _DAYS,
        "recorded": _MOMENTS,
        "recorded_on": _DAYS,
        "ranked": _MOMENTS,
        "by_id": st.integers(1, 2),
        "how_known": st.text(min_size=1, max_size=5),
        "superseded_by": _TEXTS,
        "text": _TEXTS,
    }
)
_OTHERS = st.fixed_dictionaries({"id": st.integers(1, 3), "name": _TEXTS, "size": st.none() | st.integers(0, 9)})


def _entry(form: int | None = FORM) -> dict[str, Any]:
    return {
        "thing_id": 7,
        "sequence": 2,
        "at": "2026-03-31T10:00:00.000000Z",
        "who_id": 2,
        "act": "part note",
        "act_key": "00ff00ff",
        "previous": "0" * 64,
        "form": form,
    }


@given(st.lists(_FACTS | _OTHERS, max_size=4), _DAYS)
def test_every_column_that_is_not_empty_comes_back(rows: list[dict[str, Any]], day: str) -> None:
    entry = _entry()
    made = [("note", row["id"], row) for row in rows]
    changed = [("note", 1, {"superseded_by": None})]

    entry["images"] = images_of(entry, day, made, changed)
    written = read_images(entry)

    full = [(table, key, {name: value for name, value in row.items() if value is not None}) for table, key, row in made]
    assert written.made == full
    assert written.changed == changed


def test_what_the_entry_says_and_what_is_empty_is_left_out() -> None:
    entry = _entry()
    day, at = "2026-03-31", entry["at"]
    row = {
        "id": 5, "thing_id": 7, "so_from": day, "told": None, "earliest": day, "latest": day, "counts_from": day,
        "recorded": at, "recorded_on": day, "ranked": at, "by_id": 2, "how_known": "seen", "text": "hums",
    }  # fmt: skip

    images = images_of(entry, day, [("note", 5, row)], [])

    assert images == '{"day":"2026-03-31","made":[["note",5,{"how_known":"seen","text":"hums"}]]}'


def test_an_update_says_what_it_changed_and_no_more(record: Record) -> None:
    tag = make_part(record)
    with record.write() as session:
        fact = parts.note(session, BY, tag, "hums")
    with record.write() as session:
        from inventory.facts import change

        change.withdraw(session, BY, fact, "wrong part")
    with record.read() as session:
        key = part_row(session, tag).id
        newest = select(JournalEntry).where(JournalEntry.thing_id == key).order_by(JournalEntry.sequence.desc())
        said = json.loads(session.scalars(newest).first().images)  # type: ignore[union-attr]

    ((table, number, changed),) = said["changed"]
    assert (table, number) == ("note", 1)
    assert changed == {"superseded_by": "withdrawal-1", "superseded_on": said["day"]}


def test_an_entry_of_the_first_form_is_read_whole_and_keeps_its_hash() -> None:
    """As the first version wrote it: its hash is over all fields but the form, which it did not know."""
    image = {"id": 5, "thing_id": 7, "text": "hums", "told": None}
    entry = {**_entry(None), "images": canonical([["note", 5, image]])}

    assert read_images(entry).made == [("note", 5, image)]
    assert read_images(entry).changed == []
    fields = {name: value for name, value in entry.items() if name != "form"}
    plain = json.dumps(fields, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert entry_hash(entry) == hashlib.sha256(plain.encode()).hexdigest()


def test_the_facts_that_an_entry_made_are_named_in_both_forms() -> None:
    """In the first form, those that were there before stand beside them."""
    at, earlier = _entry()["at"], "2025-01-01T00:00:00.000000Z"
    first = [["note", 5, {"recorded": at}], ["note", 4, {"recorded": earlier}], ["part", 7, {"kind": "relay"}]]
    second = {"day": "2026-03-31", "made": [["note", 5, {"text": "hums"}]], "changed": [["note", 4, {"told": None}]]}

    assert facts_made(canonical(first), at, None) == [("note", 5)]
    assert facts_made(canonical(second), at, FORM) == [("note", 5)]


@pytest.mark.parametrize("form", [1, 3, "2"])
def test_a_form_that_is_none_is_refused(form: Any) -> None:
    entry = {**_entry(form), "images": "{}"}

    with pytest.raises(ValueError, match="no form"):
        entry_hash(entry)
    with pytest.raises(ValueError, match="no form"):
        read_images(entry)
    with pytest.raises(ValueError, match="no form"):
        facts_made("{}", entry["at"], form)
