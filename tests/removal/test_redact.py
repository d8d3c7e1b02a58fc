"""Words removed for good: from rows and entries; the chain and the log still fit, and any other change is found."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from inventory.declared import DECLARED
from inventory.errors import Refused
from inventory.facts import change
from inventory.facts import redact as redacting
from inventory.facts.free_texts import REMOVED, free_texts
from inventory.facts.redact import redact
from inventory.given_out.load_checked import checked_state
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.places import actions as places
from inventory.seals import actions as seals
from inventory.store.journal.cut import cut_entries
from inventory.store.journal.images import entry_hash
from inventory.store.journal.log import head_of
from inventory.store.record import Record
from inventory.store.tables import JournalEntry
from inventory.verification import verify
from tests.build import BY, make_part, whole_record
from tests.kept import REVISIONS_KEPT, restore

NAME = "Karl Vossberg"
MARKS = Markings(kind="relay", marks=f"dot by {NAME}", extra={f"from {NAME}": f'{NAME} "the elder"', "row": "9"})


@pytest.fixture
def tag(record: Record) -> str:
    """A part whose marks, leftovers of a sheet and notes name somebody; one note was corrected."""
    tag = make_part(record, MARKS)
    with record.write() as session:
        note = parts.note(session, BY, tag, f"bought from {NAME}, cash")
        parts.note(session, BY, tag, "hums")
        change.correct(session, BY, note, {"text": f"bought from {NAME}, by cheque"}, f"{NAME} said so")
    return tag


def said(record: Record) -> str:
    """All that rows of facts and things, the journal and the search texts say."""
    tables = [
        each for each in sa.inspect(record.engine).get_table_names() if each not in ("personal", "alembic_version")
    ]
    with record.read() as session:
        return "\n".join(
            str(tuple(row)) for each in tables for row in session.execute(sa.text(f"SELECT * FROM {each}"))
        )


def removed(record: Record, fact: str, words: str = NAME, **how: Any) -> Any:
    with record.write() as session:
        return redact(session, BY, fact, "asked for it", words=words, **how)


def test_words_go_from_rows_entries_and_search_text_and_the_record_fits(record: Record, tag: str) -> None:
    with record.read() as session:
        before = head_of(session)
    for fact in ("marking-1", "note-1", "note-3"):
        removed(record, fact)

    assert "ossberg" not in said(record)
    found = verify(record)
    assert (found.problems, found.words_removed) == ((), 3)
    with record.read() as session:
        size, _ = head_of(session)
        rows = session.execute(sa.text("SELECT marks, extra FROM part")).all()
        notes = session.scalars(sa.text("SELECT text FROM note ORDER BY id")).all()
    assert size == before[0] + 3
    assert rows == [(f"dot by {REMOVED}", f'{{"from {REMOVED}":"{REMOVED} \\"the elder\\"","row":"9"}}')]
    assert notes == [f"bought from {REMOVED}, cash", "hums", f"bought from {REMOVED}, by cheque"]


def test_facts_are_corrected_and_taken_back_after_words_were_removed(record: Record, tag: str) -> None:
    for fact in ("marking-1", "note-1", "note-3"):
        removed(record, fact)
    with record.write() as session:
        change.correct(session, BY, "note-3", {"text": "bought for cash"}, "misheard")
        change.withdraw(session, BY, "note-4", "wrong part")
        change.correct(session, BY, "marking-1", {"maker": "Halvard"}, "misread")
    assert verify(record).problems == ()
    with pytest.raises(Refused, match="cannot be brought back"), record.write() as session:
        change.withdraw(session, BY, "redaction-1", "why not")


def test_what_another_fact_still_says_stays_in_the_row_and_its_own_column_only_is_cut(record: Record) -> None:
    tag = make_part(record, Markings(kind="relay", marks="K", maker="K"))
    with record.write() as session:
        anew = change.correct(session, BY, "marking-1", {"serial": "12"}, "read again")
        parts.note(session, BY, tag, "K")
    removed(record, "note-1", words=None, column="text")
    removed(record, "marking-1", "K")
    with record.read() as session:
        assert session.execute(sa.text("SELECT marks, maker FROM part")).one() == ("K", "K")
    assert verify(record).problems == ()
    removed(record, anew, "K")
    with record.read() as session:
        assert session.execute(sa.text("SELECT marks, maker FROM part")).one() == (REMOVED, "K")
    assert verify(record).problems == ()


def test_words_removed_twice_from_one_entry(record: Record, tag: str) -> None:
    removed(record, "note-1", "cash")
    removed(record, "note-1", "bought")
    removed(record, "note-1", column="text", words=None)
    with record.read() as session:
        assert session.scalar(sa.text("SELECT text FROM note WHERE id = 1")) == REMOVED
    found = verify(record)
    assert (found.problems, found.words_removed) == ((), 1)


def test_every_free_text_of_every_table_can_be_removed(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    whole_record(record, tmp_path)
    tried = 0
    with record.write() as session:
        for table in [each.name for each in (*DECLARED.facts, *DECLARED.things)]:
            row = session.execute(sa.text(f"SELECT * FROM {table} ORDER BY id LIMIT 1")).mappings().one()
            for column, how in free_texts(DECLARED, table).items():
                if row[column] is not None and how is None and column != "name_folded":
                    tried += 1
                    with contextlib.suppress(Refused), session.begin_nested():
                        redact(session, BY, f"{table}-{row['id']}", "asked for", words=row[column], column=column)
    assert tried > 60
    found = verify(record)
    assert (found.problems, found.words_removed > 20) == ((), True)
    record.close()


def _entry(record: Record, images: str) -> dict[str, Any]:
    with record.read() as session:
        query = sa.select(JournalEntry.__table__).where(JournalEntry.images.contains(images))
        return dict(session.execute(query.order_by(JournalEntry.sequence).limit(1)).mappings().one())


def run(record: Record, sql: str, **values: Any) -> None:
    with record.engine.begin() as plain:
        plain.execute(sa.text(sql), values)


def test_any_other_change_in_a_cut_entry_is_found(record: Record, tag: str) -> None:
    removed(record, "note-1")
    entry = _entry(record, f"{REMOVED}, cash")
    for column, value in {
        "images": entry["images"].replace(", cash", ", coin"),
        "act": "part notes",
        "at": entry["at"].replace("Z", "")[:-1] + "9Z",
        "act_key": entry["act_key"][::-1],
        "hash": entry["hash"][::-1],
        "previous": entry["previous"][::-1],
    }.items():
        sql = f"UPDATE journal SET {column} = :value WHERE thing_id = :thing_id AND sequence = :sequence"
        run(record, sql, **entry | {"value": value})
        assert any(each.table == "journal" for each in verify(record).problems), column
        run(record, sql, **entry | {"value": entry[column]})
    assert verify(record).ok


def test_a_redaction_that_was_put_in_or_taken_out_from_outside_is_found(record: Record, tag: str) -> None:
    entry = _entry(record, f"{NAME}, cash")
    removed(record, "marking-1")
    images = entry["images"].replace(NAME, "Otto Krahn")
    run(record, "UPDATE journal SET images = :images WHERE hash = :hash", images=images, hash=entry["hash"])
    run(record, "UPDATE note SET text = 'bought from Otto Krahn, cash' WHERE id = 1")
    left = entry_hash({**entry, "images": images})
    names = "thing_id, so_from, earliest, latest, counts_from, recorded, recorded_on, ranked, by_id, how_known"
    run(
        record,
        "INSERT INTO redaction (id, entry_thing, entry_sequence, of_table, of_key, of_column, left_digest, "
        f"{names}) SELECT 99, :thing, :sequence, 'note', 1, 'text', :left, {names} FROM redaction WHERE id = 1",
        thing=entry["thing_id"], sequence=entry["sequence"], left=left,
    )  # fmt: skip
    assert {each.table for each in verify(record).problems} == {"journal", "redaction"}

    run(record, "DELETE FROM redaction")
    assert {each.table for each in verify(record).problems} == {"journal", "redaction"}


def test_what_is_no_free_text_is_left_alone(record: Record, tag: str) -> None:
    for how, code in (
        ({"column": "maker"}, "not-a-free-text"),
        ({"column": "thing id"}, "not-a-free-text"),
        ({"column": "colour"}, "unknown-column"),
        ({"words": "Otto"}, "words-not-there"),
        ({"words": " "}, "no-words"),
        ({"words": None}, "no-words"),
    ):
        with pytest.raises(Refused) as refusal:
            removed(record, "marking-1", **{"words": NAME, **how})
        assert refusal.value.code == code
    with record.write() as session:
        places.add_place(session, BY, f"shelf of {NAME}", premises="workshop")
    with pytest.raises(Refused, match="is the name of the place now"):
        removed(record, "place_description-1")
    with record.write() as session:
        places.describe_place(session, BY, f"shelf of {NAME}", new_name="shelf 4")
    removed(record, "place_description-1")
    assert "shelf of Karl" not in said(record)
    assert "shelfofkarl" not in said(record)
    assert verify(record).problems == ()


def test_words_are_removed_from_entries_of_the_first_form(tmp_path: Path) -> None:
    target = str(tmp_path / "old.db")
    restore(target, REVISIONS_KEPT[0])
    record = open_record(target)
    with record.read() as session:
        query = "SELECT id, text FROM note WHERE thing_id IN (SELECT thing_id FROM journal WHERE form IS NULL)"
        key, text = session.execute(sa.text(f"{query} ORDER BY id LIMIT 1")).one()
    done = removed(record, f"note-{key}", text)
    assert text not in said(record)
    found = verify(record)
    assert (found.problems, found.words_removed >= done.entries > 0) == ((), True)
    record.close()


@pytest.fixture
def anchored(record: Record, tag: str) -> str:
    """The anchor of a record with a seal that was found missing."""
    with record.write() as session:
        seals.note_seal(session, BY, tag, "cap", "missing")
    return verify(record).anchor


def forged(record: Record, monkeypatch: pytest.MonkeyPatch, said_of: str) -> None:
    """By the program's own acts, changed: the seal becomes intact, and a redaction of a column says that is why."""

    def cut(*given: Any) -> list[dict[str, Any]]:
        return [each | {"of_column": said_of} for each in cut_entries(*given)]

    monkeypatch.setattr(redacting, "free_texts", lambda *_: {"state": None, "reason": None})
    monkeypatch.setattr(redacting, "_thing_cuts", lambda *_: {})
    monkeypatch.setattr(redacting, "cut_from", lambda *_, **__: lambda text: text.replace("missing", "intact"))
    monkeypatch.setattr(redacting, "cut_entries", cut)
    removed(record, "seal_sighting-1", "missing")
    monkeypatch.undo()


@pytest.mark.parametrize(
    ("said_of", "says"), [("state", "which is no free text"), ("reason", "the text there does not show it")]
)
def test_a_change_does_not_pass_as_a_redaction(
    record: Record, anchored: str, monkeypatch: pytest.MonkeyPatch, said_of: str, says: str
) -> None:
    forged(record, monkeypatch, said_of)

    (problem,) = verify(record).problems
    assert says in problem.says
    with pytest.raises(Refused, match=says):
        checked_state(record, "list")


def test_an_anchor_says_what_was_cut_since(record: Record, anchored: str) -> None:
    removed(record, "note-1")
    later = verify(record).anchor

    found = verify(record, anchored).found
    assert found is not None
    assert found.cut_since == 1
    assert "save 1 entry from which words were removed: what is left there is provable only since then" in found.says
    found = verify(record, later).found
    assert found is not None
    assert (found.cut_since, "Nothing before it was changed since;" in found.says) == (0, True)
