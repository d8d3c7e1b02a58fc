"""Counting and moving by command: scans line by line, asked about moves at a terminal, JSON."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Shop


def _shelves(shop: Shop) -> tuple[str, str, str]:
    shop.ok("place", "add", "rack", "--premises", "the yard")
    shop.ok("place", "add", "B1", "--within", "rack")
    shop.ok("place", "add", "C1", "--new")
    one, two, three = shop.part("relay"), shop.part("relay"), shop.part("relay")
    moved = shop.ok("place", "put", one, two, "B1")
    assert moved["tags"] == [one, two] and len(moved["facts"]) == 2 and moved["fact"] == moved["facts"][0]
    return one, two, three


def test_a_count_by_command_is_resumed_closed_and_known(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    one, two, three = _shelves(shop)
    assert shop.ok("stocktake", "begin", "rack")["parts"] == 2
    shop.answering(monkeypatch, f"B1\n{one}\n{one}\n\n", "stocktake", "scan")
    (said,) = shop.ok("stocktake", "scan", three)["scans"]
    assert said["state"] == "elsewhere" and said["says"] == f"{three} belongs in no place yet; it lies in B1"
    shown = shop.ok("stocktake", "show")
    assert {line["tag"]: line["state"] for line in shown["lines"]} == {one: "here", two: "to find", three: "elsewhere"}
    assert "1 here" in shop.text("stocktake", "show", "--left")
    asked = shop.answering(monkeypatch, "y\n", "stocktake", "close")
    assert f"{three} belongs in no place yet; it lies in B1. Note it there?" in asked
    assert shop.card(three)["place"] == "B1"
    (gone,) = shop.ok("stocktake", "missing")["missing"]
    assert gone["tag"] == two and gone["says"] in shop.text("part", "show", two)
    assert shop.refused("stocktake", "show")["code"] == "no-count-open"


def test_without_a_terminal_nothing_is_moved_unasked(shop: Shop) -> None:
    one, two, _ = _shelves(shop)
    shop.ok("stocktake", "begin")
    shop.ok("stocktake", "scan", "C1", one, two)
    closed = shop.ok("stocktake", "close", "--move", two)
    assert (closed["here"], closed["not_here"], closed["elsewhere"]) == (0, 0, 2) and closed["moved"] == [two]
    assert (shop.card(one)["place"], shop.card(two)["place"]) == ("B1", "C1")
    shop.ok("stocktake", "begin")
    assert shop.ok("stocktake", "drop") == {"dropped": 0, "contradictions": []}


def test_parts_and_their_places_are_scanned_line_by_line(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    one, two, three = _shelves(shop)
    shop.ok("provenance", "note", one, "--how", "lent out", "--party", "Otto Brandt")
    assert f"{one} is lent out by the record. If it is back" in shop.text("place", "put", one, "B1")
    asked = shop.answering(monkeypatch, f"C1\n{one}\n{two}\nC1\n{three}\nnowhere\nB1\n\n", "place", "put")
    assert '"C1": first scan the parts' in asked and "nowhere" in asked
    assert [shop.card(tag)["place"] for tag in (one, two, three)] == ["C1", "C1", "B1"]
    shown = shop.ok("place", "show", "rack")
    assert shown["premises"] == "the yard" and [each["tag"] for each in shown["parts_there"]] == [three]
    assert [(each["name"], each["depth"]) for each in shop.ok("place", "list")["places"]] == [
        ("C1", 0),
        ("rack", 0),
        ("B1", 1),
    ]
