"""The six stories of a sensor, told by a person who records them, with the probability they should come to (to 0.03)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from inventory.bench.actions import run
from inventory.evidence.actions import note_claim
from inventory.evidence.inputs import SHORT_UNCLEARED, TestEvidence
from inventory.evidence.judgements import Serviceability, appraise_evidence
from inventory.evidence.queries import evidence_of
from inventory.facts import change
from inventory.pairing.actions import file_paper
from inventory.parts.actions import attach, log_work
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.provenance.actions import note_provenance
from inventory.reference.data import PROGRAM
from inventory.seals.actions import note_seal
from inventory.store.facts import AsOf
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from tests.build import BY, CAR, make_car, make_part

NEAR = 0.03
HELD, SHORT = ["0s=50cmHg", "10s=48cmHg"], ["0s=50cmHg", "10s=20cmHg"]
GAUGE = {"resolution": "1cmHg", "blank": ["0s=50cmHg", "10s=50cmHg"]}
RIGHT = ["idle CO=2.0%", "cruise CO=0.8%", "full load CO=4.5%"]
OFF = ["idle CO=2.0%", "cruise CO=8.0%", "full load CO=4.5%"]


class Bench:
    """One sensor and what is done with it."""

    def __init__(self, record: Record) -> None:
        self.record = record
        self.tag = make_part(record)

    def does(self, act: Callable[..., object], *given: object, **more: object) -> Bench:
        with self.record.write() as session:
            act(session, BY, self.tag, *given, **more)
        return self

    def hold(self, readings: list[str], on: str) -> Bench:
        return self.does(run, "hold", readings, GAUGE, on=on)

    def found(self, day: str = "2026-04-15") -> Serviceability:
        with self.record.read() as session:
            return evidence(session, self.tag, day)

    def p(self, day: str = "2026-04-15") -> float:
        return self.found(day).p_serviceable


def evidence(session: Session, tag: str, day: str) -> Serviceability:
    return evidence_of(session, part_row(session, tag), AsOf(date.fromisoformat(day))).serviceability


def near(p: float) -> object:
    return pytest.approx(p, abs=NEAR)


@pytest.fixture
def paper(tmp_path: Path) -> Path:
    (tmp_path / "paper.pdf").write_bytes(b"%PDF a specialist's report")
    return tmp_path / "paper.pdf"


def test_a_cleared_fail_then_a_pass_is_open_until_a_third(record: Record) -> None:
    bench = Bench(record).hold(SHORT, "2026-03-01").hold(HELD, "2026-03-02")

    assert bench.p() == near(0.50)
    assert "the hold passed once and failed once with nothing done between" in bench.found().says
    third = bench.hold(HELD, "2026-03-03")
    assert third.p() == near(0.70)
    again = third.hold(SHORT, "2026-03-04").hold(SHORT, "2026-03-05")
    assert again.p() == near(0.08)


def test_an_uncleared_fail_then_a_pass() -> None:
    """The bench marks such a run; without the mark it would be undecided and count for nothing."""
    short = TestEvidence("hold", "2026-03-01", "undecided", order=1, counts_as=SHORT_UNCLEARED)
    held = TestEvidence("hold", "2026-03-02", "pass", order=2)

    found = appraise_evidence("pressure sensor", [short, held], [], PROGRAM)

    assert found.p_serviceable == near(0.66)
    assert "the hold fell short, rig not proved" in found.says
    assert "0.3: chance that a good part falls short on a rig that is not proved tight" in found.reasons[0].rule


def test_a_specialists_repair_with_paper_then_a_pass(record: Record, paper: Path) -> None:
    bench = Bench(record).hold(SHORT, "2026-03-01")
    assert bench.p() == near(0.08)

    bench.does(log_work, "new diaphragm", "on the unit", on="2026-03-10").does(file_paper, paper, on="2026-03-10")
    assert bench.p() == near(0.85)
    bench.hold(HELD, "2026-03-12")
    assert bench.p() == near(0.93)
    sweep = {"test": "sweep", "source": "specialist", "proof": "specialist's paper", "on": "2026-03-10"}
    bench.does(note_claim, "swept like new", **sweep)
    assert bench.p() == near(0.975)
    assert any("opened by a specialist, with a paper" in reason.says for reason in bench.found().reasons)


def test_a_paper_attached_to_work_that_names_a_specialist_is_his(record: Record, paper: Path) -> None:
    bench = Bench(record).hold(SHORT, "2026-03-01")
    bench.does(log_work, "rebuilt by the specialist", "on the unit", on="2026-03-10")
    assert bench.p() == near(0.08)

    bench.does(attach, paper, shows="paper", on="2026-03-10")

    assert bench.p() == near(0.85)


def test_a_seal_renewed_with_a_paper_on_the_day_of_opened_work_is_a_specialists(record: Record, paper: Path) -> None:
    bench = Bench(record).hold(SHORT, "2026-03-01")
    bench.does(log_work, "set up anew", "on the unit", on="2026-03-10")
    bench.does(note_seal, "cap", "renewed", document=paper, on="2026-03-10")

    found = bench.found()
    assert found.p_serviceable == near(0.85)
    assert "the cap was renewed, with a paper, 2026-03-10" in [reason.says for reason in found.reasons]


def test_a_repair_is_in_force_only_until_the_unit_is_worked_on_or_falls(record: Record, paper: Path) -> None:
    bench = Bench(record).does(file_paper, paper, on="2026-03-10").hold(HELD, "2026-03-12")
    assert bench.p() == near(0.93)

    with record.write() as session:
        change.add(session, BY, "mishap", bench.tag, {"mishap": "dropped"}, on="2026-03-20")

    assert bench.p() == near(0.50)


def test_two_passes_two_years_apart_count_once_and_a_falling_hold_is_said(record: Record) -> None:
    bench = (
        Bench(record).hold(["0s=50cmHg", "10s=49cmHg"], "2024-03-01").hold(["0s=50cmHg", "10s=49cmHg"], "2026-03-01")
    )
    assert bench.p() == near(0.70)
    assert "worsening" not in bench.found().says

    worse = Bench(record)
    fine = {**GAUGE, "resolution": "0.1cmHg"}
    worse.does(run, "hold", ["0s=50.0cmHg", "10s=49.0cmHg"], fine, on="2024-03-01")
    worse.does(run, "hold", ["0s=50.0cmHg", "10s=46.0cmHg"], fine, on="2026-03-01")
    assert worse.p() == near(0.70)
    assert "worsening: the hold kept 98 % on 2024-03-01, 92 % on 2026-03-01" in worse.found().says


def test_tested_is_said_and_our_own_hold_falls_short_on_a_rig_not_proved(record: Record) -> None:
    said = Bench(record).does(note_claim, "tested", source="seller", on="2026-03-01").found()
    assert said.p_serviceable == near(0.51)
    short = TestEvidence("hold", "2026-03-02", "undecided", order=9, counts_as=SHORT_UNCLEARED)
    claim = TestEvidence("resistance", "2026-03-01", "pass", 0.15, order=1, claim='"tested", says the seller')

    assert appraise_evidence("pressure sensor", [claim, short], [], PROGRAM).p_serviceable == near(0.30)


@pytest.fixture
def car(record: Record) -> tuple[str, str]:
    """The sensor and the control unit on the car."""
    make_car(record)
    tags = []
    with record.write() as session:
        teardown.begin(session, BY, CAR, on="2026-02-01")
    for kind in ("pressure sensor", "control unit"):
        with record.write() as session:
            tags.append(teardown.log(session, BY, Markings(kind=kind), teardown.ComingOff(), on="2026-02-01").tag)
    with record.write() as session:
        for tag in tags:
            teardown.fit(session, BY, tag, f"place of {tag}", car=CAR, on="2026-02-10")
    return tags[0], tags[1]


def mixture(record: Record, readings: list[str], on: str, **conditions: str) -> None:
    with record.write() as session:
        run(session, BY, CAR, "mixture", readings, conditions, on=on)


def test_a_mixture_right_at_cruise_and_full_load(record: Record, car: tuple[str, str]) -> None:
    sensor, unit = car
    mixture(record, RIGHT, "2026-03-01")
    with record.read() as session:
        assert evidence(session, sensor, "2026-04-15").p_serviceable == near(0.68)
        assert evidence(session, unit, "2026-04-15").p_serviceable > 0.70
    with record.write() as session:
        run(session, BY, sensor, "hold", HELD, GAUGE, on="2026-03-02")
    with record.read() as session:
        assert evidence(session, sensor, "2026-04-15").p_serviceable == near(0.87)


def test_a_mixture_with_its_causes_checked_weighs_more(record: Record, car: tuple[str, str]) -> None:
    mixture(record, RIGHT, "2026-03-01", checked="all")
    with record.read() as session:
        assert evidence(session, car[0], "2026-04-15").p_serviceable == near(0.75)
    with record.write() as session:
        run(session, BY, car[0], "hold", HELD, GAUGE, on="2026-03-02")
    with record.read() as session:
        assert evidence(session, car[0], "2026-04-15").p_serviceable == near(0.90)


def test_a_mixture_off_the_mark_takes_back_what_a_right_one_gave(record: Record, car: tuple[str, str]) -> None:
    mixture(record, RIGHT, "2026-03-01")
    mixture(record, OFF, "2026-03-20")
    with record.read() as session:
        little = evidence(session, car[0], "2026-04-15")
        march = evidence(session, car[0], "2026-03-10")
    assert march.p_serviceable == near(0.68)
    assert 0.30 < little.p_serviceable < 0.50
    assert "the mixture on the car was off the mark" in little.says
    assert "not noted as checked that day: pressure, temperature sensors" in little.reasons[1].rule

    causes = "pressure, temperature sensors, air leaks, throttle switch, ignition"
    mixture(record, OFF, "2026-03-21", checked=causes)
    with record.read() as session:
        assert evidence(session, car[0], "2026-04-15").p_serviceable < 0.15


def test_a_mixture_at_idle_alone_weighs_nothing(record: Record, car: tuple[str, str]) -> None:
    mixture(record, RIGHT[:1], "2026-03-01")
    with record.read() as session:
        assert evidence(session, car[0], "2026-04-15").p_serviceable == 0.50


def test_a_paper_filed_later_leaves_the_hold_made_since_he_set_it(record: Record, paper: Path) -> None:
    """He set it before it came back, on the day of the hold at the latest, whenever his paper is filed."""
    for ways, given in (((), {"on": "2026-03-12"}), (("sent out", "came back"), {})):
        bench = Bench(record)
        for how in ways:
            bench.does(note_provenance, how, lane="custody", on="2026-03-12")
        bench.hold(HELD, "2026-03-12").does(file_paper, paper, **given)

        assert bench.p() == near(0.93)
    bench.does(file_paper, paper)
    assert bench.p("2099-01-01") == near(0.85)
