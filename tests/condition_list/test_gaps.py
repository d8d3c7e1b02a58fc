"""Gaps ranked: the ten that matter first are not buried under those of a list of five hundred."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from inventory.condition_list.gaps import gaps_of
from inventory.condition_list.list_values import top_gaps
from inventory.condition_list.values import Item, Statement, Unfitting, Value, Where
from inventory.reference.data import Reference

_SAID = Statement("2026-01-01", None, "2026-01-01", "2026-01-01", "Maud", "seen", "x-1", "2026-01-02")


def _item(number: int, amount: str | None = None, currency: str = "EUR", **said: Any) -> Item:
    value = amount and Value(amount, currency, "market", None, None, None, "stated", False, _SAID)
    known: dict[str, Any] = {"kind": "relay", "whose": "own", "holder": "own", "came": "bought", "heading": "counted"}
    empty = dict.fromkeys(("last_seen", "condition", "works", "came_when"))
    where = Where("loose", "loose, the barn", "the barn", None)
    listed: dict[str, Any] = {"number": number, "tag": f"T{number}", "where": where, "counted_in_total": True}
    return Item(**{**known, **empty, **listed, "why": "", "value": value or None, **said})


def _ranked(*items: Item) -> Any:
    return gaps_of(items, set(), "market", Reference())


def test_the_ten_that_matter_are_not_buried() -> None:
    many = [_item(number, str(number)) for number in range(1, 491)]
    open_ = Unfitting("letter", "K or C", ("marking-1",), ("look again",), "K on one day; C on another; open")
    settled = replace(open_, settle=())
    special = [
        _item(491, whose="not known"),
        _item(492, where=Where("open", "whereabouts: open (sold and here)", None, None)),
        _item(493, contradictions=(open_,)),
        _item(494, contradictions=(settled,)),
        _item(495, not_shown_here=True),
    ]

    gaps = _ranked(*many, *special)

    assert len(gaps) > 2000
    first = top_gaps(gaps)
    assert [gap.item for gap in first] == [491, 492, 493, 495, *range(490, 484, -1)]
    assert [gap.says for gap in first[:4]] == [
        "whose it is, is not known",
        "whereabouts: open (sold and here)",
        "K on one day; C on another; open",
        "nothing says that it was here by the day",
    ]
    assert first[-1].says == "no picture; no serial on record; no sighting is on record"
    assert all(gap.why for gap in gaps)
    assert [gap.rank for gap in gaps] == sorted(gap.rank for gap in gaps)


def test_worth_is_compared_within_a_currency() -> None:
    gaps = _ranked(_item(1, "9000", "JPY"), _item(2, "850"), _item(3, "20"), _item(4), _item(5, "8000", "JPY"))

    assert [gap.item for gap in gaps if gap.says == "no picture"] == [1, 2, 3, 5, 4]


def test_what_was_found_or_cannot_be_asked_is_no_gap() -> None:
    says = [gap.says for gap in _ranked(_item(1, serial_state="none on it", complete="complete"))]

    assert not any("serial" in said or "complete" in said or "match code" in said for said in says)
    assert 'no value stated on the basis "market"' in says
    of_half = [gap.says for gap in _ranked(_item(1, heading="valued with its mate"))]
    assert not any("value" in said for said in of_half)
