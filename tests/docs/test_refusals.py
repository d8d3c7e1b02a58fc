"""Every refusal that the source can raise is brought about once, and says what the catalogue says."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import pytest

from inventory.cli.app import root
from inventory.cli.door import Door
from inventory.errors import Damaged, Misused, Refused
from tests.cli.conftest import NEVER
from tests.docs.commands import commands
from tests.docs.refusals import ELSEWHERE, NEVER_SEEN, codes_in_source, kept, refusals

TESTS = Path(__file__).parents[1]


def test_each_try_is_refused_as_the_catalogue_says(tmp_path: Path) -> None:
    found = sorted(refusals(tmp_path), key=lambda each: str(each["code"]))

    assert found == kept(), "look at what changed, then: python -m tests.docs.refusals"


def test_each_code_of_the_source_is_in_the_catalogue() -> None:
    caught = {each["code"] for each in kept()}
    listed = caught | ELSEWHERE.keys() | NEVER_SEEN.keys()

    assert {code: place for code, place in codes_in_source().items() if code not in listed} == {}
    assert caught & (ELSEWHERE.keys() | NEVER_SEEN.keys()) == set()


def test_every_command_that_writes_is_given_the_door_for_writing() -> None:
    for name, command in commands(root()):
        callback = inspect.unwrap(command.callback)  # type: ignore[arg-type]
        source = inspect.getsource(callback)
        if ".write() as" in source or "overwrite=overwrite" in source:
            assert f"@pass_door_for_writing\ndef {callback.__name__}(" in source or name == "bench template", name


@pytest.mark.parametrize(("code", "where"), ELSEWHERE.items())
def test_what_another_test_brings_about_is_named_there(code: str, where: str) -> None:
    assert f'"{code}"' in (TESTS / where).read_text(encoding="utf-8")


@pytest.mark.parametrize("refusal", kept(), ids=lambda refusal: refusal["try"])
def test_a_refusal_is_said_plainly(refusal: dict[str, str]) -> None:
    says = refusal["says"]
    own = re.sub('"[^"]*"', "", says)

    assert re.fullmatch(r"[a-z]+(-[a-z_]+)*", refusal["code"].replace("_", "-"))
    assert not NEVER.search(own)
    assert "nothing was" not in own.lower(), "the door says so"
    assert not says.endswith(".")
    assert len(says) < 160
    assert refusal.get("hint") != ""


@pytest.mark.parametrize(
    ("refusal", "writes", "says"),
    [
        (Refused("a", "no room"), True, "No room. Nothing was changed."),
        (Refused("a", "no room"), False, "No room."),
        (Refused("a", "part of it is there", unchanged=False), True, "Part of it is there."),
        (Misused("a", "--x takes a number"), True, "--x takes a number."),
        (Damaged("a", "a gap"), True, "A gap. Nothing was changed."),
    ],
)
def test_the_door_says_that_nothing_was_changed_where_somebody_wanted_to_write(
    refusal: Refused, writes: bool, says: str
) -> None:
    assert Door(writes=writes).sentence_of(refusal) == says
