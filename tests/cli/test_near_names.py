"""A misspelt name is asked about at a terminal, and refused with the near ones elsewhere; `--new` insists."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Shop


@pytest.fixture
def stocked(shop: Shop) -> tuple[Shop, str]:
    """A workshop that has one name of each sort; and the tag of a part in it."""
    shop.stripping()
    tag = shop.ok("teardown", "log", "--kind", "pressure sensor", "--position", "inner wing", "--seal", "cap=intact")
    shop.ok("place", "add", "shelf green")
    shop.ok("contact", "add", "Ulla Brandvesk")
    return shop, tag["part"]["tag"]


@pytest.mark.parametrize(
    ("near", "words"),
    [
        ("Green tourer", "car add|Gren tourer"),
        ("inner wing", "car position|Green tourer|inner wnig"),
        ("inner wing", "teardown log|--kind|relay|--position|inner wnig"),
        ("inner wing", "refit fit|TAG|--position|inner wnig|--override|to try it"),
        ("inner wing", "teardown stays|inner wnig|--why|rusted"),
        ("cap", "seal note|TAG|--seal|cpa|--state|intact"),
        ("cap", "teardown log|--kind|relay|--seal|cpa=intact"),
        ("cap", "fact add|seal|TAG|--set|seal=cpa|--set|state=intact"),
        ("shelf green", "place add|shelf gren"),
        ("Ulla Brandvesk", "contact add|Ulla Brandvesck"),
        ("Ulla Brandvesk", "provenance note|TAG|--how|bought|--party|Ula Brandvesk"),
        ("Ulla Brandvesk", "evidence claim|TAG|--said|tested|--by-whom|Ula Brandvesk"),
    ],
)
def test_without_a_terminal_it_is_refused_with_the_near_ones(stocked: tuple[Shop, str], near: str, words: str) -> None:
    shop, tag = stocked
    first, *rest = words.replace("TAG", tag).split("|")

    error = shop.refused(*first.split(), *rest)
    assert (error["code"], error["near"]) == ("near-name", [near])
    shop.ok(*first.split(), *rest, "--new")


@pytest.mark.parametrize(
    "words", ["place put|TAG|shelf gren", "car insure|Gren tourer|--whole", "part describe|TAG|--kind|presure sensor"]
)
def test_what_is_only_looked_up_is_refused_with_the_near_ones(stocked: tuple[Shop, str], words: str) -> None:
    shop, tag = stocked
    first, *rest = words.replace("TAG", tag).split("|")

    error = shop.refused(*first.split(), *rest)
    assert error["code"].startswith("unknown-")
    assert len(error["near"]) == 1


def test_at_a_terminal_it_is_asked(stocked: tuple[Shop, str], monkeypatch: pytest.MonkeyPatch) -> None:
    shop, tag = stocked

    said = shop.answering(
        monkeypatch,
        "1\n1\n",
        "teardown",
        "log",
        "--kind",
        "realy",
        "--position",
        "inner wnig",
        "--second",
        "both sat here",
    )
    assert 'Unknown kind "realy".\n  1  relay\n  2  none of them' in said
    assert 'The position "inner wnig" is not on record; near: inner wing.\n  1  inner wing\n  2  a new name' in said
    assert [each["name"] for each in shop.ok("car", "show", "Green tourer")["positions"]] == ["inner wing"]

    shop.answering(monkeypatch, "2\n", "seal", "note", tag, "--seal", "cpa", "--state", "missing")
    assert {each["seal"] for each in shop.card(tag)["seals"]} == {"cap", "cpa"}
    pressure = ("bench", "run", "fuel pressure", "Gren tourer", "--reading", "idle=2.0bar")
    assert "2  none of them" in shop.answering(monkeypatch, "1\n", *pressure)
    shop.answering(monkeypatch, "1\n", "place", "put", tag, "shelf gren")
    assert shop.card(tag)["place"] == "shelf green"


def test_two_cars_may_have_positions_of_near_names_and_sides_are_two(stocked: tuple[Shop, str]) -> None:
    shop, _ = stocked
    shop.ok("car", "add", "Blue coupe")
    shop.ok("car", "position", "Blue coupe", "inner wnig")
    for name in ("left headlamp", "right headlamp", "injector 1", "injector 2", "relay A", "relay B"):
        shop.ok("car", "position", "Blue coupe", name)
    assert len(shop.ok("car", "show", "Blue coupe")["positions"]) == 7
