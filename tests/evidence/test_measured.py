"""Only what was measured is evidence, by an instrument that can be trusted, on a pair that was the same."""

from __future__ import annotations

import pytest

from inventory.bench.actions import run
from inventory.bench.instruments.actions import add_instrument, calibrate
from inventory.evidence.inputs import TestEvidence
from inventory.evidence.judgements import appraise_evidence
from inventory.evidence.queries import evidence_of
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.reference.data import PROGRAM
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from tests.build import BY, CAR, make_car, make_part

RIGHT = ["cruise CO=0.8%", "full load CO=4.5%"]
OFF = ["cruise CO=8.0%", "full load CO=4.5%"]


def test_one_point_of_a_curve_counts_for_its_share_and_a_fail_in_full(record: Record) -> None:
    one, three, cold = (make_part(record, Markings(kind="coolant temperature sensor")) for _ in range(3))
    with record.write() as session:
        run(session, BY, one, "curve", ["20degC=2.5kohm"], {}, on="2026-03-01")
        run(session, BY, three, "curve", ["20degC=2.5kohm", "50degC=830ohm", "80degC=325ohm"], {}, on="2026-03-01")
        run(session, BY, cold, "curve", ["20degC=25kohm"], {}, on="2026-03-01")

    with record.read() as session:
        found = [evidence_of(session, part_row(session, tag)).serviceability for tag in (one, three, cold)]

    assert [each.tests[0].weight for each in found] == [pytest.approx(1 / 3), 1.0, 1.0]
    assert found[0].p_serviceable < found[1].p_serviceable
    assert "only measured: 20degC" in found[0].reasons[0].rule


def test_a_mixture_by_an_instrument_that_failed_its_calibration_is_no_evidence(record: Record) -> None:
    sensor, _ = _on_the_car(record)
    with record.write() as session:
        add_instrument(session, BY, "gas tester", what="exhaust gas analyser", on="2026-01-01")
        run(session, BY, CAR, "mixture", OFF, {"instrument": "gas tester"}, on="2026-03-01")
    with record.read() as session:
        assert evidence_of(session, part_row(session, sensor)).serviceability.p_serviceable < 0.5
    with record.write() as session:
        calibrate(session, BY, "gas tester", "not passed", on="2026-03-02")

    with record.read() as session:
        assert evidence_of(session, part_row(session, sensor)).serviceability.p_serviceable == 0.5


def test_mixtures_with_different_control_units_are_no_repeats(record: Record) -> None:
    sensor, unit = _on_the_car(record)
    other = make_part(record, Markings(kind="control unit"))
    with record.write() as session:
        run(session, BY, CAR, "mixture", OFF, {}, on="2026-03-01")
    with record.write() as session:
        teardown.log(session, BY, Markings(), teardown.ComingOff(position="control unit"), tag=unit, on="2026-03-02")
    with record.write() as session:
        teardown.fit(session, BY, other, "control unit", car=CAR, on="2026-03-03")
    with record.write() as session:
        run(session, BY, CAR, "mixture", RIGHT, {}, on="2026-03-04")

    with record.read() as session:
        found = evidence_of(session, part_row(session, sensor))
        first = evidence_of(session, part_row(session, unit)).serviceability
        second = evidence_of(session, part_row(session, other)).serviceability

    assert [test.mate for test in found.tests] == [unit, other]
    assert [one.weight for one in found.serviceability.weighed] == pytest.approx([1.0, 1.0])
    assert first.p_serviceable < 0.6 < second.p_serviceable


def test_right_with_one_mate_and_off_with_another_are_two_tests_and_with_the_same_a_tie() -> None:
    def p(*mates: str) -> float:
        tests = [
            TestEvidence("mixture", f"2026-03-0{place}", verdict, order=place, mate=mate)  # type: ignore[arg-type]
            for place, (verdict, mate) in enumerate(zip(("fail", "pass"), mates, strict=True), 1)
        ]
        return appraise_evidence("pressure sensor", tests, [], PROGRAM).p_serviceable

    off = appraise_evidence("pressure sensor", [TestEvidence("mixture", "2026-03-01", "fail", mate="A")], [], PROGRAM)
    assert p("A", "A") == 0.5
    assert off.p_serviceable < p("A", "B") < 0.68


def _on_the_car(record: Record) -> tuple[str, str]:
    make_car(record)
    tags = []
    with record.write() as session:
        teardown.begin(session, BY, CAR, on="2026-02-01")
    for kind in ("pressure sensor", "control unit"):
        with record.write() as session:
            tags.append(teardown.log(session, BY, Markings(kind=kind), teardown.ComingOff(), on="2026-02-01").tag)
    with record.write() as session:
        for tag, kind in zip(tags, ("pressure sensor", "control unit"), strict=True):
            teardown.fit(session, BY, tag, kind, car=CAR, on="2026-02-10")
    return tags[0], tags[1]


def test_a_fail_stands_until_that_reading_passes(record: Record) -> None:
    tag = make_part(record, Markings(kind="throttle switch"))

    def after(*readings: str) -> list[str]:
        with record.write() as session:
            run(session, BY, tag, "contacts", readings, {}, on="2026-03-02")
        with record.read() as session:
            found = evidence_of(session, part_row(session, tag)).serviceability
        return [one.test.verdict for one in found.weighed if one.weight]

    closed, off = "closed=0.3ohm", "idle contact off idle"
    assert after(closed) == ["pass"]
    assert after(f"{off}=closed") == ["fail"]
    assert after(closed) == ["fail"]
    assert after("idle contact=closed", f"{off}=open") == []
    assert after(f"{off}=open") == ["pass"]
