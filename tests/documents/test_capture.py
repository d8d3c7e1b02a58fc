"""When a picture was taken, against published examples and zoneinfo's tables."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from inventory.documents.capture import moment_of, shown_how_often, taken_at


@pytest.mark.parametrize(
    ("original", "offset", "zone", "utc"),
    [
        # Local and UTC times of one picture: exiftool-vendored, documentation of extractTzOffsetFromUTCOffset.
        ("2023:01:15 11:30:00", "-08:00", "Asia/Tokyo", "2023-01-15T19:30:00"),
        ("2023:07:20 14:15:30", "+09:00", "Europe/Berlin", "2023-07-20T05:15:30"),
        ("2023:01:15 11:30:00", None, "America/Los_Angeles", "2023-01-15T19:30:00"),
        ("2023:07:20 14:15:30", "   :  ", "Asia/Tokyo", "2023-07-20T05:15:30"),
    ],
)
def test_moment_is_that_of_the_cameras_offset_else_of_the_records_zone(
    original: str, offset: str | None, zone: str, utc: str
) -> None:
    taken = taken_at(original, None, offset)

    assert taken is not None
    assert moment_of(taken, ZoneInfo(zone)).astimezone(UTC) == datetime.fromisoformat(utc).replace(tzinfo=UTC)


def test_parts_of_a_second_count() -> None:
    times = [taken_at("2026:03:12 10:42:07", digits) for digits in ("05", "5", "1234567", None, "x")]

    assert [time and time.microsecond for time in times] == [50_000, 500_000, 123_456, 0, 0]


@pytest.mark.parametrize(
    "field",
    [None, "", "    :  :     :  :  ", "0000:00:00 00:00:00", "2026:02:30 10:00:00", "2026-03-12 10:00:00", b"x", 7],
)
def test_what_is_no_time_is_none(field: object) -> None:
    assert taken_at(field) is None


@pytest.mark.parametrize("field", ["0001:01:01 00:00:00", "9999:12:31 23:59:59"])
def test_clock_outside_the_years_of_photography_says_nothing(field: str) -> None:
    assert taken_at(field) is None


def test_repeated_and_lost_hours_are_those_of_the_zones_table() -> None:
    """Every half hour of 2026, counted through UTC: a local time comes up once, twice or never."""
    zone = ZoneInfo("Europe/Berlin")
    start = datetime(2026, 1, 1, tzinfo=UTC)
    seen = [(start + timedelta(minutes=30 * step)).astimezone(zone).replace(tzinfo=None) for step in range(48 * 365)]
    times = {
        name: {at for at in map(_local, range(48 * 365)) if shown_how_often(at, zone) == name}
        for name in ("twice", "never")
    }

    assert times["twice"] == {at for at, count in Counter(seen).items() if count == 2}
    assert times["never"] == {datetime(2026, 3, 29, 2), datetime(2026, 3, 29, 2, 30)}
    first, second = (moment_of(datetime(2026, 10, 25, 2, 30), zone, second_hour=hour) for hour in (False, True))
    assert second.astimezone(UTC) - first.astimezone(UTC) == timedelta(hours=1)
    assert shown_how_often(datetime(2026, 10, 25, 2, 30, tzinfo=UTC), zone) == "once"


def _local(step: int) -> datetime:
    return datetime(2026, 1, 1, 1) + timedelta(minutes=30 * step)
