"""Records of earlier versions open today, on both engines: they verify, say what they said, and can be written on."""

from __future__ import annotations

import contextlib
import io
import json
from typing import Any

import pytest

from inventory.cli import main
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.queries import lines_of
from inventory.verification import verify
from tests.kept import REVISIONS_KEPT, restore


@pytest.mark.parametrize("revision", REVISIONS_KEPT)
def test_a_kept_record_opens_says_what_it_said_and_is_written_on(empty_target: str, revision: str) -> None:
    said = restore(empty_target, revision)

    record = open_record(empty_target)
    assert [problem.says for problem in verify(record).problems] == []
    for words, answer in said.items():
        assert _stable(_answer(empty_target, words)) == _stable(answer), words
    with record.write() as session:
        tag = lines_of(session)[0].tag
        parts.note(session, "Ines", tag, "seen again", on="2026-03-30")
    assert verify(record).ok
    record.close()


def test_a_record_of_the_first_revision_is_kept() -> None:
    assert "0001" in REVISIONS_KEPT


def _answer(target: str, words: str) -> Any:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        main([*words.split(" ")[:2], *_rest(words), "--record", target, "--by", "Ines", "--json"])
    return json.loads(out.getvalue())


def _rest(words: str) -> list[str]:
    rest = words.split(" ")[2:]
    return [" ".join(rest)] if words.startswith("car show") else rest


#: What an answer says of the day it was asked on, and what a list is numbered and sealed by.
_OF_TODAY = ("known_on", "fingerprint", "number")


def _stable(answer: Any) -> Any:
    if isinstance(answer, dict):
        return {name: _stable(value) for name, value in answer.items() if name not in _OF_TODAY}
    if isinstance(answer, list):
        return [_stable(each) for each in answer]
    return round(answer, 12) if isinstance(answer, float) else answer
