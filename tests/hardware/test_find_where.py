"""Find where: by what held a part, its bag, what broke, work, a number that another replaced; and why it was found."""

from __future__ import annotations

from typing import Any

from sqlalchemy import text

from inventory.declared import DECLARED
from inventory.facts.write import search_anew
from inventory.opening import open_record
from inventory.parts.load_why import FACTS_SEARCHED
from tests.cli.conftest import Shop


def _why(shop: Shop, *words: str) -> dict[str, list[str]]:
    return {part["tag"]: part["why"] for part in shop.ok("part", "find", *words)["parts"]}


def _logged(shop: Shop) -> tuple[str, str]:
    """Two like relays off one car, at two positions."""
    shop.stripping()
    log = ("teardown", "log", "--kind", "relay", "--part-number", "12-R4", "--position")
    held = ("--bag", "7", "--fastener", "2x M6x20 hex", "--note", "brown wire on 87")
    one = shop.ok(*log, "left wing", *held)["part"]["tag"]
    broken = ("--bag", "17", "--mount", "brown rubber block", "--broken", "stud seized")
    return one, shop.ok(*log, "bulkhead", *broken)["part"]["tag"]


def test_each_row_says_why_it_was_found(shop: Shop) -> None:
    one, other = _logged(shop)
    shop.ok("work", "log", one, "--what", "contacts dressed", "--product", "contact oil")
    shop.ok("part", "assess", other, "--damage", "cracked cover")
    assert _why(shop, "bag", "7") == {one: ["bag 7", "bag 7"]}
    assert _why(shop, "bag 17") == {other: ["bag 17"]}
    assert _why(shop, "7") == {one: ["bag 7"]}
    assert _why(shop, "M6 x 20") == {one: ["screws 2x M6x20 hex"]}
    assert _why(shop, "brown") == {one: ["note brown wire on 87"], other: ["mounts brown rubber block"]}
    assert _why(shop, "seized") == {other: ["broken stud seized"]}
    assert _why(shop, "contact oil") == {one: ["product contact oil"]}
    assert _why(shop, "cracked") == {other: ["damage cracked cover"]}
    said = shop.text("part", "find", "relay")
    assert "off left wing, Green tourer" in said and "off bulkhead, Green tourer" in said


def test_a_superseded_number_finds_what_replaced_it_and_the_other_way(shop: Shop) -> None:
    old, new, apart = (shop.part("relay", part_number=number) for number in ("12-R4", "12-R9", "12-R7"))
    shop.ok("fits", "supersede", "12-R4", "12-R6")
    shop.ok("fits", "supersede", "12-R6", "12-R9")
    assert _why(shop, "12 R4") == {old: ["number 12-R4"], new: ["replaces 12 R4"]}
    assert _why(shop, "12R9") == {old: ["replaced by 12R9"], new: ["number 12-R9"]}
    assert list(_why(shop, "12-R7")) == [apart]


def test_what_stays_on_a_car_is_found_by_its_reason(shop: Shop) -> None:
    _logged(shop)
    shop.ok("teardown", "stays", "manifold", "--why", "studs seized")
    (stays,) = shop.ok("part", "find", "seized", "stud")["stays"]
    assert stays == {"car": "Green tourer", "position": "manifold", "why": "studs seized"}
    assert "stays" not in shop.ok("part", "find", "manifold")


def test_the_reasons_name_what_is_searched() -> None:
    searched = {
        kind.name: {*kind.searched, *kind.searched_whole}
        for kind in DECLARED.facts
        if "part" in kind.about and (kind.searched or kind.searched_whole)
    }
    assert {table: set(columns) for table, columns in FACTS_SEARCHED.items()} == searched


def test_a_record_searched_otherwise_gets_its_texts_anew(shop: Shop) -> None:
    one, _ = _logged(shop)
    opened = open_record(shop.target)
    before: Any = text("SELECT part_id, text FROM search_entry ORDER BY part_id")
    with opened.write() as session:
        kept = session.execute(before).all()
        session.execute(text("UPDATE search_entry SET text = 'x'"))
        if session.get_bind().dialect.name == "sqlite":
            session.execute(text("INSERT INTO search_index(search_index) VALUES ('delete-all')"))
            session.execute(text("INSERT INTO search_index(rowid, text) SELECT part_id, text FROM search_entry"))
        search_anew(session, "part")
        assert session.execute(before).all() == kept
    opened.close()
    assert shop.found("M6x20") == [one]
    assert shop.ok("verify")["ok"]
