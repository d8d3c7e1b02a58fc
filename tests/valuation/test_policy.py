"""Who owns and insures what is listed, and where a car stands."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.cars.actions import add_car, put_car
from inventory.cars.queries import car_named
from inventory.errors import Refused
from inventory.people.actions import blank_contact
from inventory.places.actions import add_place
from inventory.store.facts import AsOf
from inventory.store.record import Record
from inventory.valuation.actions import note_rate, set_policy
from inventory.valuation.queries import policy, rates
from inventory.verification import verify

BY = "Maud"


def test_what_is_not_given_stays_as_it_was_by_that_day(record: Record) -> None:
    with record.write() as session:
        set_policy(session, BY, {"owner": "Ulla Brandvesk", "number": "HM 12", "until": "2026-12"}, on="2026-01-01")
        set_policy(session, BY, {"insurer": "Holm Mutual", "number": "HM 99"}, on="2026-03-01")
        set_policy(session, BY, {"capacity": "owner"}, on="2026-02-01")  # told late: the number was HM 12 then
        set_policy(session, BY, {"until": ""}, on="2026-04-01")
    with record.read() as session:
        then, now = policy(session, AsOf(date(2026, 2, 15))), policy(session)
    assert (then.owner, then.number, then.capacity, then.insurer) == ("Ulla Brandvesk", "HM 12", "owner", None)
    assert (now.owner, now.number, now.insurer, now.until) == ("Ulla Brandvesk", "HM 99", "Holm Mutual", None)

    with record.write() as session:
        blank_contact(session, BY, "Ulla Brandvesk", "asked")
    with record.read() as session:
        assert policy(session).owner == "(name removed)"
    assert verify(record).ok

    with pytest.raises(Refused) as refusal, record.write() as session:
        set_policy(session, BY, {"owner": None})
    assert refusal.value.code == "nothing-said"


def test_rates_are_read_as_of_a_day(record: Record) -> None:
    with record.write() as session:
        note_rate(session, BY, "eur", "CHF", "0.9412", source="the bank", on="2026-02-02")
        note_rate(session, BY, "EUR", "CHF", "0.95", source="the bank", on="2026-03-02")
    with record.read() as session:
        (then,) = rates(session, AsOf(date(2026, 2, 28)))
        assert [rate.rate for rate in rates(session)] == ["0.9412", "0.95"]
    assert then.says == "1 EUR = 0.9412 CHF on 2026-02-02, the bank"


def test_a_car_stands_where_it_was_put_last(record: Record) -> None:
    with record.write() as session:
        add_car(session, BY, "Green tourer")
        add_place(session, BY, "bay 1", premises="Ebbgate Works")
        add_place(session, BY, "barn")
        put_car(session, BY, "Green tourer", "barn", on="2026-02-01")
        put_car(session, BY, "Green tourer", "bay 1", on="2026-01-01")
    with record.read() as session:
        car = car_named(session, "Green tourer")
    assert (car.place, car.premises) == ("barn", None)
    assert verify(record).ok
