"""Bad input: one clear line, the contract's exit status, nothing changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from inventory.parts import tags
from tests.cli.conftest import Shop


def wrong_check(tag: str) -> str:
    """The same tag with another check character of the set."""
    return tag[:-1] + next(each for each in tags.ALPHABET if each != tag[-1])


def test_a_wrong_check_character_is_refused_wherever_a_tag_is_taken(shop: Shop) -> None:
    wrong = wrong_check(shop.part())
    shop.stripping()
    shop.ok("place", "add", "B2")
    for words in (
        ["part", "show", wrong],
        ["part", "note", wrong, "seen"],
        ["part", "add", "--kind", "relay", "--tag", wrong],
        ["teardown", "log", "--kind", "relay", "--tag", wrong],
        ["seal", "note", wrong, "--seal", "cap", "--state", "intact"],
        ["bench", "history", wrong],
        ["evidence", wrong],
        ["fact", "list", wrong],
        ["pairs", wrong],
        ["pairs", "plan", "--reserve", wrong],
        ["work", "log", wrong, "--what", "cleaned"],
        ["refit", "fit", wrong, "--position", "wing"],
        ["place", "put", wrong, "B2"],
        ["value", "note", wrong, "--amount", "1", "--currency", "EUR"],
        ["provenance", "note", wrong, "--how", "bought"],
    ):
        error = shop.refused(*words)
        assert error["code"] == "tag-check"
        assert wrong in error["message"]


def test_two_characters_swapped_never_make_another_tag() -> None:
    # ISO 7064 MOD 37-2 detects every swap of neighbours
    for tag in tags.issue(200, lambda _: ()):
        bare = tag.replace("-", "")
        for place in range(1, 5):
            swapped = bare[:place] + bare[place + 1] + bare[place] + bare[place + 2 :]
            assert swapped == bare or not tags.is_tag(swapped)


@pytest.mark.parametrize("text", ["", "K", "K4127", "K4127-77", "4127K-7", "KOIL1-2", "K41.7-7", "hello", "😀" * 6])
def test_what_has_not_the_form_of_a_tag_is_refused(file_shop: Shop, text: str) -> None:
    assert file_shop.refused("part", "show", text)["code"] == "not-a-tag"


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("relais", "relay"),
        ("pressure senser", "pressure sensor"),
        ("control box", "control unit"),
        ("Injecter", "injector"),
    ],
)
def test_an_unknown_kind_is_refused_with_the_nearest(shop: Shop, typed: str, near: str) -> None:
    shop.stripping()
    tag = shop.part()
    for words in (
        ["part", "add", "--kind", typed],
        ["part", "describe", tag, "--kind", typed],
        ["teardown", "log", "--kind", typed],
        ["bench", "list", "--kind", typed],
        ["car", "position", "Green tourer", "wing", "--kind", typed],
        ["fact", "correct", "marking-1", "--set", f"kind={typed}", "--reason", "misread"],
    ):
        error = shop.refused(*words)
        assert error["code"] == "unknown-kind"
        assert near in error["hint"], words


@pytest.mark.parametrize(
    ("reading", "code"),
    [
        ("0s=50cmHgg", "no-such-unit"),
        ("0s=50 parsnips", "no-such-unit"),
        ("0s=50ohm", "wrong-dimension"),
        ("0s=50degC", "wrong-dimension"),
        ("0s=50s", "wrong-dimension"),
        ("0s=50inHg", "beyond-atmosphere"),
        ("0s=1100hPa", "beyond-atmosphere"),
        ("0s=5cmHgabs", "absolute-pressure"),
        ("0s=OL", None),
        ("0s=", "no-reading"),
        ("0s", "no-reading"),
        ("=50cmHg", "no-reading"),
        ("soon=50cmHg", "no-time"),
        ("0kg=50cmHg", "wrong-dimension"),
        ("0s=1,234cmHg", "ambiguous-number"),
        ("0s=nancmHg", None),
        ("0s=1e999cmHg", None),
        ("0s=" + "9" * 400 + "cmHg", None),
    ],
)
def test_a_reading_that_is_none_is_refused(file_shop: Shop, reading: str, code: str | None) -> None:
    tag = file_shop.part()
    error = file_shop.refused("bench", "run", "hold", tag, "--reading", reading, "--reading", "10s=48cmHg")
    assert code in (None, error["code"])


@pytest.mark.parametrize(
    "condition",
    [
        ["--volume", "60kg"],
        ["--volume", "0ml"],
        ["--ambient", "20"],
        ["--ambient", "-300degC"],
        ["--ambient", "2000degC"],
        ["--barometer", "5hPa"],
        ["--barometer", "20degC"],
        ["--resolution", "0cmHg"],
        ["--resolution", "1ohm"],
        ["--blank", "0s"],
    ],
    ids=" ".join,
)
def test_a_condition_that_is_none_is_refused(file_shop: Shop, condition: list[str]) -> None:
    tag = file_shop.part()
    readings = ["--reading", "0s=50cmHg", "--reading", "10s=48cmHg"]
    file_shop.refused("bench", "run", "hold", tag, *readings, *condition)


def test_a_run_of_the_wrong_kind_or_name_is_refused(file_shop: Shop) -> None:
    relay, sensor = file_shop.part("relay"), file_shop.part()
    assert (
        file_shop.refused("bench", "run", "hold", relay, "--reading", "0s=50cmHg")["code"] == "procedure-not-for-kind"
    )
    assert file_shop.refused("bench", "run", "hald", sensor, "--reading", "0s=50cmHg")["code"] == "unknown-procedure"
    error = file_shop.refused("bench", "run", "resistance", sensor, "--reading", "tertiary=94ohm")
    assert "primary" in error["hint"]
    file_shop.refused("bench", "run", "resistance", sensor, "--reading", "primary=94cmHg")
    file_shop.refused("bench", "run", "resistance", sensor, "--reading", "primary=9ohm", "--meter", "good")


def test_a_remark_is_kept_with_a_run(file_shop: Shop) -> None:
    tag = file_shop.part()
    file_shop.ok("bench", "run", "resistance", tag, "--reading", "primary=94ohm", "--note", "warm\x07 shop")
    assert file_shop.ok("bench", "history", tag)["runs"][0]["conditions"] == {"note": "warm shop"}


def test_a_part_logged_off_a_car_it_is_not_on_is_refused_and_says_where_it_is(shop: Shop) -> None:
    shop.stripping("Green tourer")
    shop.stripping("Blue coupe")
    off = shop.ok("teardown", "log", "--kind", "relay", "--car", "Blue coupe", "--on", "2026-02-03")["part"]["tag"]
    loose = shop.part("relay")
    shop.ok("place", "add", "Shelf B2")
    shop.ok("place", "put", loose, "Shelf B2")
    on_other = shop.part("relay")
    shop.ok("refit", "fit", on_other, "--car", "Blue coupe", "--position", "wing")
    sold = shop.part("relay")
    shop.ok("refit", "fit", sold, "--car", "Green tourer", "--position", "scuttle")
    shop.ok("provenance", "note", sold, "--how", "sold")
    for tag, code, where_it_is in (
        (off, "not-on-this-car", "Blue coupe"),
        (loose, "not-on-this-car", "Shelf B2"),
        (on_other, "not-on-this-car", "Blue coupe"),
        (sold, "part-gone", "sold"),
    ):
        error = shop.refused("teardown", "log", "--tag", tag, "--car", "Green tourer")
        assert (error["code"], where_it_is in error["message"]) == (code, True)
    answer = shop.ok("teardown", "log", "--tag", off, "--car", "Green tourer", "--override", "it was moved in May")
    assert answer["car"] == "Green tourer"
    assert shop.card(off)["removals"][-1]["reason"] == "it was moved in May"


def test_an_unknown_name_is_refused_with_the_nearest(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")
    shop.ok("place", "add", "Shelf B2")
    tag = shop.part()
    assert shop.refused("teardown", "begin", "Gren tourer")["hint"] == "did you mean Green tourer?"
    assert shop.refused("place", "put", tag, "Shlef B2")["hint"] == "did you mean Shelf B2?"
    assert shop.refused("place", "put", tag, "Shelf B3")["hint"] == 'to enter it: matchmark place add "Shelf B3"'
    assert "intact" in shop.refused("seal", "note", tag, "--seal", "cap", "--state", "intakt")["hint"]
    assert (
        "market" in shop.refused("value", "note", tag, "--amount", "1", "--currency", "EUR", "--basis", "markt")["hint"]
    )
    assert "bought" in shop.refused("provenance", "note", tag, "--how", "bougt")["hint"]
    assert "on the unit" in shop.refused("work", "log", tag, "--what", "x", "--where", "on unit")["hint"]
    assert "across" in shop.refused("car", "position", "Green tourer", "wing", "--axis", "acros")["hint"]
    assert "paperwork" in shop.refused("part", "describe", tag, "--match-code", "K",
                                       "--match-code-read-from", "paper work")["hint"]  # fmt: skip


@pytest.mark.parametrize(
    ("amount", "currency"),
    [
        ("", "EUR"), ("1,850", "EUR"), ("-1", "EUR"), ("nan", "EUR"), ("inf", "EUR"), ("1e3", "EUR"), ("0e-999999", "EUR"),
        ("1.234", "EUR"), ("1.5", "JPY"), ("1" * 20, "EUR"), ("850", "EURO"), ("850", ""), ("850", "E1R"), ("٣", "EUR"),
    ],
)  # fmt: skip
def test_what_is_no_amount_is_refused(file_shop: Shop, amount: str, currency: str) -> None:
    tag = file_shop.part()
    file_shop.refused("value", "note", tag, "--amount", amount, "--currency", currency)
    file_shop.refused("provenance", "note", tag, "--how", "bought", "--price", amount or "x", "--currency", currency)


def test_a_picture_that_is_not_there_is_refused_and_leaves_nothing(file_shop: Shop, tmp_path: Path) -> None:
    file_shop.stripping()
    (tmp_path / "a.jpg").write_bytes(b"picture")
    for missing in ("b.jpg", ".", "a.jpg/b.jpg", "b" * 300):
        words = ["teardown", "log", "--kind", "relay", "--photo", "a.jpg", "--photo", missing]
        assert file_shop.refused(*words)["code"] == "file-not-readable"
    assert file_shop.ok("part", "find")["total"] == 0


def test_words_that_say_nothing_are_refused(file_shop: Shop) -> None:
    tag = file_shop.part()
    file_shop.stripping()
    for words in (
        ["part", "add"],
        ["part", "add", "--kind", ""],
        ["part", "note", tag, " \t\x00 "],
        ["part", "describe", tag],
        ["part", "describe", tag, "--serial", " "],
        ["part", "assess", tag],
        ["part", "assess", tag, "--condition", "4"],
        ["part", "assess", tag, "--condition", "-1"],
        ["car", "add", " - . "],
        ["place", "add", ""],
        ["contact", "add", "\x00"],
        ["contact", "blank", "Nobody", "--reason", "asked"],
        ["work", "log", tag, "--what", ""],
        ["seal", "note", tag, "--seal", "", "--state", "intact"],
        ["teardown", "stays", "wing", "--why", ""],
        ["teardown", "stays", "", "--why", "seized"],
        ["refit", "fit", tag, "--position", "", "--car", "Green tourer"],
        ["fits", "add", "", "B1"],
        ["fits", "supersede", "A 1", "a-1"],
        ["fact", "withdraw", "marking-1", "--reason", "\x00"],
        ["part", "describe", tag, "--match-code", "K", "--match-code-state", "label gone"],
        ["part", "describe", tag, "--match-code-state", "read"],
    ):
        file_shop.refused(*words)


@pytest.mark.parametrize("fact", ["", "note", "note-", "note-0", "note-99", "note-999999999999999999999", "part-1",
                                  "thing-1", "journal-1", "note-1-1", "note-1.0", "note-\u0661", "'; drop table part"])  # fmt: skip
def test_an_id_that_no_fact_has_is_refused(shop: Shop, fact: str) -> None:
    tag = shop.part()
    shop.ok("part", "note", tag, "seen")
    assert shop.refused("fact", "withdraw", fact, "--reason", "why")["code"] == "no-such-fact"
    assert shop.refused("fact", "correct", fact, "--set", "text=x", "--reason", "why")["code"] == "no-such-fact"
