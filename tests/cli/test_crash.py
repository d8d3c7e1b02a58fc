"""The program itself breaks: a sentence, a status of its own, and what happened kept where only its owner reads."""

from __future__ import annotations

import json
import sqlite3
import stat
from pathlib import Path
from typing import Any

import pytest

from inventory.cli.app import _answer
from inventory.cli.door import Door
from inventory.parts import actions
from tests.cli.conftest import Shop, file_shop, sentence_for_people

__all__ = ["file_shop"]

EX_SOFTWARE = 70  # sysexits.h, as 4.0BSD and POSIX systems ship it (memory)


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every part that is entered finds a cog missing once its rows are written, before they are committed."""
    written = actions.write

    def record(*given: Any, **named: Any) -> None:
        written(*given, **named)
        raise RuntimeError("a cog is missing")

    monkeypatch.setattr(actions, "write", record)


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """Where what happened is kept."""
    return tmp_path / "state" / "matchmark" / "log" / "stopped.log"


def test_a_break_is_one_sentence_and_a_status_of_its_own(shop: Shop, broken: None, log: Path) -> None:
    error = shop.refused("part", "add", "--kind", "relay", status=EX_SOFTWARE)

    assert error["code"] == "program-stopped"
    assert error["unchanged"]
    assert error["where"] == str(log)
    assert str(log) in error["hint"]


def test_what_happened_is_kept_for_its_owner_alone(shop: Shop, broken: None, log: Path) -> None:
    shop.run("part", "add", "--kind", "relay")
    shop.run("part", "add", "--kind", "relay")

    assert stat.S_IMODE(log.stat().st_mode) == 0o600
    assert stat.S_IMODE(log.parent.stat().st_mode) == 0o700
    assert log.read_text().count("RuntimeError: a cog is missing") == 2
    assert "part add --kind relay" in log.read_text()


@pytest.mark.parametrize(
    ("address", "secrets"),
    [
        ("postgresql://ines:hunter2@h/r", ["hunter2"]),
        ("postgresql://ines:p%40ss@h/r", ["p%40ss", "p@ss"]),
        ("postgresql://h/r?user=ines&password=hunter2", ["hunter2"]),
        ("postgresql://ines:a/b:c@h/r", ["a/b:c"]),
    ],
)
def test_no_password_is_kept_or_shown(
    file_shop: Shop, log: Path, monkeypatch: pytest.MonkeyPatch, address: str, secrets: list[str]
) -> None:
    def tell(target: str, *_: object) -> None:
        raise RuntimeError(f"no way to {target}, with {secrets[-1]}")

    monkeypatch.setattr("inventory.opening.open_record", tell)
    monkeypatch.setenv("MATCHMARK_TRACEBACK", "1")

    said = file_shop.bare("part", "add", "--kind", "relay", "--record", address)

    assert said.status == EX_SOFTWARE
    assert "no way to postgresql://" in log.read_text()
    for secret in secrets:
        assert secret not in said.out + said.err + log.read_text()


def test_the_traceback_is_printed_where_it_is_asked_for(
    file_shop: Shop, broken: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MATCHMARK_TRACEBACK", "1")

    said = file_shop.run("part", "add", "--kind", "relay", "--json")

    assert "RuntimeError: a cog is missing" in said.err
    assert said.json["error"]["code"] == "program-stopped"


def test_after_a_write_it_does_not_say_that_nothing_was_written(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as broken:
        broken.setattr("inventory.cli.app._answer", _answered_and_broken)
        said = shop.run("part", "add", "--kind", "relay")

    assert said.status == EX_SOFTWARE
    assert "after it had written to the record; what it wrote is kept" in said.err
    assert "nothing was" not in said.err.lower()
    sentence_for_people(said.err)
    assert shop.ok("part", "find")["total"] == 1


def _answered_and_broken(argv: list[str], door: Door) -> int:
    _answer(argv, door)
    raise RuntimeError("a cog is missing")


def test_where_no_log_can_be_written_it_says_how_to_see_it(
    file_shop: Shop, broken: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))

    error = file_shop.refused("part", "add", "--kind", "relay", status=EX_SOFTWARE)

    assert error["where"] is None
    assert "MATCHMARK_TRACEBACK=1" in error["hint"]


@pytest.mark.parametrize("extra", ["[1]", "5", '{"a":5}', '{"a":[1]}'])
def test_a_value_put_in_from_outside_is_no_break_of_the_program(file_shop: Shop, extra: str) -> None:
    tag = file_shop.part("relay")
    with sqlite3.connect(file_shop.target) as held:
        held.execute("UPDATE part SET extra = ?", (extra,))
    held.close()
    for words in (["part", "show", tag], ["sheet", "write", f"{file_shop.target}.xlsx"]):
        said = file_shop.run(*words, "--json")
        if said.status != 0:
            error = json.loads(said.out)["error"]
            assert (said.status, error["code"]) == (3, "record-damaged")
            assert f"{tag}, " in error["message"]
    assert file_shop.run("part", "show", tag).status == (3 if extra in ("[1]", "5") else 0)
