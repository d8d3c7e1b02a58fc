"""A person removed: what names them is found, shown, removed if wanted; of the bytes nothing is left."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
import sqlalchemy as sa

from inventory.cli.door import Door
from inventory.facts.redact import redact
from inventory.opening import open_record
from inventory.store.connection import wipe
from inventory.store.private_files import private_file
from tests.cli.conftest import Shop

NAME = "Karl Vossberg"
PLACES = [
    ("marking-1", "marks", "Vossberg", False),
    ("note-1", "text", NAME, True),
    ("note-1", "text", "Quay 9, Norrby", True),
    ("note-2", "text", "karl vossberg", True),
    ("work-1", "what", "Vossberg, Karl", True),
    ("provenance-1", "text", "Karl Vossbergs", True),
    ("policy-1", "number", "Vossberg", False),
]


@pytest.fixture
def tag(shop: Shop) -> str:
    """A part whose texts name a seller in several ways."""
    shop.ok("contact", "add", NAME, "--role", "seller", "--address", "Quay 9, Norrby", "--telephone", "0555 0142")
    tag = shop.part(marks="dot by Vossberg")
    shop.ok("part", "note", tag, f"bought from {NAME}, at Quay 9, Norrby")
    shop.ok("fact", "correct", "note-1", "--set", "text=from karl vossberg, by cheque", "--reason", "misheard")
    shop.ok("work", "log", tag, "--what", "cleaned by Vossberg, Karl", "--where", "outside")
    shop.ok("provenance", "note", tag, "--how", "bought", "--party", NAME, "--text", "Karl Vossbergs garage")
    shop.ok("policy", "set", "--owner", "Ines", "--policy", "Vossberg 12")
    return tag


def bytes_of(target: str) -> bytes:
    """All bytes of a record: of its file and what lies beside it, or of its database's files on the server."""
    if "://" not in target:
        return b"".join(each.read_bytes() for each in sorted(Path(target).parent.glob("record.db*")) if each.is_file())
    record = open_record(target)
    with record.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as plain:
        plain.exec_driver_sql("CHECKPOINT")
        query = "SELECT current_setting('data_directory') || '/base/' || oid FROM pg_database WHERE datname = "
        folder = plain.exec_driver_sql(f"{query} current_database()").scalar()
    record.close()
    return b"".join(each.read_bytes() for each in Path(str(folder)).iterdir())


def test_a_person_is_found_shown_and_removed_to_the_last_byte(shop: Shop, tag: str) -> None:
    if "://" in shop.target:
        record = open_record(shop.target)
        with record.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as plain:
            plain.exec_driver_sql("ANALYZE")  # the server keeps samples of texts
        record.close()
    assert b"ossberg" in bytes_of(shop.target)

    said = shop.ok("contact", "blank", NAME, "--reason", "asked for it")

    found = [(each["fact"], each["column"], each["words"], each["whole_name"]) for each in said["named"]]
    assert sorted(found) == sorted(PLACES)
    assert {each["removed"] for each in said["named"]} == {False}
    assert [each["fact"] for each in said["named"] if each["command"] is None] == ["policy-1"]
    assert said["not_wiped"] is None
    assert NAME.encode() in bytes_of(shop.target)
    *more, last = [each for each in said["named"] if each["command"]]
    record = open_record(shop.target)
    with record.write() as session:
        for each in more:
            redact(session, "Ines", each["fact"], "asked for it", words=each["words"])
    record.close()
    done = shop.ok(*shlex.split(last["command"])[1:])
    assert (done["fact"], done["not_wiped"]) == (last["fact"], None)
    left = bytes_of(shop.target).lower()
    assert b"karl" not in left
    assert b"dot by vossberg" not in left
    assert b"quay" not in left
    assert b"0555 0142" not in left
    assert shop.ok("verify")["words_removed"] == 5
    assert shop.found("vossberg") == []
    assert shop.card(tag)["marks"] == "dot by [removed]"


def test_at_a_terminal_each_is_asked_about(shop: Shop, tag: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Door, "can_ask", property(lambda _: True))

    asked = shop.answering(monkeypatch, "perhaps\nn\ny\nall\n", "contact", "blank", NAME, "--reason", "asked for it")

    assert asked.count("Remove these words") == 4
    assert "Type y, n or all." in asked
    assert "marking-1, " in asked and '"dot by Vossberg" (only a part of the name' in asked
    rows = [each["text"] for each in shop.card(tag)["notes"]]
    assert rows == ["from [removed], by cheque"]
    assert shop.card(tag)["marks"] == "dot by Vossberg"
    assert shop.ok("verify")["ok"]


def test_a_reason_with_the_name_and_a_name_in_use_are_refused(shop: Shop, tag: str) -> None:
    reason = ("--reason", f"{NAME} asked")
    assert shop.refused("contact", "blank", NAME, *reason)["code"] == "reason-keeps-words"
    assert shop.refused("fact", "redact", "note-1", "--words", NAME, *reason)["code"] == "reason-keeps-words"


def test_what_is_given_out_and_lies_beside_is_named(shop: Shop, tag: str, tmp_path: Path) -> None:
    record = open_record(shop.target)
    draft = private_file(record, "Ines", "drafts")
    record.close()
    draft.parent.mkdir(parents=True, exist_ok=True)
    draft.write_text(f'{{"note": "{NAME} came by"}}')
    (tmp_path / "receipt.txt").write_text("a receipt")
    shop.ok("document", "add", tag, "receipt.txt", "--shows", "paper")
    shop.ok("for-those-after", "draw", "-o", "after.pdf", "--to", "Otto Krahn")

    said = shop.ok("contact", "blank", NAME, "--reason", "asked for it")

    assert said["files"] == [str(draft)]
    assert said["pictures"] == ["receipt.txt"]
    assert [(each["what"], each["number"]) for each in said["held_by"]] == [("for those after", 1)]
    assert "for those after no. 1 of " in said["remains"]
    assert "Otto Krahn" in said["remains"]
    assert ("replicas" in said["remains"]) == ("://" in shop.target)


def test_while_somebody_reads_the_wiping_waits_for_its_own_command(
    shop: Shop, tag: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(wipe, "_WAIT", 50)
    record = open_record(shop.target)
    with record.engine.connect() as other:
        other.execute(sa.text("SELECT * FROM note")).all()
        said = shop.run("contact", "blank", NAME, "--reason", "asked for it")
        assert said.status == 0
        assert "To finish: matchmark fact wipe" in said.err
    record.close()
    assert shop.ok("fact", "wipe")["not_wiped"] is None
    assert b"0555 0142" not in bytes_of(shop.target)
