"""What one more test can be expected to say, given those that are on record."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.evidence.judgements import Event, Outlook, TestEvidence, appraise_evidence, outlook
from inventory.reference.data import PROGRAM

HOLD = TestEvidence("hold", "2026-03-02", "pass", order=1)
COILS = TestEvidence("resistance", "2026-03-02", "pass", order=2)


def ahead(*tests: TestEvidence, test: str = "hold", **more: object) -> Outlook:
    return outlook("pressure sensor", tests, [], test, PROGRAM, **more)  # type: ignore[arg-type]


def test_a_first_hold_passes_as_often_as_good_and_bad_ones_pass_it_together() -> None:
    """Half are good and pass 95 in 100; of the bad 45 % pass 5, 17 % pass 10, 38 % pass 95 in 100 (computed by hand)."""
    found = ahead()

    assert found.p_pass == pytest.approx(0.5 * 0.95 + 0.5 * (0.45 * 0.05 + 0.17 * 0.10 + 0.38 * 0.95))
    assert found.p_good_if_pass == pytest.approx(0.475 / found.p_pass)
    assert found.p_good_if_fail == pytest.approx(0.025 / (1 - found.p_pass))


def test_it_leaves_what_the_test_would_leave() -> None:
    found = ahead(COILS)

    for verdict, p in (("pass", found.p_good_if_pass), ("fail", found.p_good_if_fail)):
        made = TestEvidence("hold", "2026-04-01", verdict, order=3)  # type: ignore[arg-type]
        assert appraise_evidence("pressure sensor", [COILS, made], [], PROGRAM).p_serviceable == pytest.approx(p)


def test_a_copy_of_a_test_is_foreseen_to_come_out_as_that_did() -> None:
    again = ahead(HOLD)

    assert again.p_pass == pytest.approx(1.0)
    assert again.p_good_if_pass == appraise_evidence("pressure sensor", [HOLD], [], PROGRAM).p_serviceable


def test_after_work_on_the_unit_the_same_test_is_worth_making_again() -> None:
    heated = outlook(
        "pressure sensor", [HOLD], [Event("heated", "2026-12", "", "2026-12-01", "2026-12-31")], "hold", PROGRAM
    )

    assert heated == ahead()


@pytest.mark.parametrize(
    ("test", "weight"), [("hold", 0.0), ("shaken", 1.0), ("check valve", 1.0)], ids=["no weight", "unknown", "mute"]
)
def test_a_test_that_tells_nothing_moves_nothing(test: str, weight: float) -> None:
    now = appraise_evidence("pressure sensor", [COILS], [], PROGRAM).p_serviceable

    assert ahead(COILS, test=test, weight=weight) == Outlook(test, 1.0, now, now)


def test_the_sort_without_a_full_load_diaphragm_has_less_to_fear_of_a_hold() -> None:
    assert ahead(variant="no full-load diaphragm").p_pass > ahead().p_pass


MADE = st.lists(
    st.builds(
        TestEvidence,
        what=st.sampled_from(["hold", "resistance", "sweep", "seal cap", "runs"]),
        when=st.just("2026-03-02"),
        verdict=st.sampled_from(["pass", "fail", "undecided"]),
        weight=st.floats(0.05, 1.0),
        order=st.integers(0, 9),
    ),
    max_size=5,
)


@given(MADE, st.sampled_from(["hold", "resistance", "sweep", "insulation"]), st.floats(0.1, 1.0))
def test_on_average_a_test_to_come_moves_nothing(tests: list[TestEvidence], test: str, weight: float) -> None:
    others = [one for one in tests if one.what != test]

    found = ahead(*others, test=test, weight=weight)

    now = appraise_evidence("pressure sensor", others, [], PROGRAM).p_serviceable
    assert 0.0 <= found.p_pass <= 1.0
    assert found.p_good_if_fail <= now <= found.p_good_if_pass + 1e-12
    average = found.p_pass * found.p_good_if_pass + (1.0 - found.p_pass) * found.p_good_if_fail
    assert average == pytest.approx(now, abs=1e-9)
