"""What holds for every command: where options stand, which stream says what, days and hands."""

from __future__ import annotations

import getpass
import json
from datetime import date, timedelta
from pathlib import Path

import pytest

import inventory.cli.app
from inventory.store.days import clock
from tests.cli.conftest import NEVER, Shop, sentence_for_people

TOMORROW = (date.today() + timedelta(days=1)).isoformat()
USAGE = [
    [],
    ["prat"],
    ["car"],
    ["car", "ad"],
    ["part", "show"],
    ["part", "show", "K4127-7", "K4127-7"],
    ["part", "find", "--shelf", "B2"],
    ["part", "add", "--serial"],
    ["part", "add", "--kind", "relay", "--condition", "good"],
    ["car", "position", "Green tourer", "wing", "--ordinal", "0"],
    ["car", "position", "Green tourer", "wing", "--ordinal", "99999999999999999999"],
    ["fact", "withdraw", "note-1"],
    ["fact", "correct", "note-1", "--set", "text", "--reason", "why"],
    ["teardown", "log", "--kind", "relay", "--seal", "intact"],
    ["pairs", "plan", "extra"],
    ["seal", "note", "K4127-7", "--seal", "cap"],
    ["bench", "run", "hold", "K4127-7"],
]


@pytest.mark.parametrize("words", USAGE, ids=" ".join)
def test_a_command_put_wrongly_is_answered_in_our_own_words(file_shop: Shop, words: list[str]) -> None:
    if words == ["teardown", "log", "--kind", "relay", "--seal", "intact"]:
        file_shop.stripping()
    assert file_shop.refused(*words, status=2)["message"]


@pytest.mark.parametrize(
    "words",
    [
        ["--json", "car", "list"],
        ["car", "--json", "list"],
        ["car", "list", "--json"],
        ["part", "find", "--json", "hv", "204"],
        ["part", "find", "hv", "--json", "204"],
        ["pairs", "--json", "plan"],
        ["pairs", "--json"],
        ["fact", "list", "--json", "K4127-7"],
        ["--help", "--json"],
        ["car", "add", "--json", "--help"],
        ["--version", "--json"],
    ],
    ids=" ".join,
)
def test_json_stands_anywhere_and_gives_one_document(file_shop: Shop, words: list[str]) -> None:
    said = file_shop.run(*words)
    assert isinstance(said.json, dict)
    assert (said.status == 0) == (said.err == ""), "stderr is for what went wrong"


def test_after_two_dashes_it_is_a_word_like_any_other(file_shop: Shop) -> None:
    tag = file_shop.part(serial="a--json")
    said = file_shop.run("part", "find", "--", "--json")
    assert said.status == 0
    assert tag in said.out
    assert not said.out.startswith("{")


