"""What a list says beside what is there: the words, and the shipped lists."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any

import pytest

from inventory.build_lists.compare import PartThere, compare
from inventory.build_lists.positions import positions_of
from inventory.cars.queries import PositionView
from inventory.reference.data import PROGRAM
from inventory.reference.workshop.entry_rules import check_meaning
from inventory.reference.workshop.entry_shapes import EntryError, check_shapes
from inventory.store.words.text import squeeze

VIEW = PositionView(1, "inner wing", kind="pressure sensor", part_number="HV 204 118", numbers=("HV 204 119",))
BARE = PositionView(2, "somewhere")


def part(number: str | None = "hv204-118", kind: str | None = "pressure sensor", **more: object) -> PartThere:
    return PartThere("K4127-7", kind, number, **{"fitted": False, **more})  # type: ignore[arg-type]


def checked(data: dict[str, Any]) -> None:
    check_shapes(data)
    check_meaning(data)


@pytest.mark.parametrize(
    ("view", "parts", "strip_down", "stays", "states"),
    [
        (VIEW, [], "", "", ["unknown"]),
        (VIEW, [], "open", "", ["still on"]),
        (VIEW, [], "closed", "", ["missing"]),
        (VIEW, [], "closed", "stud seized", ["still on"]),
        (VIEW, [part(fitted=True)], "", "", ["on"]),
        (VIEW, [part(fitted=True)], "open", "", ["still on"]),
        (VIEW, [part()], "closed", "", ["off"]),
        (VIEW, [part("HV 204 119")], "open", "", ["off"]),
        (VIEW, [part(gone="sold")], "closed", "", ["missing"]),
        (VIEW, [part("HV 204 130")], "open", "", ["off", "foreign"]),
        (VIEW, [part("HV 204 117")], "open", "", ["off"]),  # replaced by 118
        (VIEW, [part(kind="relay", number=None)], "open", "", ["off", "foreign"]),
        (VIEW, [part(number=None)], "open", "", ["off", "unknown"]),
        (VIEW, [part(kind=None, number=None)], "open", "", ["off", "unknown"]),
        (VIEW, [part(failed=("hold",))], "open", "", ["off", "failed"]),
        (VIEW, [part(fitted=True), part("HV 204 130")], "closed", "", ["on"]),  # the other was there before
        (BARE, [part("HV 204 130")], "open", "", ["off", "not listed"]),
    ],
)
def test_each_word_means_what_is_said_of_it(
    view: PositionView, parts: list[PartThere], strip_down: str, stays: str, states: list[str]
) -> None:
    replaced = {squeeze("HV 204 117"): squeeze("HV 204 118")}
    found = compare(view, parts, strip_down=strip_down, stays=stays, family=lambda number: replaced.get(number, number))
    assert list(found.states) == states


def test_shipped_lists_follow_the_rules_for_a_workshops_own_and_have_no_numbers() -> None:
    for file in (files("inventory.reference") / "build_lists").iterdir():
        checked(tomllib.loads(file.read_text(encoding="utf-8")))
    for each in PROGRAM.build_lists:
        assert each.source == "no source"
        assert not any(position.part_number or position.numbers for position in each.positions)


def test_what_every_cylinder_has_is_numbered_and_sits_behind_its_own() -> None:
    own = {
        "build_list": [
            {
                "name": "six",
                "source": "own",
                "position": [
                    {"name": "plug", "kind": "other", "each_cylinder": True},
                    {"name": "injector", "kind": "injector", "each_cylinder": True, "behind": ["plug"]},
                    {"name": "rail", "kind": "other", "behind": ["injector"]},
                ],
            }
        ]
    }
    checked(own)
    (ready,) = [each for each in type(PROGRAM)(own=own).build_lists if each.name == "six"]
    made = dict(positions_of(ready, 2))
    assert list(made) == ["plug 1", "plug 2", "injector 1", "injector 2", "rail"]
    assert (made["injector 2"]["behind"], made["rail"]["behind"]) == ("plug 2", "injector 1; injector 2")
    assert [columns["ordinal"] for columns in made.values()] == [1, 2, 3, 4, 5]


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"kind": "relais"}, "relay"),
        ({"kind": "relay", "axis": "acros"}, "across"),
        ({"kind": "relay", "behind": ["horn"]}, "unknown position of this list"),
        ({"kind": "relay", "bolts": "3"}, "unknown key"),
    ],
)
def test_a_wrong_entry_of_a_workshops_own_list_is_refused(wrong: dict[str, object], says: str) -> None:
    own = {"build_list": [{"name": "six", "source": "own", "position": [{"name": "wing", **wrong}]}]}
    with pytest.raises(EntryError) as refused:
        checked(own)
    assert says in refused.value.says
