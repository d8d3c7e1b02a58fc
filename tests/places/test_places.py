"""Places within places: order, premises, circles, labels, several parts moved at once. On both engines."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.errors import Refused
from inventory.facts import change
from inventory.labels.codes import read_code
from inventory.parts import tags
from inventory.parts.queries import part_row
from inventory.places import actions as places
from inventory.places.place_codes import is_place_code, issue_place_code, parse_place_code
from inventory.places.queries import place_named, places_within, premises_of, shelf_order
from inventory.places.tree import PlacePremises, Said, premises_by_place
from inventory.store.facts import AsOf
from inventory.store.record import Record
from inventory.verification import verify
from tests.build import BY, make_part


def _enter(record: Record, *rows: tuple[str, str | None, dict[str, str]]) -> None:
    with record.write() as session:
        for name, within, said in rows:
            places.add_place(session, BY, name, within=within, **said)


def _refused(record: Record, act: object) -> str:
    with pytest.raises(Refused) as told, record.write() as session:
        act(session)  # type: ignore[operator]
    return str(told.value.code)


HOUSE = (
    ("the barn", None, {"premises": "Barn, Mill Lane", "town": "Orsel", "security": "two locks"}),
    ("rack", "the barn", {}),
    ("shelf 10", "rack", {}),
    ("shelf 2", "rack", {}),
    ("lock-up", "the barn", {"premises": "Lock-up 7"}),
)


def test_places_are_walked_outer_first_and_numbers_count_as_numbers(record: Record) -> None:
    _enter(record, *HOUSE)
    make_part(record, place="shelf 2")
    with record.read() as session:
        walk = [(depth, place.name, place.parts, place.in_all) for depth, place in shelf_order(session)]
        inside = places_within(session, place_named(session, "rack").id)
        assert inside == {place_named(session, name).id for name in ("rack", "shelf 2", "shelf 10")}
    assert walk == [
        (0, "the barn", 0, 1),
        (1, "lock-up", 0, 0),
        (1, "rack", 0, 1),
        (2, "shelf 2", 1, 1),
        (2, "shelf 10", 0, 0),
    ]
    assert verify(record).ok


def test_premises_are_the_nearest_and_bring_no_lock_from_beyond(record: Record) -> None:
    _enter(record, *HOUSE)
    with record.read() as session:
        said = {place.name: premises_of(session)[place.id] for _, place in shelf_order(session)}
    assert said["shelf 2"] == said["the barn"] == PlacePremises("Barn, Mill Lane", "Orsel", "two locks")
    assert said["lock-up"] == PlacePremises("Lock-up 7")


def test_a_rack_carried_to_other_premises_takes_its_shelves_along(record: Record) -> None:
    _enter(record, *HOUSE)
    tag = make_part(record, place="shelf 2")
    with record.write() as session:
        places.describe_place(session, BY, "rack", within="lock-up")
    with record.read() as session:
        key = place_named(session, "shelf 2").id
        assert part_row(session, tag).place_id == key
        assert premises_of(session)[key].name == "Lock-up 7"
        assert premises_of(session, AsOf(None, date(1999, 1, 1))) == {}


def test_no_place_lies_in_itself_however_it_is_said(record: Record) -> None:
    _enter(record, *HOUSE)
    circles = (
        lambda session: places.describe_place(session, BY, "rack", within="rack"),
        lambda session: places.describe_place(session, BY, "the barn", within="shelf 2"),
        lambda session: change.add(session, BY, "place", "the barn", {"within": "shelf 10"}),
    )
    assert [_refused(record, act) for act in circles] == ["place-in-itself"] * 3
    with record.write() as session:  # what only adds to a place need not name it again
        change.add(session, BY, "place", "rack", {"town": "Orsel"})
    assert _refused(record, lambda session: places.describe_place(session, BY, "rack")) == "nothing-said"
    assert _refused(record, lambda session: places.describe_place(session, BY, "rack", new_name="LOCK-UP")) == (
        "place-known"
    )


@settings(max_examples=40)
@given(st.dictionaries(st.integers(1, 6), st.integers(1, 6), max_size=6))
def test_even_a_circle_on_record_ends(within: dict[int, int]) -> None:
    said = {key: Said(within_id=within.get(key)) for key in range(1, 7)}
    said[3] = Said(within_id=within.get(3), premises="barn")
    found = premises_by_place(said)
    assert set(found) == set(said) and found[3].name == "barn"


def test_a_places_code_is_never_read_as_a_part_or_a_car_side() -> None:
    taken = {issue_place_code(()) for _ in range(200)}
    for code in taken:
        bare = code.replace("-", "")
        assert is_place_code(code) and parse_place_code(f" {bare.lower()} ") == code
        assert not tags.is_tag(code) and not tags.is_tag(bare[1] + bare[0] + bare[2:])
        assert read_code(code) is None and read_code(f"{bare}C1") is None
    for tag in tags.issue(200, lambda _: ()):
        bare = tag.replace("-", "")
        assert not is_place_code(tag) and not is_place_code(bare[1] + bare[0] + bare[2:])


def test_a_label_stands_for_its_place_wherever_a_place_is_asked(record: Record) -> None:
    _enter(record, *HOUSE)
    tag, other = make_part(record), make_part(record)
    with record.write() as session:
        keys = [place.id for _, place in shelf_order(session)]
        places.label_places(session, BY, keys)
        labels = {place.name: place.label for _, place in shelf_order(session)}
        places.label_places(session, BY, keys)
        assert labels == {place.name: place.label for _, place in shelf_order(session)}
    assert len(set(labels.values())) == len(HOUSE) and all(labels.values())
    scanned = str(labels["shelf 10"]).replace("-", "").lower()
    with record.write() as session:
        places.put_all(session, BY, [tag, other, tag], scanned)
        lies = place_named(session, "shelf 10")
        assert [part_row(session, each).place_id for each in (tag, other)] == [lies.id] * 2 and lies.parts == 2
        places.describe_place(session, BY, "shelf 10", within=labels["lock-up"])
        assert place_named(session, scanned).within == "lock-up"
    free = issue_place_code(set(labels.values()))  # type: ignore[arg-type]
    assert _refused(record, lambda session: places.put(session, BY, tag, free)) == "no-such-place-label"
    taken = {"label": str(labels["rack"])}
    assert _refused(record, lambda session: change.add(session, BY, "place", "lock-up", taken)) == "place-label-taken"
    assert _refused(record, lambda session: change.add(session, BY, "place", "rack", {"label": "K41"})) == (
        "not-a-place-label"
    )
    assert verify(record).ok
