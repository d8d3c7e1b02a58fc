"""A control unit with a worn letter that may be O or Q, three sensors on the shelf, one without its cap.

Which goes with it, how sure is that, what is the cheapest way to be surer?
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate, SealNoted
from inventory.pairing.findings.fit import Fits
from inventory.pairing.judgements import PairJudgement, candidates
from inventory.pairing.plan.shelf_plan import plan

FITS = Fits.of([("hv204118", "hv237051")], [])
UNIT = Candidate("K2210-C", UNIT_KIND, "HV 237 051", "hv237051", 0.7)


def shelf_sensor(tag: str, code: str, cap: SealNoted, p_serviceable: float) -> Candidate:
    return Candidate(
        tag, SENSOR_KIND, "HV 204 118", "hv204118", p_serviceable, code, "read",
        seal_state=cap.state, seals_noted=(cap,),
    )  # fmt: skip


CAPPED_O = shelf_sensor("K4127-7", "O", SealNoted("cap", "intact"), 0.5)
CAPPED_Q = shelf_sensor("K4081-3", "Q", SealNoted("cap", "intact"), 0.6)
CAPLESS_Q = shelf_sensor("K4073-3", "Q", SealNoted("cap", "missing"), 0.9)
SHELF = [CAPPED_O, CAPPED_Q, CAPLESS_Q]


def told(unit: Candidate, *, everything: bool = False) -> dict[str, PairJudgement]:
    return {pair.sensor: pair for pair in candidates(unit, SHELF, FITS, include_ruled_out=everything)}


@pytest.mark.parametrize(
    "worn",
    [
        replace(UNIT, match_code="O or Q", match_code_state="read"),
        replace(UNIT, match_code="O or Q", match_code_state="unreadable"),
        replace(UNIT, match_code="", match_code_state="unreadable"),
    ],
)
def test_while_the_letter_is_worn_all_three_are_possible_and_reading_it_comes_first(worn: Candidate) -> None:
    pairs = told(worn)

    assert list(pairs) == ["K4073-3", "K4081-3", "K4127-7"]
    assert {"possible"} == {pair.grade for pair in pairs.values()}
    for pair in pairs.values():
        assert pair.next_step.startswith("read the code on control unit K2210-C again in slanting light")
    assert "sensor cap missing" in pairs["K4073-3"].says


def test_taken_down_as_o_the_two_with_q_are_ruled_out_and_to_be_read_again() -> None:
    pairs = told(replace(UNIT, match_code="O", match_code_state="read"), everything=True)

    assert [pair.grade for pair in pairs.values()] == ["confirmed", "ruled out", "ruled out"]
    assert pairs["K4127-7"].grade == "confirmed"
    assert "read again if worn: O looks like 0 or Q" in [r.says for r in pairs["K4127-7"].reasons]
    assert pairs["K4081-3"].says == "not a factory pair: codes read on both differ: Q and O"
    assert pairs["K4081-3"].next_step.startswith("read again: Q and O look alike when worn")


def test_read_again_as_q_the_capped_sensor_is_the_mate_and_the_capless_one_stays_possible() -> None:
    pairs = told(replace(UNIT, match_code="Q", match_code_state="read", match_code_read_from="dated picture"))

    assert {tag: pair.grade for tag, pair in pairs.items()} == {"K4081-3": "confirmed", "K4073-3": "possible"}
    assert pairs["K4081-3"].says == "codes read on both, equal; sensor seals intact"
    assert pairs["K4073-3"].says == "codes read on both, equal; sensor cap missing"


def test_the_plan_takes_the_sure_mate_although_the_capless_one_is_likelier_to_work() -> None:
    made = plan(SHELF, [replace(UNIT, match_code="Q", match_code_state="read")], FITS)

    assert [(pair.sensor, pair.grade) for pair in made.pairs] == [("K4081-3", "confirmed")]
    assert [left.tag for left in made.left_over_sensors] == ["K4073-3", "K4127-7"]
    assert [left.reasons[0].says for left in made.left_over_sensors] == [
        "all its possible control units are in pairs at least as good: K2210-C",
        "no mate free on the shelf for code O: 1 fit by number, 1 have another code",
    ]
