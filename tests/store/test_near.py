"""Which names look like misspelt ones, and which are two things."""

from __future__ import annotations

import pytest

from inventory.errors import NearName, UnknownName
from inventory.store.words.near import NAMES_MEANT, NamesMeant, known_name, name_on_record, near_names

NEAR = [
    ("inner wnig", "inner wing"),
    ("iner wing, behind the left headlamp", "inner wing, behind the left headlamp"),
    ("lfet headlamp", "left headlamp"),
    ("headlamp left", "left headlamp"),
    ("Mueller", "Müller"),
    ("Smiht", "Smith"),
    ("cpa", "cap"),
    ("presure sensor", "pressure sensor"),
    ("Gren tourer", "Green tourer"),
    ("shlef B3", "shelf B3"),
    ("vorderer Träger", "vordere Trager"),
    ("injectors", "injector"),
]
TWO_THINGS = [
    ("relay A", "relay B"),
    ("relayA", "relayB"),
    ("relay", "relay A"),
    ("shelf B2", "shelf B3"),
    ("shelf B2", "shelf C2"),
    ("injector 1", "injector 11"),
    ("Green tourer 2", "Green tourer"),
    ("bay VII", "bay VIII"),
    ("left headlamp", "right headlamp"),
    ("vorne links", "hinten links"),
    ("oberer Halter", "unterer Halter"),
    ("avant droit", "avant gauche"),
    ("rail inférieur", "rail supérieur"),
    ("parafango interno", "parafango esterno"),
    ("battery +", "battery -"),
    ("J. Smith", "K. Smith"),
    ("air valve", "oil valve"),
    ("crate red", "crate green"),
    ("+", "-"),
]


def test_what_is_near_and_what_never_is() -> None:
    assert [pair for pair in NEAR if near_names(pair[0], [pair[1]]) != [pair[1]]] == []
    assert [pair for pair in TWO_THINGS if near_names(*pair[:1], pair[1:]) or near_names(*pair[1:], pair[:1])] == []


def test_the_nearest_stands_first_and_there_are_at_most_three() -> None:
    assert near_names("shelving", ["shelvign", "shelvingss", "shelvin", "shelv"]) == [
        "shelvign",
        "shelvin",
        "shelvingss",
    ]
    assert len(near_names("shlef", ["shelf", "shle", "shlefs", "chlef"])) == 3


@pytest.mark.parametrize("typed", ["Café Orsel", "cafe-orsel", "CAFE  ORSEL", "Cafe\u0301 Orsel"])
def test_case_blanks_accents_and_hyphens_make_no_other_name(typed: str) -> None:
    assert name_on_record({}, "place", typed, ["Café Orsel"]) == "Café Orsel"
    assert known_name({}, "place", typed, ["Café Orsel"]) == "Café Orsel"


def test_a_name_that_is_looked_up_is_never_taken_for_one_with_another_number() -> None:
    with pytest.raises(UnknownName) as unknown:
        known_name({}, "place", "Etagere 2", ["étagère 1"], "add it")
    assert (unknown.value.near, unknown.value.hint) == ([], "add it")
    with pytest.raises(UnknownName) as unknown:
        known_name({}, "place", "the shelf", ["shelf 1"], "add it")
    assert unknown.value.near == ["shelf 1"]


def test_a_near_name_is_refused_until_somebody_says_which_is_meant() -> None:
    meant = NamesMeant()
    info = {NAMES_MEANT: meant}
    with pytest.raises(NearName) as asked:
        name_on_record(info, "place", "shlef", ["shelf", "barn"])
    assert (asked.value.code, asked.value.near) == ("near-name", ["shelf"])

    meant.take(asked.value, "shelf")
    assert name_on_record(info, "place", "shlef", ["shelf", "barn"]) == "shelf"
    assert known_name(info, "place", "SHLEF", ["shelf", "barn"]) == "shelf"
    with pytest.raises(NearName):
        name_on_record(info, "car", "shlef", ["shelf"])
    meant.take(asked.value, "")
    assert name_on_record(info, "place", "shlef", ["shelf", "barn"]) is None
    assert name_on_record({NAMES_MEANT: NamesMeant(new=True)}, "place", "shlef", ["shelf"]) is None
    with pytest.raises(UnknownName):
        known_name(info, "place", "shlef", ["shelf", "barn"])
    assert name_on_record({}, "place", "left bay", ["right bay"]) is None
