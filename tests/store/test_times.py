"""Times that fall along the log are remarked upon, in a few lines however many they are, and never as a change."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from inventory.places import actions as places
from inventory.record import actions as clocks
from inventory.store.days import clock
from inventory.store.record import Record
from inventory.store.verify.problems import Remark
from inventory.store.verify.times import Times
from inventory.verification import verify
from tests.build import BY

NOON = datetime(2026, 3, 31, 12, tzinfo=UTC)


def _remarks(minutes: list[float], wrong: tuple[int, ...] = ()) -> list[Remark]:
    """What is said of entries so many minutes after noon; `wrong`: the places of those stated wrong."""
    at = [clock.stamp(NOON + timedelta(minutes=each)) for each in minutes]
    times = Times({at[place - 1] for place in wrong}, NOON - timedelta(hours=1), "Etc/UTC")
    for place, moment in enumerate(at, 1):
        times.see(place, moment)
    return list(times.remarks())


def test_one_clock_that_was_ahead_is_named_with_what_followed() -> None:
    (remark,) = _remarks([0, 1, 22, 23, 2, 3, 4, 24])
    assert (remark.first, remark.last) == (3, 7)
    assert "Entries 5 to 7 of the log bear times up to 21 minutes before that of entry 4" in remark.says
    assert "--entries 3-4" in remark.says
    assert "--entries 5-7" in remark.says


@pytest.mark.parametrize("minutes", [[], [0], [0, 0, 1], [0, 4, 1, 5, 2], [3, 2, 1, 0]])
def test_acts_at_the_same_time_are_not_remarked_upon(minutes: list[float]) -> None:
    assert _remarks(minutes) == []


def test_what_is_stated_is_passed_over_with_what_it_pushed_ahead() -> None:
    pushed = 20 + 1e-6 / 60
    assert _remarks([0, 20, pushed, 1, 2]) != []
    assert _remarks([0, 20, pushed, 1, 2], wrong=(2,)) == []


def test_two_clocks_that_differ_all_day_are_a_few_lines() -> None:
    found = _remarks([each + (10 if each % 2 else 0) for each in range(200)])
    assert len(found) == 4
    assert found[-1].says.startswith("At 96 more places of the log, up to entry 199, times fall by up to ")


def test_times_before_the_record_was_made_are_told_apart() -> None:
    (remark,) = _remarks([0, -600, -599, 1])
    assert (remark.first, remark.last) == (2, 3)
    assert "before the record was made" in remark.says


def test_what_is_no_moment_is_left_to_the_chains() -> None:
    times = Times(set(), None, None)
    for place, at in enumerate(("many years ago", None, 7, "2026-03-31", clock.stamp(NOON)), 1):
        times.see(place, at)
    assert list(times.remarks()) == []


def test_verify_remarks_and_finds_nothing_changed(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, ahead in (("B1", 0), ("B2", 600), ("B3", 1), ("B4", 2)):
        monkeypatch.setattr(clock, "now", lambda ahead=ahead: NOON + timedelta(minutes=ahead))
        with record.write() as session:
            places.add_place(session, BY, name)

    found = verify(record)
    (remark,) = found.remarks
    assert found.ok
    assert found.as_dict()["remarks"][0]["last"] == found.entries
    with record.write() as session:
        moments = clocks.moments_of_entries(session, str(remark.first))
        clocks.state_wrong(session, BY, moments, "ten hours fast")
    assert verify(record).remarks == ()
