"""The section From of a part's card: three lanes first, what is missing, whether it came back the same."""

from __future__ import annotations

from inventory.provenance.actions import note_provenance
from inventory.store.record import Record
from tests.build import BY, SENSOR, make_part
from tui.data.card import card_of


def test_from_begins_with_the_lanes_and_names_what_is_missing(record: Record) -> None:
    tag = make_part(record, SENSOR, on="2020-05-01")
    for how, day in (("bought", "1998"), ("sent out", "2020-06-01"), ("came back", "2020-08-01")):
        with record.write() as session:
            note_provenance(session, BY, tag, how, on=day)
    with record.read() as session:
        (section,) = [each for each in card_of(session, tag).sections if each.name == "From"]

    assert [(entry.name, entry.says) for entry in section.entries[:4]] == [
        ("Whose", "now: here"),
        ("With whom", "now: here"),
        ("Not known", "whose: bought 1998: from whom is not known; 1 more"),
        ("The same unit?", "away 2020-06-01: cannot be told: no mark was looked at both before and after"),
    ]


def test_a_part_without_origin_says_so(record: Record) -> None:
    tag = make_part(record)
    with record.read() as session:
        (section,) = [each for each in card_of(session, tag).sections if each.name == "From"]

    assert section.entries == ()
