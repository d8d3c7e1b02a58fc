"""A record that was changed outside the program: no paper leaves it unless it is marked so; anchors found again later."""

from __future__ import annotations

import csv
import json
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from openpyxl import load_workbook
from sqlalchemy import text

from inventory.checking.actions import check_list
from inventory.condition_list.actions import FOR_INSURER, ConditionList, checked, condition_list, give_out
from inventory.condition_list.queries import CONDITION_LIST
from inventory.errors import Refused
from inventory.given_out.anchors import FITS, Anchor
from inventory.given_out.load_anchor import anchor_now, entries_since
from inventory.given_out.load_checked import checked_state
from inventory.given_out.queries import written_papers
from inventory.papers.after.load_after import page_for_those_after
from inventory.papers.claim.write_claim import write_claim
from inventory.papers.passport.read_passport import check_passport
from inventory.papers.passport.write_passport import write_passport
from inventory.papers.sale.load_sale import sale_of
from inventory.papers.write_out import write_out
from inventory.papers.write_slip import write_slip
from inventory.parts import actions as parts
from inventory.store.journal.inclusion import Levels
from inventory.store.journal.log import leaf
from tests.cli.conftest import Shop
from tests.condition_list.conftest import OnDay, file_record, file_workshop, furnished_once, on_day, workshop
from tests.condition_list.workshop import BY, Workshop
from tests.papers.conftest import Sold

__all__ = ["file_record", "file_workshop", "furnished_once", "on_day", "workshop"]

MARK = "NOT VERIFIED: 1 problem"


def _outside(shop: Workshop, statement: str, **given: object) -> None:
    """Change a record past the program, on either engine."""
    with shop.record.read() as session, session.get_bind().engine.begin() as other:
        other.execute(text(statement), given)


def _changed(shop: Workshop, tag: str) -> None:
    part = "SELECT id FROM part WHERE tag = :tag"
    _outside(shop, f"UPDATE assessment SET damage = 'none' WHERE thing_id = ({part})", tag=shop.tags[tag])


def _pages(held: bytes) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(held)]


def _give_out(shop: Workshop, path: Path, **more: Any) -> ConditionList:
    return give_out(shop.record, BY, path, options=FOR_INSURER, decide=lambda _: (), **more)


def test_a_list_carries_its_fingerprint_and_the_anchor_on_every_page(workshop: Workshop, tmp_path: Path) -> None:
    with workshop.record.read() as session:
        then = anchor_now(session)
    drawn = _give_out(workshop, tmp_path / "a.pdf")
    _give_out(workshop, tmp_path / "a.xlsx")
    _give_out(workshop, tmp_path / "a.csv")
    _give_out(workshop, tmp_path / "a.json")

    assert (drawn.anchor, drawn.anchor_size) == (then.text, then.size)
    pages = _pages((tmp_path / "a.pdf").read_bytes())
    assert all(drawn.fingerprint_shown in page and then.shown in page for page in pages)
    assert FITS in pages[0]
    front = [row[0].value for row in load_workbook(tmp_path / "a.xlsx")["Front"].rows]
    assert "Record's anchor" in front
    lines = {row[1]: row[2] for row in csv.reader((tmp_path / "a.csv").open(encoding="utf-8-sig"))}
    told = json.loads((tmp_path / "a.json").read_text())
    assert int(lines["after so many entries"]) == told["anchor_size"] - 1 == then.size + 2
    assert (told["fingerprint"], told["unverified"]) == (drawn.fingerprint, 0)


