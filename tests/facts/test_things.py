"""Things are found by what people call them; a name that two kinds of thing bear is not guessed at."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Shop


@pytest.fixture
def barn(file_shop: Shop) -> Shop:
    """A car and a place of one name, and a part."""
    file_shop.ok("car", "add", "Blue coupe")
    file_shop.ok("place", "add", "Blue coupe")
    return file_shop


def test_facts_of_any_thing_are_listed(barn: Shop) -> None:
    tag = barn.part()
    barn.ok("car", "position", "Blue coupe", "inner wing", "--kind", "relay")

    listed = barn.ok("fact", "list", "Blue coupe / inner wing")
    assert (listed["of"], listed["thing"], listed["tag"]) == ("position", "inner wing", None)
    assert [fact["id"] for fact in listed["facts"]] == ["position_listing-1"]
    assert barn.text("fact", "list", "Ines").startswith("contact Ines\n")
    assert barn.ok("fact", "list", tag)["of"] == "part"


def test_of_two_things_of_one_name_it_is_asked_which(barn: Shop) -> None:
    words = ("fact", "add", "note", "Blue coupe", "--set", "text=dusty")
    for each in (words, ("fact", "list", "Blue coupe")):
        error = barn.refused(*each, status=2)
        assert (error["code"], error["hint"]) == ("several-things", "say which with --of: --of 'place'")

    assert barn.ok(*words, "--of", "car")["fact"] == "note-1"
    assert [fact["id"] for fact in barn.ok("fact", "list", "Blue coupe", "--of", "car")["facts"]] == [
        "car_description-1",
        "note-1",
    ]
    assert barn.refused(*words, "--of", "barn")["code"] == "unknown-kind-of-thing"
    told_of_none = ("fact", "add", "seal", "Blue coupe", "--set", "seal=cap", "--set", "state=intact", "--of", "car")
    assert barn.refused(*told_of_none, status=2)["code"] == "fact-of-no-thing"


@pytest.mark.parametrize(
    ("typed", "code", "hinted"),
    [
        ("Blue coup", "unknown-car", "Blue coupe"),
        ("zzz", "not-a-tag", ""),
        ("K4127-8", "tag-check", "matchmark part find"),
        ("K4127-7", "no-such-part", "matchmark part find"),
    ],
)
def test_a_name_that_nothing_bears_is_refused_with_what_is_near(
    file_shop: Shop, typed: str, code: str, hinted: str
) -> None:
    file_shop.ok("car", "add", "Blue coupe")
    error = file_shop.refused("fact", "list", typed)
    assert error["code"] == code
    assert hinted in (error["hint"] or "")
