"""A second part off a position that is empty already: refused unasked, and each answer writes what it says."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inventory.cars import actions as cars
from inventory.contradictions.queries import contradictions_of
from inventory.errors import Refused
from inventory.facts.take_back import last_act, withdraw_act
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.queries import lines, part_row
from inventory.parts.tags import issue
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.teardown.load_history import histories
from inventory.teardown.queries import open_strip_downs, status
from inventory.teardown.write_second import read_second
from inventory.verification import verify
from tests.build import BY, make_car

CAR = "Green tourer"
INJECTOR = Markings("injector", "Ostrell", "HV 20")


def act(record: Record, does: Callable[..., Any], *values: object, **named: object) -> Any:
    with record.write() as session:
        return does(session, BY, *values, **named)


def off(record: Record, position: str, second: str = "", **named: Any) -> Any:
    how = read_second(second) if second else None
    return act(record, teardown.log, INJECTOR, ComingOff(position=position), car=CAR, second=how, **named)


def history(record: Record, position: str) -> list[tuple[str, str]]:
    with record.read() as session:
        now = status(session, open_strip_downs(session)[0])
        (view,) = [view for view in now.positions if view.name == position]
        return [(each.tag, each.what) for each in histories(session, [view.id]).get(view.id, [])]


@pytest.fixture
def first(record: Record) -> str:
    make_car(record, CAR)
    act(record, cars.list_position, CAR, "injector 1", cars.Listing(1, "injector"))
    act(record, teardown.begin, CAR)
    return str(off(record, "injector 1").tag)


def test_a_second_part_is_refused_and_nothing_is_written(record: Record, first: str) -> None:
    with pytest.raises(Refused) as refused:
        off(record, " Injector 1")
    assert (refused.value.code, first in refused.value.message) == ("position-emptied", True)
    with pytest.raises(Refused, match="does not say how"):
        read_second("perhaps")
    assert history(record, "injector 1") == [(first, "came off")]


@pytest.mark.parametrize(
    ("second", "here", "there"),
    [
        ("other at injector 3", ["second came off"], ["first came off"]),
        ("both sat here", ["first came off", "second came off"], []),
        ("went back on", ["first came off", "first was fitted", "second came off"], []),
    ],
)
def test_each_answer_writes_what_it_says_in_one_act(
    record: Record, first: str, second: str, here: list[str], there: list[str]
) -> None:
    logged = off(record, "injector 1", second)
    names = {first: "first", logged.tag: "second"}

    def told(position: str) -> list[str]:
        return [f"{names[tag]} {what}" for tag, what in history(record, position)]

    assert told("injector 1") == here
    if there:
        assert told("injector 3") == there
    with record.read() as session:
        keys = [part_row(session, tag).id for tag in names]
        assert not [one for one in contradictions_of(session, keys) if one.contradiction.open]
        fitted = {line.tag: line.fitted for line in lines(session, keys)}
    assert fitted == {first: second == "went back on", logged.tag: False}
    assert verify(record).ok
    with record.write() as session:
        last = last_act(session, BY, record.acts)
        assert last is not None
        withdraw_act(session, BY, last.key, "wrong")
    assert history(record, "injector 1") == [(first, "came off")]


def test_one_part_with_two_labels_is_logged_once_and_the_second_label_is_free(record: Record, first: str) -> None:
    (label,) = issue(1, lambda _: ())
    assert off(record, "injector 1", "one part", tag=label).tag == first
    assert history(record, "injector 1") == [(first, "came off")]
    known = off(record, "injector 2").tag
    with pytest.raises(Refused) as refused:
        off(record, "injector 1", "one part", tag=known)
    assert refused.value.code == "two-parts-on-record"
    assert off(record, "injector 4", tag=label).tag == label


def test_the_other_did_not_sit_at_a_position_that_is_empty_too_and_a_third_is_asked_again(
    record: Record, first: str
) -> None:
    second = off(record, "injector 1", "both sat here").tag
    off(record, "injector 2")
    for how in ("", "other at injector 2"):
        with pytest.raises(Refused) as refused:
            off(record, "injector 1", how)
        assert refused.value.code == "position-emptied"
    off(record, "injector 1", "both sat here")
    with record.read() as session:
        keys = [part_row(session, tag).id for tag in (first, second)]
        assert not [one for one in contradictions_of(session, keys) if one.contradiction.open]


def test_a_part_does_not_come_off_before_it_was_fitted(record: Record, first: str) -> None:
    tag = act(record, parts.add_part, INJECTOR)
    act(record, teardown.fit, tag, "injector 9", car=CAR, on="2026-03-04")
    with pytest.raises(Refused) as refused:
        off(record, "injector 9", tag=tag, on="2026-02")
    assert refused.value.code == "removal-before-fitting"
    off(record, "injector 9", tag=tag, on="2026-03")
