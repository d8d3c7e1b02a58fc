"""The three lanes of a part's history, what does not fit in them, and whether what came back is the same unit."""

from __future__ import annotations

import pytest

from inventory.facts.change import add, withdraw
from inventory.history.lanes import lane_of
from inventory.history.load_history import PartHistory, part_history
from inventory.history.troubles import GAP, ORDER, OVERLAP
from inventory.parts.actions import describe
from inventory.parts.markings import Markings
from inventory.provenance.actions import note_provenance
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from tests.build import BY, SENSOR, make_car, make_part


@pytest.fixture
def part(record: Record) -> str:
    return make_part(record, SENSOR, on="2020-05-01")


def note(record: Record, tag: str, how: str, on: str, **more: str) -> str:
    with record.write() as session:
        return note_provenance(session, BY, tag, how, on=on, **more)  # type: ignore[arg-type]


def history(record: Record, tag: str, *, for_others: bool = False) -> PartHistory:
    with record.read() as session:
        return part_history(session, tag, for_others=for_others)


def says(found: PartHistory, lane: str, sort: str) -> list[str]:
    return [each.says for each in found.troubles if (each.lane, each.sort) == (lane, sort)]


def test_lent_breaks_no_title_and_sold_is_told_in_its_own_lane(record: Record, part: str) -> None:
    note(record, part, "bought", "about 1998", party="Marta Lindqvist", attribution="document")
    note(record, part, "lent out", "2021-03-01", party="Otto Brandt")

    found = history(record, part)

    title, custody = lane_of(found.lanes, "title"), lane_of(found.lanes, "custody")
    assert [(event.when, event.says, event.known) for event in title.events] == [
        ("about 1998", "bought from Marta Lindqvist", "document")
    ]
    assert (title.now, custody.now) == ("here", "Otto Brandt")
    assert says(found, "custody", GAP) == []


def test_what_was_left_here_and_returned_goes_to_whose_it_was_all_the_time(record: Record, part: str) -> None:
    note(record, part, "left here by a customer", "2021-03-01", party="Otto Brandt")
    note(record, part, "returned", "2021-05-01")

    found = history(record, part)

    title, custody = lane_of(found.lanes, "title"), lane_of(found.lanes, "custody")
    assert (title.now, custody.now) == ("Otto Brandt", "Otto Brandt")
    assert title.events[-1].says == custody.events[-1].says == "returned to Otto Brandt"
    assert says(found, "title", GAP) == ["nothing before 2021-03-01"]


def test_each_gap_names_its_lane(record: Record, part: str) -> None:
    note(record, part, "sold", "1985", party="Otto Brandt", attribution="said by seller")
    note(record, part, "bought", "1998", party="Marta Lindqvist")
    note(record, part, "sent out", "2020-06-01", party="Kessel works")
    with record.write() as session:
        describe(session, BY, part, Markings(serial="71-40822"), on="2020-09-01")

    found = history(record, part)

    between = "between 1985 and 1998: how it went from Otto Brandt to Marta Lindqvist is not known"
    assert says(found, "title", GAP) == ["nothing before 1985", between]
    again = "sent out to Kessel works 2020-06-01; seen here again on 2020-09-01, and nothing says how it came back"
    assert says(found, "custody", GAP) == [again]


def test_what_cannot_have_been_so_is_said(record: Record, part: str) -> None:
    make_car(record)
    note(record, part, "bought", "2021-01-01", party="Marta Lindqvist")
    note(record, part, "bought", "2022-01-01", party="Otto Brandt")
    note(record, part, "lent out", "2022-02-01", party="Otto Brandt")
    note(record, part, "sent out", "2022-03-01", party="Kessel works")
    with record.write() as session:
        describe(session, BY, part, Markings(date_code="22/75"))
        add(
            session,
            BY,
            "provenance",
            part,
            {"lane": "custody", "how": "came back", "attribution": "inferred"},
            on="1972",
        )

    found = history(record, part)

    assert says(found, "title", OVERLAP) == ["bought 2021-01-01 and bought 2022-01-01, and nothing says that it left"]
    twice = (
        "lent out to Otto Brandt 2022-02-01 and sent out to Kessel works 2022-03-01, and nothing says that it was back"
    )
    assert says(found, "custody", OVERLAP) == [twice]
    made = "came back 1972, but its date code 22/75 says that it was made in 1975"
    assert says(found, "custody", ORDER) == [made]
    assert says(found, "custody", GAP)[0] == "came back 1972, but nothing says that it had gone"


def test_seen_here_before_it_came_is_an_impossible_order(record: Record, part: str) -> None:
    note(record, part, "bought", "2021-01-01")

    assert says(history(record, part), "custody", ORDER) == ["seen here on 2020-05-01, but it came (bought) 2021-01-01"]


def test_two_cars_without_coming_off_overlap(record: Record, part: str) -> None:
    make_car(record)
    make_car(record, "Blue coupe")
    for car, day in (("Green tourer", "2021-01-01"), ("Blue coupe", "2021-02-01")):
        with record.write() as session:
            teardown.fit(session, BY, part, "inner wing", car=car, on=day)

    fitted = "fitted to Green tourer / inner wing 2021-01-01 and to Blue coupe / inner wing 2021-02-01"
    assert says(history(record, part), "use", OVERLAP) == [f"{fitted}, and nothing says that it came off"]


@pytest.mark.parametrize(
    ("serial", "verdict"),
    [
        ("71 40822", "the same by its serial"),
        ("71-40828", "not the same by its serial: look again at both before you rely on it"),
        (None, "cannot be told: no mark was looked at both before and after"),
    ],
)
def test_what_came_back_is_held_against_what_went_out(
    record: Record, part: str, serial: str | None, verdict: str
) -> None:
    note(record, part, "sent out", "2020-06-01", party="Kessel works")
    assert history(record, part).absences[0].same == "still away, sent out to Kessel works 2020-06-01"
    note(record, part, "came back", "2020-08-01")
    with record.write() as session:
        if serial:
            describe(session, BY, part, Markings(serial=serial), on="2020-08-02")

    (absence,) = history(record, part).absences

    assert absence.same == verdict


def test_for_others_no_name_and_no_free_words_are_left(record: Record, part: str) -> None:
    note(record, part, "bought", "1998", party="Marta Lindqvist", text="from Marta, cheap", price="20", currency="EUR")

    told = str(history(record, part, for_others=True).as_dict())

    assert "person A" in told
    assert "Marta" not in told


def test_a_listed_serial_is_said_at_every_door_and_a_date_code_never(record: Record, part: str) -> None:
    other = make_part(record, Markings(kind="relay", serial="9", date_code="71-40822"))
    with record.write() as session:
        fact = add(session, BY, "stolen part", "record", {"serial": "71 40822", "source": "a letter"})

    assert [each[:17] for each in history(record, part).remarks] == ["listed as stolen:"]
    assert history(record, other).remarks == ()
    with record.write() as session:
        withdraw(session, BY, fact, "found again")
    assert history(record, part).remarks == ()
