"""What is only said of a part: the test it is taken for, and what it weighs."""

from __future__ import annotations

import pytest

from inventory.evidence.claims import Claimed, claim_as_test, claimed_test, proofs, sources
from inventory.evidence.claims import tests_that_can_be_claimed as can_be_claimed
from inventory.evidence.judgements import Serviceability, appraise_evidence
from inventory.reference.data import PROGRAM

SENSOR = "pressure sensor"


def after(*claims: Claimed, kind: str = SENSOR) -> Serviceability:
    told = [
        claim_as_test(kind, claim, PROGRAM.failures, when="2026-03-02", order=place)
        for place, claim in enumerate(claims)
    ]
    return appraise_evidence(kind, told, [], PROGRAM)


@pytest.mark.parametrize(
    ("said", "test"),
    [
        ("tested", "resistance"),
        ("Tested!", "resistance"),
        ("tested and working", "resistance"),
        ("checked with a multimeter", "resistance"),
        ("runs", "runs"),
        ("was working when removed", "runs"),
        ("in good order", "runs"),
        ("holds vacuum", "hold"),
        ("tested, holds vacuum", "hold"),
        ("vacuum tested", "hold"),
        ("untested", ""),
        ("not tested", ""),
        ("never checked", ""),
        ("doesn't run, hold my beer", "runs"),
        ("does not hold vacuum", "hold"),
        ("runs, but won't hold vacuum", "hold"),
        ("no torn diaphragm", ""),
        ("never lets go", ""),
        ("no idea if it holds vacuum", ""),
        ("should work", ""),
        ("an orange one", ""),
        ("a nice blue one", ""),
        ("", ""),
    ],
)
def test_the_words_of_a_claim_name_a_test_or_none(said: str, test: str) -> None:
    named, why = claimed_test(SENSOR, said, PROGRAM.failures)

    assert named == test
    assert bool(why) is bool(test)


def test_tested_counts_as_the_coil_test_and_says_so_in_the_trades_words() -> None:
    found = after(Claimed("tested", source="seller"))

    (test,) = found.tests
    assert (test.what, test.weight) == ("resistance", pytest.approx(0.5 * 0.3))
    (reason, *_) = found.reasons
    assert reason.says == '"tested", says the seller, no proof shown, 2026-03-02, weighs 0.15'
    assert reason.rule.startswith(
        "if a unit is sold as tested, usually only its coils were measured, and they hardly ever fail"
    )
    assert "seller 0.5 x no proof shown 0.3 = 0.15" in reason.rule
    assert 0.0 < found.p_serviceable - after().p_serviceable < 0.01


def test_that_it_runs_proves_little_for_with_a_torn_diaphragm_it_still_runs() -> None:
    sure = Claimed("runs", source="specialist", proof="film")

    runs, held = after(sure), after(Claimed("holds vacuum", source="specialist", proof="film"))

    assert "with a torn diaphragm an engine still runs, only worse" in runs.reasons[0].rule
    gained = runs.p_serviceable - after().p_serviceable
    assert 0.0 < gained < 0.5 * (held.p_serviceable - after().p_serviceable)


@pytest.mark.parametrize("kind", ["control unit", "other"])
def test_where_ohms_speak_to_no_fault_tested_says_nothing(kind: str) -> None:
    found = after(Claimed("tested", source="specialist", proof="report"), kind=kind)

    assert found.p_serviceable == pytest.approx(after(kind=kind).p_serviceable)
    assert found.reasons[0].rule.endswith("it shows none of the known faults")


def test_words_that_name_no_test_prove_nothing_and_stay_readable() -> None:
    found = after(Claimed("it is blue"))

    assert (found.p_serviceable, found.coverage) == (after().p_serviceable, 0.0)
    assert found.reasons[0].says == '"it is blue", somebody says, no proof shown, 2026-03-02'
    assert found.reasons[0].rule == "a test without a name, or not on file, proves nothing"


def test_a_claim_weighs_its_source_times_its_proof_and_always_less_than_ones_own_bench() -> None:
    weights = {
        (source, proof): claim_as_test(SENSOR, Claimed("", "hold", source, proof), PROGRAM.failures).weight
        for source in sources(PROGRAM.failures)
        for proof in proofs(PROGRAM.failures)
    }

    assert weights["seller", "film"] == pytest.approx(0.5 * 0.7)
    assert weights["specialist", "specialist's paper"] == max(weights.values()) == pytest.approx(0.9 * 0.95)
    for source in sources(PROGRAM.failures):
        by_proof = [weights[source, proof] for proof in proofs(PROGRAM.failures)]
        assert by_proof == sorted(by_proof)
    assert weights["specialist", "none"] > weights["workshop", "none"] > weights["keeper", "none"]
    assert all(0.0 < weight < 1.0 for weight in weights.values())


def test_a_fault_that_is_owned_up_to_weighs_more_than_praise() -> None:
    owned = claim_as_test(SENSOR, Claimed("lets go at once", "hold", "seller", came_out="fail"), PROGRAM.failures)

    assert (owned.verdict, owned.weight) == ("fail", 0.9)
    assert "nobody talks down his own part" in owned.why
    assert after(Claimed("lets go", "hold", "seller", came_out="fail")).says.startswith(
        "very unlikely to be good, 1 to 2 in 10: the hold is said to have failed"
    )


def test_a_judgement_on_what_is_only_told_says_that_nothing_was_seen_here() -> None:
    assert after(Claimed("tested")).says == (
        "about as likely good as not, 3 to 7 in 10; nothing seen here so far could have shown a torn diaphragm, a leaking case joint or dead cells"
    )


def test_any_test_can_be_claimed_but_how_a_seal_looks() -> None:
    assert {"hold", "resistance", "runs"} <= set(can_be_claimed(PROGRAM.failures))
    assert not any(name.startswith("seal") for name in can_be_claimed(PROGRAM.failures))