@pytest.mark.parametrize("ending", ["xlsx", "csv", "json", "pdf"])
def test_a_list_of_a_changed_record_gets_no_number_and_is_marked_on_every_page(
    workshop: Workshop, tmp_path: Path, ending: str
) -> None:
    _changed(workshop, "ours")
    path = tmp_path / f"a.{ending}"
    with pytest.raises(Refused) as refusal:
        _give_out(workshop, path)
    assert refusal.value.code == "record-does-not-fit"
    assert f"{workshop.tags['ours']}, " in refusal.value.message
    assert not path.exists()
    drawn = _give_out(workshop, path, unverified=True)

    assert (drawn.number, drawn.unverified, drawn.anchor) == (0, 1, None)
    with workshop.record.read() as session:
        assert written_papers(session, CONDITION_LIST) == []
    if ending == "pdf":
        assert all(page.count(MARK) == 2 for page in _pages(path.read_bytes())[1:-1])
    elif ending == "csv":
        first, titles, *_ = csv.reader(path.open(encoding="utf-8-sig"))
        assert (first[0], titles[0]) == (MARK, "No.")
    elif ending == "json":
        told = json.loads(path.read_text())
        assert [told[key] for key in ("number", "fingerprint", "anchor", "check")] == [None, None, None, {}]
        assert told["unverified"] == 1
    else:
        book = load_workbook(path)
        assert all(MARK in sheet.oddHeader.left.text for sheet in book)
        assert {sheet["A1"].value for sheet in book if sheet.freeze_panes} == {MARK}
        assert [each for row in book["Front"].rows for each in row if "Items!$" in str(each.value)]
        assert "$3:" in next(each.value for row in book["Front"].rows for each in row if "SUMIFS" in str(each.value))
    with pytest.raises(Refused) as refusal:
        check_list(workshop.record, path)
    assert refusal.value.code == "list-not-checkable"


def test_a_look_at_a_changed_record_has_no_fingerprint_either(workshop: Workshop) -> None:
    _changed(workshop, "ours")
    with workshop.record.read() as session:
        seen = checked(session, condition_list(session, options=FOR_INSURER)).as_dict()

    assert (seen["number"], seen["fingerprint"], seen["unverified"]) == (None, None, 1)


def test_a_name_that_is_no_text_is_told_as_what_does_not_fit(file_workshop: Workshop) -> None:
    _outside(file_workshop, "UPDATE personal SET text = CAST(x'61ff' AS TEXT)")
    with pytest.raises(Refused) as refusal:
        checked_state(file_workshop.record, "list")
    assert refusal.value.code == "record-does-not-fit"


Write = Callable[[Workshop, Path, bool], object]
PAPERS: dict[str, Write] = {
    "sale": lambda shop, path, so: write_out(
        shop.record, BY, path, lambda session: sale_of(session, shop.tags["on_green"]).page, unverified=so
    ),
    "after": lambda shop, path, so: write_out(
        shop.record, BY, path, lambda session: page_for_those_after(session, record="r"), unverified=so
    ),
    "slip": lambda shop, path, so: write_slip(shop.record, BY, shop.tags["lent"], path, unverified=so),
    "claim": lambda shop, path, so: write_claim(
        shop.record, BY, "Green tourer", date(2026, 3, 30), path, known_on=date(2026, 3, 31), unverified=so
    ),
    "passport": lambda shop, path, so: write_passport(
        shop.record, BY, shop.tags["on_green"], path, names="cut", sign=False, unverified=so
    ),
}


