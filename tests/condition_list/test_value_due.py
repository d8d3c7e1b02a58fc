"""Which values are due, and what matters first."""

from __future__ import annotations

from inventory.condition_list.load_worth import worth
from inventory.condition_list.value_proof import NO_PROOF
from inventory.provenance.actions import note_provenance
from inventory.store.record import Record
from inventory.valuation import actions as valuation
from inventory.valuation.queries import last_noted
from tests.condition_list.conftest import OnDay
from tests.condition_list.workshop import BY, Workshop
from tui.data.worth import last_value, overview


def test_what_is_worth_most_is_due_first_whatever_the_currency(record: Record, on_day: OnDay) -> None:
    on_day("2026-03-31")
    shop = Workshop(record)
    fresh = shop.part("relay", "20", on="2026-01-05")
    old = shop.part("fuel pump", "120.50", on="2021-01-05")
    yen = shop.part("fuel pump", "90000", currency="JPY", on="2021-01-05")
    guessed = shop.part("fuel pump", on="2026-01-05")
    bare = shop.part("loom", on="2026-01-05")
    lent = shop.part("ignition coil", "60", on="2020-01-05")
    with record.write() as session:
        note_provenance(session, BY, lent, "lent out", on="2026-02-04")
        valuation.note_value(session, BY, fresh, "25", "EUR", basis="replacement", on="2026-01-05")

    with record.read() as session:
        found = worth(session)
        tags = [due.tag for due in found.due]
        replacement = {due.tag: due for due in worth(session, "replacement").due}
        assert worth(session, months=1200).due == [each for each in found.due if each.amount is None]

    assert set(tags[:3]) == {old, yen, guessed}  # each the most of its currency, or like the middle one of its kind
    assert tags[3:] == [bare, lent]
    drawn = shop.drawn()
    assert (found.totals.counted, found.totals.by_heading) == (drawn.totals, drawn.other_totals_by_heading)
    assert fresh not in replacement
    assert replacement[old].says == 'no value on the basis "replacement"; market EUR 120.50'
    assert replacement[old].expected == "EUR 120.50"
    assert replacement[bare].expected is None


def test_what_is_dearest_stands_first_with_what_proves_it(record: Record, on_day: OnDay) -> None:
    on_day("2026-03-31")
    shop = Workshop(record)
    cheap = shop.part("relay", "20", on="2020-01-05")
    dear = shop.part("fuel pump", "120.50", on="2026-01-05", serial="71-4")
    yen = shop.part("fuel pump", "90000", currency="JPY", on="2026-01-05")
    bare = shop.part("loom", on="2026-01-05")

    with record.read() as session:
        found = worth(session).proofs
        noted = last_noted(session)
        seen = overview(session, "market")
        offered = last_value(session, bare)

    assert {each.tag for each in found[:2]} == {dear, yen}
    assert [each.tag for each in found[2:]] == [cheap, bare]
    assert {each.tag: each.lacks for each in found}[dear] == ("no paper", "no picture")
    assert found[-1].lacks == NO_PROOF
    assert [each.stale for each in found] == [False, False, True, False]
    assert noted is not None
    assert noted.currency == "JPY"
    assert [each.tag for each in seen.dearest] == [each.tag for each in found[:3]]
    assert {each.tag for each in seen.due} == {cheap, bare}
    assert (offered.noted, offered.currency, offered.basis) == ((), "JPY", "market")
