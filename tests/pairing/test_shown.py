"""A calibration shown to be right raises what seals and codes leave possible, where nothing was done since."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from inventory.bench import actions as bench
from inventory.cars import actions as cars
from inventory.pairing.candidate import CalibrationShown, Candidate, OnRecord
from inventory.pairing.findings.calibration_shown import mixture_shows, sweep_shows
from inventory.pairing.judgements import grade
from inventory.pairing.queries import mates
from inventory.parts import actions as parts
from inventory.seals import actions as seals
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from tests.build import BY, CAR, SENSOR, UNIT, make_car, make_part
from tests.pairing.test_judgements import CAP_GONE, FITS, UNCODED, s, u

ON_CAR = "the mixture was right on the running car with this pair (2026-03-02)"
SWEPT = "a sweep came out like the reference (2026-03-02)"
MIXTURE = CalibrationShown(ON_CAR, "2026-03-02 a", "K2210-C", "run-7")
SWEEP = CalibrationShown(SWEPT, "2026-03-02 a", fact="run-8")
OPENED = OnRecord("opened", "work-1")


@pytest.mark.parametrize(
    ("sensor", "unit", "expected", "told"),
    [
        # the cap is gone: either shows the setting all the same
        (s(**CAP_GONE), u(), "possible", ""),
        (s(**CAP_GONE, calibration_shown=(MIXTURE,)), u(), "probable", ON_CAR),
        (s(**CAP_GONE, calibration_shown=(SWEEP,)), u(), "probable", SWEPT),
        # with another control unit the mixture says nothing of this one
        (s(**CAP_GONE, calibration_shown=(replace(MIXTURE, mate="K9999-9"),)), u(), "possible", ""),
        # found or done since
        (s(**CAP_GONE, changed="2026-03-02 b", calibration_shown=(MIXTURE,)), u(), "possible", ""),
        (s(**CAP_GONE, changed="2026-03-01 b", calibration_shown=(MIXTURE,)), u(), "probable", ON_CAR),
        (s(**CAP_GONE, calibration_shown=(MIXTURE,)), u(changed="2026-03-03 a"), "possible", ""),
        (s(**CAP_GONE, calibration_shown=(SWEEP,)), u(changed="2026-03-03 a"), "probable", SWEPT),
        # a sweep of the sensor says nothing of codes or of the control unit
        (s(**UNCODED, calibration_shown=(SWEEP,)), u(), "possible", SWEPT),
        (s(**UNCODED, calibration_shown=(MIXTURE,)), u(), "probable", ON_CAR),
        (s(calibration_shown=(SWEEP,)), u(opened=OPENED), "possible", SWEPT),
        (s(calibration_shown=(MIXTURE,)), u(opened=OPENED), "probable", ON_CAR),
        # nothing is raised beyond probable, and nothing that is ruled out
        (s(calibration_shown=(MIXTURE, SWEEP)), u(), "confirmed", ON_CAR),
        (s(match_code="M", calibration_shown=(MIXTURE,)), u(), "ruled out", ON_CAR),
    ],
)
def test_what_was_shown_raises_possible_to_probable(
    sensor: Candidate, unit: Candidate, expected: str, told: str
) -> None:
    found = grade(sensor, unit, FITS)

    assert found.grade == expected
    assert (told in [reason.says for reason in found.reasons]) == bool(told)
    assert (f"but {told}" in found.says) == (expected == "probable")


@pytest.mark.parametrize(
    ("verdict", "passed", "shows"),
    [
        ("pass", ("cruise CO", "full load CO"), True),
        ("pass", ("cruise lambda", "full load CO", "idle CO"), True),
        ("pass", ("idle CO", "cruise CO"), False),
        ("pass", ("idle CO",), False),
        ("fail", ("cruise CO", "full load CO"), False),
    ],
)
def test_idle_alone_shows_little(verdict: str, passed: tuple[str, ...], shows: bool) -> None:
    figures: dict[str, Any] = {name: {"verdict": "pass"} for name in passed}

    assert mixture_shows(verdict, figures | {"pair": {"sensor": "a", "unit": "b"}}) == shows


def test_only_a_sweep_like_the_reference_shows() -> None:
    assert sweep_shows("pass", {"comparison": "like the reference"})
    assert not sweep_shows("fail", {"comparison": "differs at full load"})
    assert not sweep_shows("not judged", {"comparison": None})


def test_a_pair_that_ran_right_on_the_car_is_probable_until_one_is_opened(record: Record) -> None:
    make_car(record)
    sensor, unit = make_part(record, SENSOR), make_part(record, UNIT)
    with record.write() as session:
        parts.state_fit(session, BY, "HV 204 118", "HV 310 002")
        seals.note_seal(session, BY, sensor, "cap", "missing", on="2024-01-01")
        for tag, position in ((sensor, "wing"), (unit, "shelf")):
            cars.list_position(session, BY, CAR, position, cars.Listing())
            teardown.fit(session, BY, tag, position, car=CAR, on="2024-05-01")

    def graded() -> list[str]:
        with record.read() as session:
            return [pair.grade for pair in mates(session, sensor)]

    assert graded() == ["possible"]
    with record.write() as session:
        bench.run(session, BY, CAR, "mixture", ["cruise CO=0.8%", "full load CO=4.5%"], {}, on="2024-06-01")
    assert graded() == ["probable"]
    with record.write() as session:
        parts.log_work(session, BY, unit, "opened", "on the unit", on="2024-07-01")
    assert graded() == ["possible"]


def test_a_mixture_off_the_mark_takes_back_what_a_right_one_showed(record: Record) -> None:
    make_car(record)
    sensor, unit = make_part(record, SENSOR), make_part(record, UNIT)
    with record.write() as session:
        parts.state_fit(session, BY, "HV 204 118", "HV 310 002")
        seals.note_seal(session, BY, sensor, "cap", "missing", on="2024-01-01")
        for tag, position in ((sensor, "wing"), (unit, "shelf")):
            cars.list_position(session, BY, CAR, position, cars.Listing())
            teardown.fit(session, BY, tag, position, car=CAR, on="2024-05-01")

    def graded(readings: list[str], on: str) -> list[str]:
        with record.write() as session:
            bench.run(session, BY, CAR, "mixture", readings, {}, on=on)
        with record.read() as session:
            return [pair.grade for pair in mates(session, sensor)]

    right, off = ["cruise CO=0.8%", "full load CO=4.5%"], ["cruise CO=8%", "full load CO=4.5%"]
    assert graded(right, "2024-06-01") == ["probable"]
    assert graded(off, "2024-09-01") == ["possible"]
    assert graded(right, "2024-09-02") == ["possible"]
    assert graded(right, "2024-09-03") == ["probable"]
