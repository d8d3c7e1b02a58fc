"""The condition list's days, as the contract gives them, as a table: what was on the list, whose, where, on a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest

from inventory.condition_list.held_on import (
    away,
    by_day,
    car_on,
    counted,
    last_seen,
    months_before,
    old_before,
    on_list,
    place_on,
    whose_statement,
)
from inventory.declared import DECLARED
from inventory.facts.order import timeless
from inventory.store.days.dates import parse_when

D = date(2026, 3, 31)
UNTIL = D.isoformat()
SHOWS = {kind.name: kind.seen_how for kind in DECLARED.facts if kind.seen_how is not None}


@dataclass
class Statement:
    """A fact as the judgements see it; its days come from the same reading of EDTF that the record uses."""

    on: str
    recorded_on: str = "2026-06-01"
    at: str = "12:00"
    how: str = ""
    whose: str | None = None
    attribution: str = "seen by us"
    how_known: str = "seen"
    car_id: int | None = None
    place_id: int | None = None
    id: int = 1
    seal: str = "cap"
    state: str = "intact"
    procedure: str = "hold"
    shows: str = "whole"

    def __post_init__(self) -> None:
        when = parse_when(self.on)
        self.earliest, self.latest = when.earliest.isoformat(), when.latest.isoformat()
        self.counts_from = min(self.latest, self.recorded_on)
        self.ranked = self.recorded = f"{self.recorded_on}T{self.at}"


def _passages(*said: str) -> list[Statement]:
    """ "bought 2026-04 (2026-06-01)": how, when, and when it was written down."""
    facts = []
    for number, text in enumerate(said):
        how, on, recorded = text.rsplit(" ", 2)
        facts.append(Statement(on, recorded.strip("()"), how=how, id=number))
    return facts


@pytest.mark.parametrize(
    ("said", "listed"),
    [
        ([], True),
        (["bought 2026-03-31 (2026-06-01)"], True),
        (["bought 2026-04-01 (2026-06-01)"], False),
        # a vague coming: only if its earliest day is after the day
        (["bought 2026-03 (2026-06-01)"], True),
        (["bought 2026-04 (2026-06-01)"], False),
        (["bought 2026 (2026-06-01)"], True),
        (["bought 2026~ (2026-06-01)"], True),
        (["bought 2026-03-31/2026-05 (2026-06-01)"], True),
        (["bought 2026-04-01/2026-05 (2026-06-01)"], False),
        (["bought ../2026-05 (2026-06-01)"], True),
        (["left here by a customer 2026-04-02 (2026-06-01)"], False),
        (["lent in 2026-04-02 (2026-06-01)"], False),
        # leaving: only if its latest day is not after the day
        (["sold 2026-03-31 (2026-06-01)"], False),
        (["sold 2026-04-01 (2026-06-01)"], True),
        (["sold 2026-03 (2026-06-01)"], False),
        (["sold 2026 (2026-06-01)"], True),
        (["sold 2025~ (2026-06-01)"], False),
        (["scrapped 2025-12/2026-04 (2026-06-01)"], True),
        # the day of writing is the latest it can have been
        (["sold 2026 (2026-03-15)"], False),
        # neither in nor out for good
        (["lent out 2026-02-01 (2026-06-01)"], True),
        (["sent out 2026-02-01 (2026-06-01)"], True),
        # the latest that was so by the day counts
        (["bought 2020 (2026-06-01)", "sold 2025 (2026-06-01)"], False),
        (["sold 2025 (2026-06-01)", "bought 2026-01 (2026-06-01)"], True),
        (["stolen 2025 (2026-06-01)", "came back 2026-03-30 (2026-06-01)"], True),
        (["stolen 2025 (2026-06-01)", "came back 2026-04-01 (2026-06-01)"], False),
        (["stolen 2025 (2026-06-01)", "found again 2026-03-30 (2026-06-01)"], True),
        (["stolen 2026-05-01 (2026-06-01)", "found again 2026-05-20 (2026-06-01)"], True),
        # whom it belongs to does not change where it is
        (["stolen 2025 (2026-06-01)", "settled by the insurer 2026-02-01 (2026-06-01)"], False),
        (["settled by the insurer 2026-02-01 (2026-06-01)"], True),
        (["bought 2020 (2026-06-01)", "bought 2026-05-01 (2026-06-01)"], True),
        # nothing by the day, and the next word is that it left: it was here until then
        (["sold 2026-05-01 (2026-06-01)", "bought 2026-05-20 (2026-06-01)"], True),
        # one that came back was ours all the time
        (["lent out 2026-02-01 (2026-06-01)", "came back 2026-05-01 (2026-06-01)"], True),
    ],
)
def test_a_part_is_on_the_list_unless_it_came_after_the_day_or_had_left_by_it(said: list[str], listed: bool) -> None:
    presence = on_list(_passages(*said), UNTIL, D)

    assert presence.listed is listed
    assert bool(presence.reason) is not listed


def test_ties_go_to_the_fact_recorded_later() -> None:
    sold = Statement("2026-03-01", how="sold", at="10:00", id=9)
    back = Statement("2026-03-01", how="bought", at="11:00", id=1)

    assert on_list([back, sold], UNTIL, D).listed
    assert not on_list([back, Statement("2026-03-01", how="sold", at="11:30", id=2)], UNTIL, D).listed


def test_why_a_part_is_left_out_is_said() -> None:
    assert on_list(_passages("sold 2025 (2026-06-01)"), UNTIL, D).reason == "had left by 2026-03-31: sold"
    assert on_list(_passages("bought 2026-05 (2026-06-01)"), UNTIL, D).reason == "came after 2026-03-31"


def test_a_vague_fact_counts_from_its_latest_day_or_the_day_it_was_recorded() -> None:
    by_latest = Statement("2026-03", "2026-06-01")
    by_recording = Statement("2026", "2026-03-20")
    neither = Statement("2026", "2026-06-01")

    assert by_day([neither, by_latest, by_recording], UNTIL) == [by_recording, by_latest]


def test_what_a_part_is_may_be_told_after_the_day_but_what_was_told_by_it_has_the_last_word() -> None:
    before, later, latest = Statement("2026-01-01"), Statement("2026-04-01"), Statement("2026-05-01")

    assert timeless([latest, before, later], UNTIL) == [latest, later, before]


@pytest.mark.parametrize(
    ("facts", "whose"),
    [
        ([], None),
        ([Statement("2026-02-01", how="left here by a customer", whose="customer's")], "customer's"),
        ([Statement("2026-02-01", whose="customer's"), Statement("2026-03-01", how="bought", whose="own")], "own"),
        (
            [Statement("2026-02-01", whose="customer's"), Statement("2026-04-01", how="bought", whose="own")],
            "customer's",
        ),
        ([Statement("2026-04-01", how="bought", whose="own")], None),
        # a coming that may lie before the day tells whose the part was when it came
        ([Statement("2026", how="left here by a customer", whose="customer's")], "customer's"),
    ],
)
def test_whose_a_part_was(facts: list[Statement], whose: str | None) -> None:
    statement = whose_statement(facts, UNTIL)

    assert (statement.whose if statement else None) == whose


def test_a_part_is_away_until_it_is_back_or_fitted() -> None:
    lent = Statement("2026-02-01", how="lent out", whose="lent out")
    back = Statement("2026-03-01", how="came back")
    back_later = Statement("2026-04-01", how="came back")
    fitted = Statement("2026-03-01", car_id=7)

    assert away([lent], [], UNTIL) is lent
    assert away([lent, back], [], UNTIL) is None
    assert away([lent, back_later], [], UNTIL) is lent
    assert away([lent], [fitted], UNTIL) is None
    assert away([], [], UNTIL) is None


def test_the_car_a_part_was_on() -> None:
    off_before, on_before = Statement("2026-02-01", car_id=7), Statement("2026-03-01", car_id=8)
    off_after, on_after = Statement("2026-04-28", car_id=7), Statement("2026-05-01", car_id=8)

    assert car_on([], [], UNTIL) is None
    assert car_on([off_before], [on_before], UNTIL) == 8
    assert car_on([off_before], [on_after], UNTIL) is None
    assert car_on([off_after], [], UNTIL) == 7  # it came off after the day, so on the day it was still on
    assert car_on([], [on_after], UNTIL) is None


def test_the_place_where_a_part_lay() -> None:
    shelf, nowhere = Statement("2026-02-01", place_id=3), Statement("2026-03-01", place_id=None)
    fitted = Statement("2026-03-02", car_id=7)

    assert place_on([shelf], [], UNTIL) == 3
    assert place_on([shelf, nowhere], [], UNTIL) is None
    assert place_on([shelf], [fitted], UNTIL) is None
    assert place_on([Statement("2026-04-01", place_id=3)], [], UNTIL) is None


@pytest.mark.parametrize(
    ("whose", "is_away", "car", "insured", "heading"),
    [
        ("own", False, None, False, "counted"),
        ("own", False, "Green tourer", False, "counted"),
        ("own", False, "Grey saloon", True, "on cars insured whole"),
        ("own", True, None, False, "away"),
        ("lent out", True, None, False, "away"),
        ("customer's", False, None, False, "held for others"),
        ("customer's", False, "Grey saloon", True, "held for others"),
        ("lent in", True, None, False, "held for others"),
        ("the insurer's", False, None, False, "held for others"),
    ],
)
def test_what_counts_in_the_total(whose: str, is_away: bool, car: str | None, insured: bool, heading: str) -> None:
    cover = counted(whose, is_away, car, insured)

    assert (cover.heading, cover.counted) == (heading, heading == "counted")
    assert cover.why


def test_last_seen_is_the_last_time_somebody_had_it_before_them() -> None:
    told: dict[str, list[Any]] = {
        "marking": [Statement("2026-01-01")],
        "bench_run": [Statement("2026-03-01", how_known="measured")],
        "seal_sighting": [Statement("2026-03-20", state="not seen"), Statement("2026-03-21", how_known="from a list")],
        "provenance": [Statement("2026-03-22", how="bought", attribution="said by seller")],
        "attachment": [Statement("2026-03-23", shows="paper")],
        "valuation": [Statement("2026-03-24")],
        "move": [Statement("2026-04-02", place_id=3)],
    }

    seen = last_seen(told, UNTIL, SHOWS)

    assert seen is not None
    assert (seen.how, seen.fact.on) == ("test: hold", "2026-03-01")
    assert last_seen({"valuation": told["valuation"]}, UNTIL, SHOWS) is None


def test_a_value_is_old_after_three_years() -> None:
    assert old_before(D) == "2023-03-31"
    assert months_before(date(2024, 2, 29), 12) == date(2023, 2, 28)
    assert months_before(date(2026, 3, 31), 1) == date(2026, 2, 28)
    assert months_before(date(2026, 1, 15), 36) == date(2023, 1, 15)
