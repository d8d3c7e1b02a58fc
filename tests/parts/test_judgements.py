"""What a part is now, judged from facts: the rules of the contract, told as small cases."""

from __future__ import annotations

import itertools
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.parts.judgements import PartFacts, current, worst_seal

_MARKS = ("kind", "maker", "part_number", "serial", "date_code", "marks")
_NONE = dict.fromkeys((*_MARKS, "match_code", "match_code_state", "match_code_read_from", "extra"))
_numbers = itertools.count(1)


def fact(on: str, **values: Any) -> Any:
    number = next(_numbers)
    moment = f"2026-04-01T10:00:{number % 60:02d}"
    days = {"counts_from": on, "so_from": on, "earliest": on, "latest": on, "ranked": moment, "recorded": moment}
    return SimpleNamespace(id=number, thing_id=1, how_known="seen", **days, **{"serial_state": None, **values})


def marking(on: str, **values: Any) -> Any:
    return fact(on, **{**_NONE, **values})


def seal(on: str, name: str, state: str, document_id: int | None = None) -> Any:
    return fact(on, seal=name, state=state, document_id=document_id)


def test_a_later_look_wins_and_silence_changes_nothing() -> None:
    facts = PartFacts(
        markings=[
            marking("2026-03-01", kind="relay", serial="17", match_code="K", match_code_state="read"),
            marking("2026-03-05", serial="71"),
        ]
    )

    now = current(facts)

    assert (now.kind, now.serial, now.match_code) == ("relay", "71", "K")


def test_a_back_dated_fact_does_not_overwrite_a_newer_state() -> None:
    newer = marking("2026-03-05", kind="relay", serial="71")
    written_later_about_earlier = marking("1998-12-31", serial="17")

    assert current(PartFacts(markings=[newer, written_later_about_earlier])).serial == "71"


def test_code_state_and_origin_belong_together() -> None:
    facts = [
        marking("2026-03-01", match_code="K", match_code_state="read", match_code_read_from="seller"),
        marking("2026-03-02", match_code_state="label gone"),
    ]

    now = current(PartFacts(markings=facts))

    assert (now.match_code, now.match_code_state, now.match_code_read_from) == (None, "label gone", None)


@pytest.mark.parametrize(
    ("sightings", "worst"),
    [
        ([], "not seen"),
        ([("cap", "intact")], "intact"),
        ([("cap", "intact"), ("label", "missing")], "missing"),
        ([("cap", "intact"), ("label", "not seen")], "not seen"),
        ([("cap", "disturbed"), ("label", "not seen")], "disturbed"),
        ([("cap", "never fitted")], "never fitted"),
        ([("cap", "never fitted"), ("label", "intact")], "intact"),
        ([("cap", "renewed")], "disturbed"),
    ],
)
def test_the_worst_of_the_latest_sightings(sightings: list[tuple[str, str]], worst: str) -> None:
    """missing, disturbed, not seen, renewed, intact; renewed without a document counts as disturbed."""
    assert worst_seal([seal("2026-03-02", name, state) for name, state in sightings]) == worst


def test_renewed_with_its_document_is_renewed() -> None:
    assert worst_seal([seal("2026-03-02", "cap", "renewed", document_id=4), seal("2026-03-02", "label", "intact")]) == (
        "renewed"
    )


def test_a_seal_found_missing_counts_so_until_it_is_renewed() -> None:
    missing, intact = seal("2026-03-01", "cap", "missing"), seal("2026-03-09", "cap", "intact")
    assert worst_seal([missing, intact]) == "missing"
    assert worst_seal([missing, seal("2026-03-05", "cap", "renewed", 7), intact]) == "renewed"


def test_on_and_off_a_car() -> None:
    off = fact("2026-03-01", car_id=1, position_id=7)
    put = fact("2026-03-02", place_id=3)
    on = fact("2026-06-01", car_id=2, position_id=9)

    loose = current(PartFacts(removals=[off], moves=[put]))
    fitted = current(PartFacts(removals=[off], moves=[put], fittings=[on]))

    assert (loose.car_id, loose.position_id, loose.fitted, loose.place_id) == (1, 7, "no", 3)
    assert (fitted.car_id, fitted.position_id, fitted.fitted, fitted.place_id) == (2, 9, "yes", None)


def test_sold_and_bought_back() -> None:
    bought = fact("2019-05-18", how="bought", whose="own")
    sold = fact("2025-11-08", how="sold", whose=None)
    again = fact("2026-02-01", how="bought", whose="own")

    assert current(PartFacts(provenance=[bought, sold])).gone == "sold"
    assert current(PartFacts(provenance=[bought, sold, again])).gone is None


@given(st.permutations([("2026-03-01", "1"), ("2026-03-02", "2"), ("2026-03-03", "3"), ("1998-12-31", "4")]))
def test_the_order_in_which_facts_are_written_does_not_matter(order: list[tuple[str, str]]) -> None:
    assert current(PartFacts(markings=[marking(on, serial=serial) for on, serial in order])).serial == "3"
