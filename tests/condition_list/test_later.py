"""What came after the day of a list is told on it; and what changed since another list."""

from __future__ import annotations

from pathlib import Path

from inventory.condition_list.actions import condition_list, give_out, with_changes
from inventory.condition_list.queries import CONDITION_LIST
from inventory.facts.change import correct, withdraw
from inventory.given_out.actions import given
from inventory.parts import actions as parts
from inventory.places import actions as places
from inventory.provenance import actions as provenance
from inventory.seals.actions import note_seal
from inventory.valuation import actions as worth
from tests.condition_list.conftest import OnDay
from tests.condition_list.workshop import BY, Workshop, day

APRIL = "2026-04-30"


def test_what_was_recorded_corrected_or_taken_back_after_the_day(workshop: Workshop, on_day: OnDay) -> None:
    tag, fuel_pump = workshop.tags["ours"], workshop.tags["on_grey"]
    (look,) = workshop.item("ours", workshop.drawn()).seals
    (worth_of,) = workshop.item("on_grey", workshop.drawn()).values
    on_day("2026-12-05")
    with workshop.record.write() as session:
        correct(session, BY, look.when.fact, {"state": "disturbed"}, "read the wrong part")
        withdraw(session, BY, worth_of.when.fact, "wrong pump")
        parts.note(session, BY, tag, "heard a rattle", on="2026-04-02")
        provenance.note_provenance(session, BY, workshop.tags["unit"], "sold", party="Tove Askelund", on="2026-04-10")
    on_day("2026-12-20")
    with workshop.record.write() as session:
        note_seal(session, BY, tag, "label", "missing")
    for known_on in ("2026-12-20", "2026-12-05", APRIL):
        drawn = workshop.drawn(APRIL, known_on)
        told = {(each.tag, each.happened, each.recorded_on): each for each in drawn.later}

        assert "intact" in told[tag, "corrected", "2026-12-05"].says.split("->")[0]
        assert "disturbed" in told[tag, "corrected", "2026-12-05"].says.split("->")[1]
        assert "120.5" in told[fuel_pump, "taken back", "2026-12-05"].says
        assert told[tag, "recorded", "2026-12-05"].so_on == "2026-04-02"
        assert "missing" in told[tag, "recorded", "2026-12-20"].says
        assert len(drawn.later) == 5
        gone = told[workshop.tags["unit"], "recorded", "2026-12-05"]
        assert "sold" in gone.says
        assert "Askelund" not in gone.says
        assert (gone.item is None) == (known_on != APRIL)
    before = workshop.drawn(APRIL, "2026-12-05").fingerprint
    on_day("2026-12-21")
    with workshop.record.write() as session:
        note_seal(session, BY, tag, "label", "intact")
    assert workshop.drawn(APRIL, "2026-12-05").fingerprint == before
    assert workshop.drawn().later == ()


def test_a_part_entered_after_the_day_is_one_line(file_workshop: Workshop, on_day: OnDay) -> None:
    on_day("2026-05-02")
    late = file_workshop.part("relay", "10", on="2026-05-02")

    (told,) = file_workshop.drawn(APRIL).later
    assert (told.tag, told.happened, told.recorded_on) == (late, "recorded", "2026-05-02")


def test_a_later_move_is_told_by_its_premises_never_as_taken_away(file_workshop: Workshop, on_day: OnDay) -> None:
    on_day("2026-05-02")
    with file_workshop.record.write() as session:
        places.add_place(session, BY, "bay 1", premises="Barn", on="2020")
        places.put(session, BY, file_workshop.tags["ours"], "bay 1", on="2026-05-02")

    (told,) = file_workshop.drawn(APRIL).later
    assert told.says == "move: put in Barn"


def test_changes_since_the_last_list_that_was_given_out(workshop: Workshop, on_day: OnDay, tmp_path: Path) -> None:
    give_out(workshop.record, BY, tmp_path / "a.json")
    with workshop.record.read() as session:
        assert with_changes(session, condition_list(session)).changes is None
    given(workshop.record, BY, CONDITION_LIST, 1, "Halmer Insurance")
    on_day("2026-06-01")
    with workshop.record.write() as session:
        worth.note_value(session, BY, workshop.tags["ours"], "900", "EUR", basis="market", source="an offer")
        provenance.note_provenance(session, BY, workshop.tags["unit"], "sold", on="2026-05-10")
    came = workshop.part("relay", "10", on="2026-06-01")
    give_out(workshop.record, BY, tmp_path / "b.json")
    with workshop.record.read() as session:
        drawn = with_changes(session, condition_list(session, day("2026-06-01")))

    assert drawn.changes is not None
    assert (drawn.changes.since, drawn.front.replaces) == (1, 1)
    assert (drawn.changes.came, drawn.changes.went) == ((came,), (workshop.tags["unit"],))
    values = [(each.was, each.now) for each in drawn.changes.changed if each.what == "Value"]
    assert values == [("850", "900")]
    assert {each.tag for each in drawn.changes.changed} == {workshop.tags["ours"]}
