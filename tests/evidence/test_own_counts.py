"""The faults found here: they move the shares of the failure modes, each part once, never for itself, never `good`."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inventory.bench.actions import run
from inventory.evidence.inputs import OPEN_WINDING, TestEvidence
from inventory.evidence.judgements import appraise_evidence
from inventory.evidence.load_own_counts import shares_of_kind
from inventory.evidence.own_counts import Finding, OwnCounts, fault_named, finding_of
from inventory.evidence.queries import evidence_of_many
from inventory.evidence.weights import weigh_tests
from inventory.parts.actions import log_work
from inventory.parts.queries import part_row
from inventory.reference.data import PROGRAM
from inventory.store.record import Record
from tests.build import BY, make_part
from tests.evidence.test_properties import FACTS

KIND = "pressure sensor"
MODES = PROGRAM.failure_modes(KIND)
NAMES = [mode.name for mode in MODES.modes]
DATA = PROGRAM.failures
PRIOR = DATA.figures["shares on file"].value


def opened(name: str) -> Finding:
    return Finding("opening", {name: 1.0}, frozenset(NAMES))


def of_tests(*tests: tuple[str, str, str], words: tuple[str, ...] = ()) -> Finding | None:
    made = [
        TestEvidence(what, "2026-03-02", verdict, order=place, counts_as=counts_as)  # type: ignore[arg-type]
        for place, (what, verdict, counts_as) in enumerate(tests)
    ]
    return finding_of(weigh_tests(made, [], "", DATA, MODES.modes), words, MODES, DATA)


def test_faults_found_by_opening_move_the_shares_as_counts_move_a_dirichlet_prior() -> None:
    """Outside check: each share is the mean of the Beta distribution of its counts, as scipy gives it."""
    found = {place: opened("diaphragm torn" if place < 4 else "core worn or sticking") for place in range(12)}

    own = OwnCounts(MODES, found, DATA).shares()

    assert (own.enough, own.count, own.by_opening) == (True, 12, 12)
    for mode in MODES.modes:
        many = own.found[mode.name]
        counts = PRIOR * mode.share + many, PRIOR * (1.0 - mode.share) + 12 - many
        assert own.shares[mode.name] == pytest.approx(stats.beta(*counts).mean())
    alphas = [PRIOR * mode.share + own.found[mode.name] for mode in MODES.modes]
    assert list(own.shares.values()) == pytest.approx(stats.dirichlet(alphas).mean())


def test_nine_move_nothing_and_the_tenth_is_not_the_part_that_is_judged() -> None:
    counts = OwnCounts(MODES, {place: opened("core worn or sticking") for place in range(10)}, DATA)

    assert counts.shares().enough
    without = counts.shares(without=3)
    assert (without.enough, without.count, without.shares) == (False, 9, without.on_file)
    assert counts.shares(without=99) == counts.shares()


def test_a_failed_hold_does_not_tell_its_faults_apart_and_says_nothing_of_the_others() -> None:
    found = of_tests(("hold", "fail", ""))
    assert found is not None
    assert found.visible == {"diaphragm torn", "case joint or port leaking"}

    own = OwnCounts(MODES, dict.fromkeys(range(30), found), DATA).shares()

    assert own.count == own.by_test == 30
    assert own.shares == pytest.approx(own.on_file, abs=0.01)


def test_a_fault_is_told_by_the_test_that_failed_and_by_those_that_passed() -> None:
    winding = of_tests(("hold", "pass", ""), ("resistance", "fail", OPEN_WINDING))
    assert winding is not None
    assert winding.chances["coil or plug"] > 0.99

    torn = of_tests(("hold", "fail", ""), words=("opened: torn diaphragm",))
    assert torn == Finding("opening", {"diaphragm torn": 1.0}, frozenset({"diaphragm torn", NAMES[1]}))
    assert of_tests(("hold", "pass", "")) is of_tests(("hold", "fail", ""), ("hold", "pass", "")) is None


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("opened: diaphragm torn", "diaphragm torn"),
        ("Membran gerissen, neue Membran", "diaphragm torn"),
        ("leaking port", "case joint or port leaking"),
        ("the diaphragm is not torn, diaphragm torn was said", ""),
        ("torn diaphragm and a bad coil", ""),
        ("opened", ""),
    ],
)
def test_work_names_a_fault_by_its_words(words: str, name: str) -> None:
    assert fault_named(words, MODES, DATA) == name


@settings(max_examples=50)
@given(st.lists(st.sampled_from(NAMES), min_size=10, max_size=40), FACTS)
def test_own_counts_never_move_good(names: list[str], facts: list[object]) -> None:
    own = OwnCounts(MODES, dict(enumerate(map(opened, names))), DATA).shares()
    assert sum(own.shares.values()) == pytest.approx(1.0)

    assert appraise_evidence(KIND, [], [], PROGRAM, own=own).p_serviceable == MODES.good
    tests = [fact for fact in facts if isinstance(fact, TestEvidence)]
    assert appraise_evidence(KIND, tests, [], PROGRAM, own=own).kind_modes.good == MODES.good


def test_from_ten_on_the_record_s_own_faults_count_and_both_figures_are_shown(record: Record) -> None:
    tags = [make_part(record) for _ in range(12)]
    with record.write() as session:
        keys = [part_row(session, tag).id for tag in tags]
    for tag in tags[:11]:
        with record.write() as session:
            log_work(session, BY, tag, "opened: core worn", "on the unit", on="2026-02-01")
    with record.write() as session:
        run(session, BY, tags[11], "hold", ["0s=50cmHg", "10s=48cmHg"], {"resolution": "1cmHg"}, on="2026-02-11")

    with record.read() as session:
        found = evidence_of_many(session, keys)
        of_kind = shares_of_kind(session, KIND)
        alone = evidence_of_many(session, keys[11:])[keys[11]].serviceability.p_serviceable

    held = found[keys[11]].serviceability
    core = next(mode for mode in held.modes if mode.mode == "core worn or sticking")
    assert (core.share_on_file, core.found_here) == (0.08, 11.0)
    assert core.share == pytest.approx((20 * 0.08 + 11) / 31)
    assert held.p_serviceable == alone < 0.66
    assert any(
        reason.says.startswith("11 faults found here on other parts change the shares") for reason in held.reasons
    )
    opened_one = next(mode for mode in found[keys[0]].serviceability.modes if mode.mode == "core worn or sticking")
    assert opened_one.found_here == 10.0
    assert (of_kind.count, of_kind.by_opening, of_kind.by_test) == (11, 11, 0)
