"""What to test this winter: the shelf by worth times the change that the best test is expected to bring."""

from __future__ import annotations

from decimal import Decimal

from inventory.bench.actions import run
from inventory.evidence.due import DueTest, shelf_due
from inventory.evidence.load_due import due_on_shelf
from inventory.evidence.next_tests import NextTest
from inventory.parts.markings import Markings
from inventory.provenance.actions import note_provenance
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.valuation.actions import note_value
from tests.build import BY, CAR, make_car, make_part


def one(tag: str, change: float, minutes: float, worth: str | None = None, currency: str = "") -> DueTest:
    test = NextTest("hold", minutes, 0.7, 0.1, change)
    return DueTest(tag, "sensor", test, 0.5, Decimal(worth) if worth else None, currency)


def test_it_is_ranked_by_worth_times_change_and_with_a_time_by_gain_for_an_hour() -> None:
    slow, quick, small = (
        one("A", 0.3, 60, "1000", "EUR"),
        one("B", 0.2, 10, "800", "EUR"),
        one("C", 0.2, 5, "90", "EUR"),
    )
    krona, unknown = one("D", 0.1, 10, "9000", "SEK"), one("E", 0.2, 10)

    every = shelf_due([unknown, small, krona, quick, slow, None, one("F", 0.001, 5, "5000", "EUR")])

    assert [each.tag for each in every.by_currency["EUR"]] == ["A", "B", "C"]
    assert [each.gain_per_hour for each in every.by_currency["EUR"]] == [300.0, 960.0, 216.0]
    assert every.by_currency["SEK"] == (krona,)
    assert (every.no_value, every.settled) == ((unknown,), 2)
    short = shelf_due([slow, small, quick, unknown], minutes=65.0)
    assert [each.tag for each in short.by_currency["EUR"]] == ["B", "C"]
    assert short.no_value == (unknown,)
    assert (short.minutes, short.left_out) == (25.0, 1)


def test_the_minutes_are_one_budget_for_all_currencies_and_what_is_left_goes_to_parts_without_a_value() -> None:
    euro, krona = one("A", 0.3, 20, "100", "EUR"), one("B", 0.2, 10, "9000", "SEK")
    second, unknown, quick = one("C", 0.1, 30, "100", "EUR"), one("D", 0.4, 20), one("E", 0.01, 5)

    found = shelf_due([euro, krona, second, unknown, quick], minutes=35.0)

    assert found.by_currency == {"EUR": (euro,), "SEK": (krona,)}
    assert (found.no_value, found.minutes, found.left_out) == ((quick,), 35.0, 2)
    assert shelf_due([euro, krona], minutes=15.0).by_currency == {"SEK": (krona,)}
    assert shelf_due([euro], minutes=5.0).by_currency == {}


def test_the_shelf_is_what_is_ours_loose_and_here_and_without_a_value_it_stands_apart(record: Record) -> None:
    make_car(record)
    shelf = [make_part(record, Markings(kind="pressure sensor", serial=f"{at}")) for at in range(8)]
    valued, tested, customers, sold, sent, back, fitted, unvalued = shelf
    box = make_part(record, Markings(kind="other"))
    with record.write() as session:
        for tag in shelf[:-1]:
            note_value(session, BY, tag, "850", "EUR", on="2026-01-05")
        note_value(session, BY, tested, "400", "EUR", on="2026-01-05")
        note_value(session, BY, valued, "90", "EUR", basis="repair cost", on="2026-01-06")
        note_provenance(session, BY, customers, "left here by a customer", lane="custody", whose="customer's")
    for tag, ways in ((sold, ["sold"]), (sent, ["sent out"]), (back, ["sent out", "came back"])):
        for how in ways:
            with record.write() as session:
                note_provenance(session, BY, tag, how, lane="title" if how == "sold" else "custody")
    with record.write() as session:
        teardown.fit(session, BY, fitted, "inner wing", car=CAR, on="2026-02-10")
        run(session, BY, tested, "hold", ["0s=50cmHg", "10s=48cmHg"], {"resolution": "1cmHg"}, on="2026-02-11")

    with record.read() as session:
        found = due_on_shelf(session)

    euros = {each.tag: (each.test.procedure, str(each.worth)) for each in found.by_currency["EUR"]}
    assert euros == {valued: ("hold", "850"), back: ("hold", "850"), tested: ("resistance", "400")}
    assert [each.tag for each in found.by_currency["EUR"]][-1] == tested
    assert [each.tag for each in found.no_value] == [unvalued]
    assert found.settled == 1, box