def test_an_interrupted_command_says_so_once(file_shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(inventory.cli.app.Root, "invoke", stopped)
    said = file_shop.run("car", "list", "--json")
    assert said.status == 130
    assert said.json["error"]["code"] == "interrupted"
    assert NEVER.search(said.err) is None


def test_the_record_stands_before_or_after_or_in_the_environment(
    file_shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    file_shop.ok("car", "add", "Green tourer")
    places = [
        ["--record", file_shop.target, "car", "list"],
        ["car", "--record", file_shop.target, "list"],
        ["car", "list", "--record", file_shop.target],
        ["car", "list", f"--record={file_shop.target}"],
    ]
    answers = [file_shop.bare(*words).out for words in places]
    monkeypatch.setenv("MATCHMARK_RECORD", file_shop.target)
    answers.append(file_shop.bare("car", "list").out)
    assert answers == [answers[0]] * 5
    assert "Green tourer" in answers[0]


def test_a_named_record_goes_before_the_environment(file_shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MATCHMARK_RECORD", "elsewhere.db")
    assert file_shop.ok("car", "list") == {"cars": []}


def test_without_a_name_the_record_is_in_the_folder_for_own_data(file_shop: Shop, tmp_path: Path) -> None:
    assert file_shop.bare("new").status == 0
    (made,) = (tmp_path / "data").rglob("*.db")
    assert made.stat().st_mode & 0o777 == 0o600


def test_who_works_is_named_or_taken_from_the_environment_or_the_login(
    file_shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    tag = file_shop.part()
    file_shop.ok("part", "note", tag, "first", "--by", "Piet")
    file_shop.ok("--by", "Piet", "part", "note", tag, "second")
    file_shop.ok("part", "note", tag, "third")
    monkeypatch.delenv("MATCHMARK_BY")
    monkeypatch.setattr(getpass, "getuser", lambda: "login")
    file_shop.ok("part", "note", tag, "fourth")

    def nobody() -> str:
        raise OSError

    monkeypatch.setattr(getpass, "getuser", nobody)
    file_shop.ok("part", "note", tag, "fifth")
    file_shop.ok("part", "note", tag, "sixth", "--by", "")
    file_shop.ok("part", "note", tag, "seventh", "--by", " \x07 ")
    hands = [note["by"] for note in file_shop.card(tag)["notes"]]
    assert hands == ["Piet", "Piet", "Ines", "login", "unknown", "unknown", "unknown"]


def test_today_is_taken_where_no_day_is_given(file_shop: Shop) -> None:
    tag = file_shop.part()
    file_shop.ok("part", "note", tag, "seen")
    assert file_shop.card(tag)["notes"][0]["on"] == clock.today().isoformat()


@pytest.mark.parametrize(
    "words",
    [
        ["car", "add", "Blue coupe"],
        ["teardown", "begin", "Green tourer"],
        ["part", "add", "--kind", "relay"],
        ["part", "note", "TAG", "seen"],
        ["part", "describe", "TAG", "--serial", "9"],
        ["part", "assess", "TAG", "--condition", "1"],
        ["seal", "note", "TAG", "--seal", "cap", "--state", "intact"],
        ["bench", "run", "resistance", "TAG", "--reading", "primary=94ohm"],
        ["work", "log", "TAG", "--what", "cleaned"],
        ["value", "note", "TAG", "--amount", "1", "--currency", "EUR"],
        ["provenance", "note", "TAG", "--how", "bought"],
        ["place", "add", "B3"],
        ["place", "put", "TAG", "B2"],
        ["contact", "add", "Petra"],
        ["refit", "fit", "TAG", "--position", "wing", "--car", "Green tourer"],
        ["fits", "add", "A1", "B1"],
        ["fits", "supersede", "A1", "B1"],
        ["car", "insure", "Green tourer"],
        ["car", "position", "Green tourer", "wing"],
    ],
    ids=lambda words: " ".join(words[:2]),
)
def test_a_day_still_to_come_is_refused_by_every_command(file_shop: Shop, words: list[str]) -> None:
    tag = file_shop.part()
    file_shop.ok("car", "add", "Green tourer")
    file_shop.ok("place", "add", "B2")
    named = [tag if word == "TAG" else word for word in words]
    assert file_shop.refused(*named, "--on", TOMORROW)["code"] == "date-in-the-future"
    file_shop.ok(*named, "--on", "about 1998")


@pytest.mark.parametrize("day", ["2025-02-29", "2026-13-01", "2026-00-10", "yesterday", "31.3.2026", "2026-3-1", "1e4"])
def test_what_is_no_day_is_refused(file_shop: Shop, day: str) -> None:
    tag = file_shop.part()
    assert file_shop.refused("part", "note", tag, "seen", "--on", day)["code"] == "not-a-date"


@pytest.mark.parametrize(("told", "shown"), [("about 1998", "1998~"), ("spring 1999", "1999-21"), ("196x", None)])
def test_a_vague_day_comes_back_as_it_is_kept(file_shop: Shop, told: str, shown: str | None) -> None:
    tag = file_shop.part()
    if shown is None:
        assert file_shop.refused("part", "note", tag, "seen", "--on", told)["code"] == "not-a-date"
        return
    file_shop.ok("part", "note", tag, "seen", "--on", told)
    (note,) = file_shop.card(tag)["notes"]
    assert (note["on"], note["told"]) == (shown, told)


def test_a_tag_is_taken_with_or_without_its_dash_in_either_case_and_shown_as_printed(shop: Shop) -> None:
    tag = shop.part("relay")
    for typed in (tag, tag.replace("-", ""), tag.lower(), f" {tag.lower().replace('-', '')} "):
        assert shop.card(typed)["tag"] == tag
        for words in (
            ["part", "note", typed, "seen"],
            ["part", "describe", typed, "--serial", "7"],
            ["part", "assess", typed, "--condition", "1"],
            ["seal", "note", typed, "--seal", "case label", "--state", "intact"],
            ["work", "log", typed, "--what", "dusted"],
            ["value", "note", typed, "--amount", "3", "--currency", "EUR"],
            ["evidence", typed],
        ):
            assert shop.ok(*words)["tag"] == tag
            assert tag in shop.text(*words)
        assert shop.ok("fact", "list", typed)["tag"] == tag
        assert shop.ok("bench", "history", typed)["tag"] == tag


def test_json_carries_characters_or_their_escapes_as_the_stream_allows(
    file_shop: Shop, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    tag = file_shop.part(maker="Östrell 🔧")
    for encoding in ("ascii", "latin-1", "cp1252", "utf-8"):
        path = tmp_path / f"out-{encoding}"
        with path.open("w", encoding=encoding) as stream:
            monkeypatch.setattr("sys.stdout", stream)
            assert inventory.cli.main(["--record", file_shop.target, "part", "show", tag, "--json"]) == 0
            monkeypatch.undo()
        assert json.loads(path.read_text(encoding=encoding))["maker"] == "Östrell 🔧"


def test_a_warning_goes_to_stderr_and_the_command_is_done(file_shop: Shop) -> None:
    tag = file_shop.part()
    said = file_shop.run("seal", "note", tag, "--seal", "Cap", "--state", "Renewed", "--json")
    assert said.status == 0
    assert said.json["seal_state"] == "disturbed"
    assert said.json["state"] == "renewed"
    assert sentence_for_people(said.err.replace("--document", "--document.")).startswith("Note:")
