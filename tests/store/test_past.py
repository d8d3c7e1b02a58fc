"""An anchor that was kept elsewhere is found in the record's past, whoever kept it and wherever; a foreign one is not."""

from __future__ import annotations

import gzip
import hashlib
import json
from typing import Any

import sqlalchemy as sa

from inventory.given_out.actions import written
from inventory.given_out.anchors import Anchor
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.people.actions import begin_act
from inventory.store.begin import RECORD_THING
from inventory.store.record import Record
from inventory.store.tables import JournalEntry
from inventory.verification import Verification, verify
from tests.build import BY, make_part
from tests.kept import FOLDER, restore


def _note(record: Record, tag: str, text: str) -> None:
    with record.write() as session:
        parts.note(session, BY, tag, text)


def _json(found: Verification) -> Any:
    return found.as_dict()["found"]


def test_whatever_verify_printed_is_found_with_its_day_and_what_came_later(record: Record) -> None:
    kept = []
    for number in range(5):
        tag = make_part(record)
        _note(record, tag, f"hums {number}")
        kept.append(verify(record))
    now = kept[-1].entries

    for past in kept:
        for typed in (past.anchor, past.anchor[:32]):
            found = verify(record, typed)
            assert (found.ok, found.problems) == (True, ())
            assert _json(found)["entries"] == past.entries
            assert _json(found)["later"] == now - past.entries
            assert len(_json(found)["day"]) == len("2026-03-31")
            assert found.found is not None
            assert "Nothing before it was changed since" in found.found.says
    assert "found" not in verify(record).as_dict(), "it was not asked about"


def test_what_is_of_no_state_is_not_found(record: Record) -> None:
    make_part(record)
    past = verify(record)
    _note(record, make_part(record), "hums")

    for typed in (past.anchor[::-1], "0" * 64, past.anchor[:31] + ("0" if past.anchor[31] != "0" else "1")):
        found = verify(record, typed)
        assert (found.ok, found.problems, _json(found)) == (False, (), None)


def test_an_anchor_is_gone_once_an_entry_before_it_was_written_anew(record: Record) -> None:
    tag = make_part(record)
    past = verify(record)
    _note(record, tag, "hums")
    with record.engine.begin() as plain:
        plain.execute(sa.update(JournalEntry).where(JournalEntry.sequence == 1).values(hash="0" * 64))
    assert _json(verify(record, past.anchor)) is None


def test_what_was_changed_before_a_state_that_is_found_is_said(record: Record) -> None:
    """Hashes stand as they were, so the anchor is found; what they were made of is not what it was."""
    early = verify(record)
    tag = make_part(record)
    past = verify(record)
    _note(record, tag, "hums")
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE journal SET act = 'theirs' WHERE act = 'part add'"))

    found = verify(record, past.anchor)
    assert _json(found)["concerned"] == 1
    assert found.found is not None
    assert "changed since" not in found.found.says
    assert _json(verify(record, early.anchor))["concerned"] == 0, "it lies after that state"


def test_what_the_first_version_printed_is_found_as_given_out_before_the_log(empty_target: str) -> None:
    """The record of the first revision keeps its 64 sums in its rows: that version's fingerprint was made of them."""
    restore(empty_target, "0001")
    rows = json.loads(gzip.decompress((FOLDER / "0001.json.gz").read_bytes()))["rows"]
    identity = rows["record_info"][0]["identity"]
    sums = [[row["entries"], row["sum"]] for row in sorted(rows["checkpoint"], key=lambda row: row["slot"])]
    printed = hashlib.sha256(json.dumps([identity, sums], separators=(",", ":")).encode()).hexdigest()

    record = open_record(empty_target)
    found = verify(record, printed)
    other = verify(record, "0" * 32)
    record.close()

    assert found.found is not None
    assert (found.found.entries, found.found.before_log) == (len(rows["journal"]), True)
    assert "before the log" in found.found.says
    assert other.found is not None
    assert other.found.entries is None


def test_a_paper_on_record_is_named_by_its_anchor_and_its_own_fingerprint_told_from_one(record: Record) -> None:
    make_part(record)
    past = verify(record)
    with record.write() as session:
        act = begin_act(session, "test", BY, RECORD_THING)
        kept = Anchor(past.anchor, past.entries)
        written(session, act, RECORD_THING, "condition list", 4, "ab" * 32, anchor=kept)

    found, other = verify(record, past.anchor).found, verify(record, "ab" * 16).found

    assert found is not None
    assert found.papers == ("condition list no. 4",)
    assert other is not None
    assert other.lists == ("condition list no. 4",)
    assert "no anchor but the fingerprint" in other.says
