"""A part was dropped, heated, wetted or shorted: seen at every door, and a judgement of nothing."""

from __future__ import annotations

import pytest

from inventory.bench import actions as bench
from inventory.condition_list.actions import condition_list
from inventory.facts import change
from inventory.opening import open_record
from inventory.store.record import Record
from tests.build import BY, SENSOR, make_part
from tests.cli.conftest import Shop
from tui.data.card import card_of

FELL = ("--set", "mishap=dropped", "--set", "text=fell from the bench onto concrete", "--on", "2026-05-02")


def sections(shop: Shop, tag: str) -> dict[str, list[str]]:
    """The entries of each section of the browser's card."""
    record = open_record(shop.target)
    with record.read() as session:
        card = card_of(session, tag)
    record.close()
    return {section.name: [f"{entry.name}: {entry.says}" for entry in section.entries] for section in card.sections}


def test_a_mishap_is_seen_at_every_door(shop: Shop) -> None:
    tag = shop.part(on="2026-03-01")

    assert shop.ok("fact", "add", "mishap", tag, *FELL)["fact"] == "mishap-1"

    says = "dropped: fell from the bench onto concrete"
    (mishap,) = shop.card(tag)["mishaps"]
    assert (mishap["mishap"], mishap["text"], mishap["on"]) == (*says.split(": "), "2026-05-02")
    assert f"Mishaps\n  mishap-1  2026-05-02  {says}" in shop.text("part", "show", tag)
    assert f"mishap-1  2026-05-02  Ines: {says}" in shop.text("fact", "list", tag)
    assert sections(shop, tag)["Mishaps"] == [f"2 May 2026: {says}"]
    assert shop.found("dropped") == shop.found("concrete") == [tag]
    (item,) = shop.ok("condition-list")["items"]
    assert (item["last_seen"]["how"], item["last_seen"]["when"]["on"]) == ("dropped", "2026-05-02")
    assert shop.ok("verify")["ok"]


def test_a_mishap_is_corrected_and_withdrawn(shop: Shop) -> None:
    tag = shop.part()
    shop.ok("fact", "add", "mishap", tag, *FELL)

    shop.ok("fact", "correct", "mishap-1", "--set", "mishap=wetted", "--set", "text=", "--reason", "misheard")
    assert shop.found("dropped") == []
    assert [fact["mishap"] for fact in shop.card(tag)["mishaps"]] == ["wetted"]

    shop.ok("fact", "withdraw", "mishap-2", "--reason", "it was dropped, not wetted")
    assert [fact["mishap"] for fact in shop.card(tag)["mishaps"]] == ["dropped"]
    shop.ok("fact", "withdraw", "mishap-3", "--reason", "another part")
    assert shop.card(tag)["mishaps"] == []
    assert "Mishaps" not in shop.text("part", "show", tag)
    assert "Mishaps" not in sections(shop, tag)
    assert shop.found("dropped") == shop.found("wetted") == []
    assert shop.ok("verify")["ok"]


@pytest.mark.parametrize("said", [["mishap=bent"], ["mishap="], ["text=fell"], ["what=dropped"]], ids=" ".join)
def test_what_is_no_mishap_is_refused(file_shop: Shop, said: list[str]) -> None:
    words = [word for each in said for word in ("--set", each)]
    file_shop.refused("fact", "add", "mishap", file_shop.part(), *words)


def test_a_mishap_is_told_of_a_part_alone(file_shop: Shop) -> None:
    file_shop.ok("car", "add", "Green tourer")
    assert file_shop.refused("fact", "add", "mishap", "Green tourer", *FELL)["code"] == "not-a-tag"


def remarks(record: Record) -> list[str]:
    """What the condition list says of mishaps of the only part."""
    with record.read() as session:
        (item,) = condition_list(session).items
    return [remark for remark in item.remarks if remark.startswith(("dropped", "said"))]


def fell(record: Record, tag: str, on: str, how_known: str = "seen") -> None:
    with record.write() as session:
        change.add(session, BY, "mishap", tag, {"mishap": "dropped"}, how_known=how_known, on=on)


def measured(record: Record, tag: str, on: str) -> None:
    """A run of two seconds, which cannot tell, and one that passes."""
    with record.write() as session:
        given = {"resolution": "1cmHg", "ambient": "20degC"}
        bench.run(session, BY, tag, "hold", ["0s=50cmHg", "2s=49cmHg"], given, on=on)


def passed(record: Record, tag: str, on: str) -> None:
    with record.write() as session:
        bench.run(session, BY, tag, "resistance", ["primary=94ohm", "secondary=350ohm", "case=OL"],
                  {"ambient": "20degC"}, on=on)  # fmt: skip


def test_the_condition_list_names_a_mishap_with_the_first_test_since(record: Record) -> None:
    tag = make_part(record, SENSOR)
    fell(record, tag, "2026-05-02")
    said = ["dropped on 2026-05-02, no test passed or failed since"]
    assert remarks(record) == said

    passed(record, tag, "2026-04-30")
    measured(record, tag, "2026-05-03")
    assert remarks(record) == said

    passed(record, tag, "2026-05-04")
    tested = "dropped on 2026-05-02, since then resistance: pass"
    assert remarks(record) == [tested]

    fell(record, tag, "2026-05", how_known="stated")
    assert remarks(record) == [tested, "said to have been dropped on 2026-05, no test passed or failed since"]


def test_hearsay_of_a_mishap_does_not_show_the_part(record: Record) -> None:
    tag = make_part(record, SENSOR, on="2026-03-01")
    fell(record, tag, "2026-05-02", how_known="stated")
    with record.read() as session:
        (item,) = condition_list(session).items
    assert item.last_seen is not None
    assert item.last_seen.when.on == "2026-03-01"


def test_a_mishap_ends_a_pass_on_the_list_and_coils_never_say_that_a_sensor_works(record: Record) -> None:
    tag = make_part(record, SENSOR)

    def works() -> str:
        with record.read() as session:
            (item,) = condition_list(session).items
        return f"{item.works.procedure}: {item.works.ended}" if item.works else "not known"

    passed(record, tag, "2026-04-30")
    assert works() == "not known"
    with record.write() as session:
        given = {"resolution": "1cmHg", "ambient": "20degC"}
        bench.run(session, BY, tag, "hold", ["0s=50cmHg", "10s=49cmHg"], given, on="2026-04-30")
    passed(record, tag, "2026-04-30")
    assert works() == "hold: "

    fell(record, tag, "2026-05-02")
    assert works() == "hold: no longer counts: dropped since, 2026-05-02"
