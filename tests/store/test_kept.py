"""Records of earlier versions open today, on both engines: they verify, answer what they answered, and can be written on."""

from __future__ import annotations

import contextlib
import io
import json
from typing import Any

import pytest
import sqlalchemy as sa

from inventory import opening
from inventory.cli import main
from inventory.facts import take_back
from inventory.facts.views import facts_of
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.queries import lines_of
from inventory.store.connection.version import REVISIONS
from inventory.store.tables import JournalEntry
from inventory.verification import verify
from tests.kept import REVISIONS_KEPT, restore

#: One with entries of the first form, one with entries as they are written today.
OLDEST_AND_NEWEST = (REVISIONS_KEPT[0], REVISIONS_KEPT[-1])


@pytest.mark.parametrize("revision", REVISIONS_KEPT)
def test_a_kept_record_opens_says_what_it_said_and_is_written_on(empty_target: str, revision: str) -> None:
    said = restore(empty_target, revision)

    record = open_record(empty_target)
    assert [problem.says for problem in verify(record).problems] == []
    for words, answer in said.items():
        assert _as_far_as(answer, _stable(_answer(empty_target, words))) == _stable(answer), words
    with record.write() as session:
        tag = lines_of(session)[0].tag
        parts.note(session, "Ines", tag, "seen again", on="2026-03-30")
    assert verify(record).ok
    record.close()


def test_an_upgrade_that_is_stopped_leaves_the_record_as_it_was(
    empty_target: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    restore(empty_target, "0004")
    with monkeypatch.context() as patch:
        patch.setattr(opening, "_follow_rules", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            open_record(empty_target)

    record = open_record(empty_target)
    assert record.brought_up_from == "0004"
    assert verify(record).problems == ()
    record.close()


@pytest.mark.parametrize("revision", OLDEST_AND_NEWEST)
def test_what_is_changed_in_a_kept_record_is_named_with_its_entry(empty_target: str, revision: str) -> None:
    """The entries are of the form they were written in; what they say is compared as before."""
    restore(empty_target, revision)
    record = open_record(empty_target)
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE car SET year = '1973'"))
        plain.execute(sa.text("UPDATE work SET superseded_by = 'note-1'"))
        plain.execute(sa.text("DELETE FROM reservation"))
    named = {(each.table, each.column, each.entry is not None) for each in verify(record).problems}
    assert {("car", "year", True), ("work", "superseded_by", True), ("reservation", None, True)} <= named
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE journal SET images = '[]' WHERE act = 'seal note'"))
    assert any(each.table == "journal" for each in verify(record).problems)
    record.close()


@pytest.mark.parametrize("revision", OLDEST_AND_NEWEST)
def test_an_act_of_a_kept_record_is_taken_back_and_returns(empty_target: str, revision: str) -> None:
    restore(empty_target, revision)
    record = open_record(empty_target)
    with record.read() as session:
        key, fact = session.execute(
            sa.select(JournalEntry.act_key, JournalEntry.thing_id).where(JournalEntry.act == "seal note").limit(1)
        ).one()
        hand = "Ines"
        past = take_back.last_act(session, hand, [key])
        before = [view.values for view in facts_of(session, fact)]
    assert past is not None
    assert past.counts == {"seal_sighting": 1}

    for _ in range(2):
        with record.read() as session:
            last = take_back.last_act(session, hand, [key, *record.acts])
        assert last is not None
        with record.write() as session:
            take_back.withdraw_act(session, hand, last.key, "to see")

    with record.read() as session:
        assert [view.values for view in facts_of(session, fact)] == before
    assert verify(record).problems == ()
    record.close()


def test_a_record_of_every_revision_is_kept() -> None:
    assert REVISIONS_KEPT == REVISIONS, "python -m tests.kept.make FOLDER, when the revision is finished"


def _answer(target: str, words: str) -> Any:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        main([*words.split(" ")[:2], *_rest(words), "--record", target, "--by", "Ines", "--json"])
    return json.loads(out.getvalue())


def _rest(words: str) -> list[str]:
    rest = words.split(" ")[2:]
    if words.startswith("condition-list") and "--for" not in rest:
        rest += ["--for", "owner"]  # until 0006 there was one list, with all in it
    return [" ".join(rest)] if words.startswith("car show") else rest


#: What an answer says of the day it was asked on, and what a list is numbered and sealed by.
_OF_TODAY = ("known_on", "fingerprint", "number")
#: Sentences may be said better in a later version.
_SENTENCES = ("says", "rule", "next_step", "message", "hint", "stands")
#: Judgements are computed, never kept, so better rules judge old facts as well.
_JUDGED = (
    *("verdict", "figures", "reasons", "weight", "stale", "modes", "coverage", "grade"),
    *("p_serviceable", "p_both_serviceable", "gaps"),
)


def _as_far_as(known: Any, now: Any) -> Any:
    """What is said now, without the keys that commands have got since."""
    if isinstance(known, dict) and isinstance(now, dict):
        return {name: _as_far_as(known[name], value) for name, value in now.items() if name in known}
    if isinstance(known, list) and isinstance(now, list) and len(known) == len(now):
        return [_as_far_as(one, other) for one, other in zip(known, now, strict=True)]
    return now


def _stable(answer: Any) -> Any:
    if isinstance(answer, dict):
        return {
            name: _stable(value) for name, value in answer.items() if name not in (*_OF_TODAY, *_SENTENCES, *_JUDGED)
        }
    if isinstance(answer, list):
        return [_stable(each) for each in answer]
    return round(answer, 12) if isinstance(answer, float) else answer
