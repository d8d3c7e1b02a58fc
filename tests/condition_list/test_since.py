"""Lists that were given out since when something changed, and old values: what Today says of them."""

from __future__ import annotations

from pathlib import Path

from inventory.condition_list.actions import FOR_INSURER, give_out
from inventory.condition_list.load_since import ListOvertaken, lists_overtaken
from inventory.condition_list.queries import CONDITION_LIST
from inventory.facts.change import withdraw
from inventory.given_out.actions import given
from inventory.seals.actions import note_seal
from inventory.store.record import Record
from inventory.valuation.queries import old_values
from tests.condition_list.conftest import OnDay
from tests.condition_list.workshop import BY, Workshop
from tui.data import today


def test_a_list_is_overtaken_by_what_is_recorded_or_taken_back_after_it(
    record: Record, on_day: OnDay, tmp_path: Path
) -> None:
    on_day("2026-03-31")
    shop = Workshop(record)
    sensor = shop.part("pressure sensor", "850", on="2022-03-01")
    pump = shop.part("fuel pump", "120", on="2026-03-01")
    with record.write() as session:
        intact = note_seal(session, BY, sensor, "cap", "intact")
    on_day("2026-04-01")
    for number, to in ((1, "Hollander Mutual"), (2, "Hollander Mutual"), (3, "")):
        give_out(record, BY, tmp_path / f"{number}.csv", options=FOR_INSURER)
        if to:
            given(record, BY, CONDITION_LIST, number, to)
    with record.read() as session:
        assert lists_overtaken(session) == []
        assert today.values_old(session)[0].says == "Value due: 1 part last valued more than 3 years ago"
        assert old_values(session, "2027-01-01") == 2

    on_day("2026-04-02")
    with record.write() as session:
        withdraw(session, BY, intact, "wrong part")
        note_seal(session, BY, pump, "cap", "intact")
    with record.read() as session:
        found, (line,) = lists_overtaken(session), today.lists_overtaken(session)

    assert found == [ListOvertaken(2, "Hollander Mutual", "2026-04-01", "insurer", 2)]
    assert line.says == "List no. 2, given to Hollander Mutual: something was recorded since of 2 parts"
    assert (line.opens, line.of) == ("list out", "insurer")
