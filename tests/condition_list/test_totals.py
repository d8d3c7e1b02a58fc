"""What the values of a list add up to: pairs valued once, headings that never overlap, premises, tax, currencies."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.card import card_of
from inventory.cars.actions import put_car
from inventory.condition_list.actions import condition_list
from inventory.condition_list.totals import (
    AGREED,
    HEADINGS,
    NO_PREMISES,
    PROPOSED,
    WITH_MATE,
    own_value,
    totals_of,
    valued_once,
)
from inventory.condition_list.totals_said import totals_said
from inventory.condition_list.values import ConditionList, Item, Options, Statement, Value, Where
from inventory.facts.change import withdraw
from inventory.places import actions as places
from inventory.provenance import actions as provenance
from inventory.valuation import actions as worth
from tests.condition_list.workshop import BY, Workshop, day

DAY = "2026-03-30"


def _pair(shop: Workshop, one: str, other: str, amount: str, on: str, **more: Any) -> str:
    with shop.record.write() as session:
        tag, mate = shop.tags[one], shop.tags[other]
        return worth.note_value(session, BY, tag, amount, "EUR", mate=mate, on=on, **more)


def _of(shop: Workshop, name: str, drawn: ConditionList) -> tuple[str | None, str | None, str]:
    """The amount that counts for a part, what it is worth alone, and its heading."""
    item = shop.item(name, drawn)
    alone = item.value_alone.amount if item.value_alone else None
    return item.value.amount if item.value else None, alone, item.heading


def test_a_pair_is_valued_once_whichever_half_it_was_noted_on(workshop: Workshop) -> None:
    _pair(workshop, "ours", "unit", "1500", "2026-02-01")
    _pair(workshop, "unit", "ours", "1600", "2026-02-02")
    drawn = workshop.drawn(DAY)

    halves = {_of(workshop, name, drawn) for name in ("ours", "unit")}
    first, second = sorted((workshop.item(name, drawn) for name in ("ours", "unit")), key=lambda item: item.number)
    assert (first.value.amount if first.value else "", first.heading) == ("1600", "counted")
    assert (second.value, second.heading, second.counted_in_total) == (None, WITH_MATE, False)
    assert {alone for _, alone, _ in halves} == {"850", "400"}
    assert drawn.totals == {"EUR": "1620.00"}  # the pair, and the relay at 20
    assert drawn.without_value == 0
    assert not [gap for gap in drawn.gaps if gap.tag == second.tag and "no value" in gap.says]
    assert workshop.drawn("2026-02-01").totals == {"EUR": "1580.00"}  # the coil at 60 was not lent out yet


def test_both_halves_cards_show_what_the_pair_is_worth(workshop: Workshop) -> None:
    fact = _pair(workshop, "ours", "unit", "1500", "2026-02-01")
    for half, mate in (("ours", "unit"), ("unit", "ours")):
        with workshop.record.read() as session:
            told = {each.id: each.says for each in card_of(session, workshop.tags[half]).history["values"]}
        assert told[fact].endswith(f"as a pair with {workshop.tags[mate]}")
    with workshop.record.write() as session:
        withdraw(session, BY, fact, "wrong part")
    with workshop.record.read() as session:
        assert fact not in {each.id for each in card_of(session, workshop.tags["unit"]).history["values"]}


def test_a_pair_at_two_premises_is_the_largest_loss_at_either(file_workshop: Workshop) -> None:
    _pair(file_workshop, "ours", "unit", "1500", "2026-02-01")
    with file_workshop.record.write() as session:
        places.add_place(session, BY, "bay 1", premises="Barn", on="2020")
        places.put(session, BY, file_workshop.tags["unit"], "bay 1", on="2026-02-02")
    drawn = file_workshop.drawn(DAY)

    sums = {at.name: at.totals.get("EUR", "0") for at in drawn.premises}
    assert sorted(sums.values()) == ["0", "1500.00", "20.00"]
    (loss,) = drawn.largest_loss
    assert (loss.amount, loss.premises) == ("1500.00", "Barn")  # of two equal ones the first by name


def test_a_later_value_with_another_part_ends_the_pair_until_it_is_taken_back(workshop: Workshop) -> None:
    _pair(workshop, "ours", "unit", "1500", "2026-02-01")
    later = _pair(workshop, "on_green", "unit", "300", "2026-03-01")
    drawn = workshop.drawn(DAY)

    assert _of(workshop, "ours", drawn) == ("850", None, "counted")
    assert "was valued with another part" in workshop.item("ours", drawn).remarks[0]
    assert drawn.totals == {"EUR": "1150.00"}  # 850 alone, and 300 for the other two
    with workshop.record.write() as session:
        withdraw(session, BY, later, "wrong part")
    assert workshop.drawn(DAY).totals == {"EUR": "1520.00"}


@pytest.mark.parametrize("how", ["sold", "lent out", "whose"])
def test_a_pair_does_not_count_while_one_half_is_elsewhere(file_workshop: Workshop, how: str) -> None:
    _pair(file_workshop, "ours", "unit", "1500", "2026-02-01")
    with file_workshop.record.write() as session:
        tag = file_workshop.tags["unit"]
        if how == "whose":
            provenance.note_provenance(session, BY, tag, "not known", whose="not known", on="2026-02-03")
        else:
            provenance.note_provenance(session, BY, tag, how, on="2026-02-03")
    drawn = file_workshop.drawn(DAY)

    assert drawn.totals == {"EUR": "870.00"}  # the half that is here, at what it is worth alone, and the relay
    assert "EUR 1500 for it and" in file_workshop.item("ours", drawn).remarks[0]
    other, not_known = {"sold": ("270.50", {}), "lent out": ("670.50", {}), "whose": ("270.50", {"EUR": "400.00"})}[how]
    assert drawn.other_totals == {"EUR": other}
    assert drawn.other_totals_by_heading["whose not known"] == not_known


def test_a_proposed_pair_never_takes_the_place_of_an_agreed_half(file_workshop: Workshop, tmp_path: Path) -> None:
    paper = tmp_path / "schedule.txt"
    paper.write_text("agreed", encoding="utf-8")
    with file_workshop.record.write() as session:
        worth.set_policy(session, BY, {"number": "HM 12"}, on="2026-01-01")
        tag = file_workshop.tags["ours"]
        worth.note_value(session, BY, tag, "900", "EUR", basis="agreed", on="2026-02-01", document=paper)
        worth.note_value(session, BY, tag, "1200", "EUR", basis="agreed", on="2026-02-20")
    _pair(file_workshop, "ours", "unit", "2000", "2026-02-21", basis="agreed")
    drawn = file_workshop.drawn(DAY, basis="agreed")

    assert (drawn.totals, drawn.totals_proposed) == ({"EUR": "900.00"}, {})
    assert "only proposed" in file_workshop.item("ours", drawn).remarks[0]


def test_tax_premises_and_another_currency(workshop: Workshop) -> None:
    with workshop.record.write() as session:
        worth.note_value(session, BY, workshop.tags["ours"], "900", "EUR", tax="with tax", on="2026-03-01")
        worth.note_value(session, BY, workshop.tags["on_green"], "30", "CHF", tax="without tax", on="2026-03-01")
        worth.note_rate(session, BY, "CHF", "EUR", "1.0625", source="the bank", on="2026-03-01")
        worth.note_rate(session, BY, "CHF", "EUR", "1.1", source="the bank", on="2026-03-31")
        put_car(session, BY, "Green tourer", "shelf B2", on="2026-03-02")
    with workshop.record.read() as session:
        drawn = condition_list(session, day(DAY), options=Options(currency="EUR"))

    assert drawn.totals_by_tax == {
        "tax not stated": {"EUR": "400.00"},
        "with tax": {"EUR": "900.00"},
        "without tax": {"CHF": "30.00"},
    }
    assert drawn.converted is not None
    assert (drawn.converted.amount, [rate.rate for rate in drawn.converted.rates]) == ("1331.88", ["1.0625"])
    assert workshop.item("on_green", drawn).where.says == "on car Green tourer, Ebbgate Works, Skerrowmouth"
    assert [(at.name, at.items, at.totals) for at in drawn.premises] == [
        ("Ebbgate Works, Skerrowmouth", 2, {"CHF": "30.00", "EUR": "900.00"}),
        (NO_PREMISES, 3, {"EUR": "400.00"}),
    ]
    assert [(loss.currency, loss.amount) for loss in drawn.largest_loss] == [("CHF", "30.00"), ("EUR", "900.00")]
    assert totals_said(drawn)[:4] == [
        "CHF 30.00 counted (without tax)",
        "EUR 1300.00 counted (400.00 tax not stated, 900.00 with tax)",
        "EUR 120.50 not counted: on cars insured whole",
        "EUR 90.00 not counted: held for others",
    ]
    assert "EUR 1331.88 counted in all, at 1 CHF = 1.0625 EUR on 2026-03-01, the bank" in totals_said(drawn)
    car_unknown = workshop.item("on_grey", drawn)
    assert "premises not known" in [gap.says for gap in drawn.gaps if gap.tag == car_unknown.tag]


@st.composite
def _lists(draw: st.DrawFn) -> list[Item]:
    """Items with values of their own, some of pairs, under any heading, at one of two premises or none."""
    many = draw(st.integers(1, 8))
    tags = [f"T{place}" for place in range(many)]
    own: list[list[Value]] = [[] for _ in tags]
    for number in range(draw(st.integers(0, 14))):
        half, mate = draw(st.integers(0, many - 1)), draw(st.integers(-1, many - 1))
        currency = draw(st.sampled_from(["EUR", "JPY", "QQQ"]))
        cents, standing = draw(st.integers(0, 10**9)), draw(st.sampled_from([AGREED, PROPOSED]))
        amount = str(cents) if currency == "JPY" else str(Decimal(cents).scaleb(-2))
        tax = draw(st.sampled_from([None, "with tax"]))
        when = Statement(*("2026-01-01", None, "2026-01-01", "2026-01-01", BY, "stated"), f"valuation-{number}")
        value = Value(amount, currency, "agreed", None, None, None, standing, False, when, tax)
        if mate in (-1, half):
            own[half].append(value)
        else:
            own[half].append(Value(**{**vars(value), "with_tag": tags[mate]}))
            own[mate].append(Value(**{**vars(value), "with_tag": tags[half]}))
    return [_item(draw, place, tag, own[place - 1]) for place, tag in enumerate(tags, 1) if draw(st.integers(0, 9))]


def _item(draw: st.DrawFn, number: int, tag: str, values: list[Value]) -> Item:
    heading = draw(st.sampled_from(["counted", "counted", "counted", *HEADINGS]))
    state = "away" if heading == "away" else "loose"
    where = Where(state, "", draw(st.sampled_from([None, "barn", "works"])) if state == "loose" else None, None)
    blank = dict.fromkeys(("last_seen", "condition", "works", "came_when"))
    return Item(
        number=number,
        tag=tag,
        kind="relay",
        whose="own",
        holder="own",
        came="",
        why="",
        **blank,
        where=where,
        value=own_value(values, "agreed"),
        values=tuple(values),
        heading=heading,
        counted_in_total=heading == "counted",
    )


def _exact(items: list[Item], currency: str) -> Fraction:
    amounts = [item.value.amount for item in items if item.value and item.value.currency == currency]
    return sum(map(Fraction, amounts), Fraction(0))


@given(_lists())
@settings(max_examples=40, deadline=None)
def test_headings_part_the_items_and_sums_add_up_to_the_cent(before: list[Item]) -> None:
    items = valued_once(before, "agreed")
    sums = totals_of(items, {})

    assert Counter(item.tag for item in items) == Counter(item.tag for item in before)
    assert {item.heading for item in items} <= {"counted", "proposed", WITH_MATE, *HEADINGS}
    assert all(item.counted_in_total == (item.heading == "counted") for item in items)
    by_heading = {"counted": sums.counted, "proposed": sums.proposed, **sums.by_heading}
    for heading, said in by_heading.items():
        some = [item for item in items if item.heading == heading]
        added = [item for item in some if heading == "proposed" or (item.value and item.value.standing == AGREED)]
        for currency in ("EUR", "JPY"):
            assert Fraction(said.get(currency, "0")) == _exact(added, currency)
        assert "QQQ" not in said
    for currency in ("EUR", "JPY"):
        whole = Fraction(sums.counted.get(currency, "0"))
        assert whole == sum(Fraction(said.get(currency, "0")) for said in sums.by_tax.values())
        assert whole == sum(Fraction(at.totals.get(currency, "0")) for at in sums.premises)
        others = [sums.by_heading[heading] for heading in HEADINGS if heading != "whose not known"]
        assert Fraction(sums.other.get(currency, "0")) == sum(Fraction(said.get(currency, "0")) for said in others)
    facts = [item.value.when.fact for item in items if item.value is not None]
    assert len(facts) == len(set(facts))  # no value counts twice
    mates = [item for item in items if item.heading == WITH_MATE]
    named = {item.value.with_tag for item in items if item.value is not None and item.value.with_tag}
    assert {item.tag for item in mates} == named