@pytest.mark.parametrize("sort", PAPERS)
def test_each_paper_is_refused_of_a_changed_record_and_marked_if_written_all_the_same(
    file_workshop: Workshop, tmp_path: Path, sort: str
) -> None:
    write, shop = PAPERS[sort], file_workshop
    _changed(shop, "ours")
    with shop.record.read() as session:
        size = anchor_now(session).size
    ours = ("sale", "passport", "slip")
    if sort in ours:  # another part's chain is nothing to them
        write(shop, tmp_path / "first", False)
        _outside(shop, "UPDATE part SET maker = 'Graphite' WHERE tag = :tag", tag=shop.tags["on_green"])
        _outside(shop, "UPDATE part SET maker = 'Graphite' WHERE tag = :tag", tag=shop.tags["lent"])
    path = tmp_path / "paper"
    with pytest.raises(Refused) as refusal:
        write(shop, path, False)
    assert (refusal.value.code, path.exists()) == ("record-does-not-fit", False)
    write(shop, path, True)

    with shop.record.read() as session:
        assert anchor_now(session).size == size + (sort in ours)
    if sort in ("sale", "after", "slip"):
        pages = _pages(path.read_bytes())
        assert all("NOT VERIFIED: " in page for page in pages)
        assert not any("Fingerprint" in page for page in pages)
        return
    with zipfile.ZipFile(path) as archive:
        files = {name.rpartition("/")[2]: archive.read(name) for name in archive.namelist()}
    if sort == "claim":
        assert "proof.json" not in files
        assert b"It proves nothing" in files["read-me-first.txt"] and b"one log" not in files["read-me-first.txt"]
        assert all(b"NOT VERIFIED: " in files[name] for name in ("read-me-first.txt", "recorded-after.txt"))
        assert "NOT VERIFIED" in _pages(files["condition-list.pdf"])[0]
        return
    told = json.loads(files["part-history.json"])
    assert [told[key] for key in ("number", "fingerprint", "anchor", "entries")] == [0, None, "", 0]
    assert b"NOT VERIFIED: " in files["part-history.html"]
    with pytest.raises(Refused) as refusal:
        check_passport(path)
    assert refusal.value.code == "passport-unverified"


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM log WHERE place = 3",
        "UPDATE log_head SET size = size + 1",
        "UPDATE personal SET text = 'Nobody'",
    ],
)
def test_what_concerns_the_whole_record_stops_a_list(workshop: Workshop, tmp_path: Path, statement: str) -> None:
    _outside(workshop, statement)
    with pytest.raises(Refused):
        _give_out(workshop, tmp_path / "a.json")


def test_a_check_says_whether_the_state_on_a_list_still_stands(
    workshop: Workshop, on_day: OnDay, tmp_path: Path
) -> None:
    path, other = tmp_path / "a.json", tmp_path / "b.json"
    drawn = _give_out(workshop, path)
    on_day("2026-04-02")
    with workshop.record.write() as session:
        parts.note(session, BY, workshop.tags["ours"], "heard a rattle")
    found = check_list(workshop.record, path)

    assert found.fits, found.says
    assert (found.anchor, found.anchor_stands, found.entries_since) == (drawn.anchor, True, 2)
    assert any("log still has its state of then" in says and "; 2 entries came later" in says for says in found.says)
    other.write_text(path.read_text().replace(str(drawn.anchor), "0" * 64))
    assert not check_list(workshop.record, other).fits
    _outside(workshop, "UPDATE journal SET hash = :other WHERE sequence = 1 AND act = 'place'", other="0" * 64)
    _outside(workshop, "UPDATE journal SET hash = :other WHERE sequence = 2", other="1" * 64)
    found = check_list(workshop.record, path)
    assert (found.fits, found.anchor_stands) == (False, False)


def test_a_passport_is_looked_up_in_the_past_of_its_own_record(sold_from_file: Sold, buyer: Shop) -> None:
    sold_from_file.write("p.zip")
    own = sold_from_file.shop.ok("passport", "check", "p.zip")

    assert (own["anchor_stands"], own["entries_since"]) == (True, 1)
    assert "anchor_stands" not in buyer.ok("passport", "check", "p.zip")
    assert buyer.run("passport", "check", "p.zip", "--record", "").status == 0


def test_an_anchor_is_that_of_the_tree_over_the_first_entries(workshop: Workshop) -> None:
    """RFC 6962, section 2.1: the root by levels, with no frontier, is that of each earlier size."""
    with workshop.record.read() as session:
        now = anchor_now(session)
        joined = "SELECT hash FROM journal JOIN log USING (thing_id, sequence) ORDER BY place"
        hashes = list(session.scalars(text(joined)))
        assert Levels(map(leaf, hashes)).size == now.size
        assert entries_since(session, now) == 0
        assert entries_since(session, Anchor(now.text, now.size - 1)) is None
        assert entries_since(session, Anchor(now.text, now.size + 1)) is None
