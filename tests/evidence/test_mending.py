"""What work, a mishap, a word mend, and what they do not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from inventory.bench.actions import run
from inventory.evidence.actions import note_claim
from inventory.evidence.inputs import OPEN_WINDING, SPECIALIST, Event, TestEvidence
from inventory.evidence.judgements import Serviceability, appraise_evidence
from inventory.evidence.mending import REPORT, mendings_of
from inventory.evidence.queries import evidence_of
from inventory.facts import change
from inventory.parts.actions import attach, log_work
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.reference.data import PROGRAM
from inventory.store.record import Record
from tests.build import BY, make_part

DATA = PROGRAM.failures
FAIL = TestEvidence("hold", "2026-03-01", "fail", fact="bench_run-1", order=2)
PASS = TestEvidence("hold", "2026-03-09", "pass", order=8)
CLEANED = Event("cleaned", "2026-03-04", order=4, mends=frozenset({"cleaning"}))
REPORTED = replace(CLEANED, what="new diaphragm", mends=frozenset({"own report"}))


def judged(*tests: TestEvidence, events: tuple[Event, ...] = (), kind: str = "pressure sensor") -> Serviceability:
    return appraise_evidence(kind, tests, events, PROGRAM)


@pytest.mark.parametrize(
    ("text", "shown", "outside", "sorts"),
    [
        ("cleaned", "", False, {"cleaning"}),
        ("Ultrasonic bath", "", False, {"cleaning"}),
        ("cleaned", "", True, set()),
        ("contacts cleaned", "", True, {"contacts cleaned"}),
        ("new hose", "", True, {"new hose or seal"}),
        ("needs cleaning", "", False, set()),
        ("not cleaned", "", False, set()),
        ("opened, new diaphragm", "", False, set()),
        ("opened, new diaphragm", REPORT, False, {"own report"}),
        ("opened, new diaphragm", SPECIALIST, False, {"own report", SPECIALIST}),
        ("opened, new diaphragm", SPECIALIST, True, set()),
        ("new bracket", SPECIALIST, False, set()),
    ],
)
def test_the_words_of_work_and_what_is_on_record_of_its_day(
    text: str, shown: str, outside: bool, sorts: set[str]
) -> None:
    if outside and shown:
        shown = ""
    assert mendings_of(text, shown, DATA, outside=outside) == sorts


def test_every_sort_of_mending_that_a_mode_names_is_on_file() -> None:
    known = {sort.name for sort in DATA.mendings}
    for kind in DATA.kinds.values():
        for mode in kind.modes:
            assert set(mode.mended_by) <= known, (kind.kind, mode.name)


@pytest.mark.parametrize("word", ["adjuster moved", "setting moved", "setting disturbed", "setting drifted"])
def test_a_report_of_our_own_mends_no_setting(word: str) -> None:
    modes = [mode for kind in DATA.kinds.values() for mode in kind.modes if mode.name == word]
    assert modes
    assert all(mode.mended_by == (SPECIALIST,) for mode in modes)


@pytest.mark.parametrize("what", ["cleaned", "dropped", "heated with a hot-air gun", "new diaphragm"])
def test_cleaning_heat_a_fall_and_a_word_mend_no_torn_diaphragm(what: str) -> None:
    event = replace(CLEANED, what=what, mends=mendings_of(what, "", DATA))
    assert judged(FAIL, events=(event,)).p_serviceable == judged(FAIL).p_serviceable == pytest.approx(0.077, abs=0.001)


def test_a_keepers_word_lifts_no_fail_of_our_own() -> None:
    word = TestEvidence("hold", "2026-03-05", "pass", 0.18, order=9, claim='"holds vacuum", says the keeper')
    assert judged(FAIL, word, events=(CLEANED,)).p_serviceable == judged(FAIL).p_serviceable


def test_after_a_new_diaphragm_with_our_own_report_the_hold_decides_afresh_and_the_fail_stays_readable() -> None:
    mended = judged(FAIL, events=(REPORTED,))
    assert mended.p_serviceable == 0.5
    assert judged(FAIL, PASS, events=(REPORTED,)).p_serviceable == judged(PASS).p_serviceable
    assert mended.reasons[0].says == "the hold failed, 2026-03-01; but new diaphragm, 2026-03-04"
    assert mended.reasons[0].rule == "after work that could mend all that it shows, the same test decides afresh"


def test_a_fail_still_counts_for_what_the_work_cannot_mend() -> None:
    """Flow shows a fouled nozzle and a bad coil; cleaning mends the first alone."""
    flow = TestEvidence("flow", "2026-03-01", "fail", order=2)
    before, after = judged(flow, kind="injector"), judged(flow, events=(CLEANED,), kind="injector")
    nothing = judged(kind="injector")

    assert before.p_serviceable < after.p_serviceable < nothing.p_serviceable
    assert "so it counts only for what that cannot mend" in after.reasons[0].says
    assert {mode.mode: mode.revealed > 0 for mode in after.modes}["nozzle fouled"] is False


@pytest.mark.parametrize("mishap", ["dropped", "heated", "wetted", "shorted"])
def test_a_mishap_makes_earlier_passes_stale(record: Record, mishap: str) -> None:
    tag = make_part(record)
    with record.write() as session:
        run(session, BY, tag, "hold", ["0s=50cmHg", "10s=48cmHg"], {"resolution": "1cmHg"}, on="2026-03-01")
    with record.write() as session:
        fact = change.add(session, BY, "mishap", tag, {"mishap": mishap}, on="2026-03-04")
    with record.read() as session:
        found = evidence_of(session, part_row(session, tag)).serviceability
    assert (found.p_serviceable, found.tests[0].stale) == (0.5, True)
    assert f"the hold no longer counts: {mishap}, 2026-03-04" in found.says

    with record.write() as session:
        change.withdraw(session, BY, fact, "another unit")
    with record.read() as session:
        assert evidence_of(session, part_row(session, tag)).serviceability.p_serviceable > 0.65


def test_work_and_a_picture_of_its_day_are_our_own_report(record: Record, tmp_path: Path) -> None:
    picture = tmp_path / "inside.jpg"
    picture.write_bytes(b"a picture of the new diaphragm")
    tag = make_part(record)
    with record.write() as session:
        blank = ["0s=50cmHg", "10s=50cmHg"]
        run(
            session,
            BY,
            tag,
            "hold",
            ["0s=50cmHg", "10s=20cmHg"],
            {"resolution": "1cmHg", "blank": blank},
            on="2026-03-01",
        )
        log_work(session, BY, tag, "opened, new diaphragm", "on the unit", on="2026-03-04")
    with record.read() as session:
        assert evidence_of(session, part_row(session, tag)).serviceability.p_serviceable < 0.1
    with record.write() as session:
        attach(session, BY, tag, picture, shows="other", on="2026-03-04")
    with record.read() as session:
        assert evidence_of(session, part_row(session, tag)).serviceability.p_serviceable == 0.5


def test_a_flow_noted_as_after_cleaning_says_that_it_was_cleaned(record: Record) -> None:
    tag = make_part(record, Markings(kind="injector"))
    for place, cleaned in enumerate(("before", "after"), start=1):
        with record.write() as session:
            run(session, BY, tag, "flow", ["static=100ml/min"], {"cleaned": cleaned}, on=f"2026-03-0{place}")
    with record.read() as session:
        found = evidence_of(session, part_row(session, tag))
    (event,) = found.events
    assert (event.mends, event.stales) == ({"cleaning"}, False)
    assert [event.surely_follows(test) for test in found.tests] == [True, False]


def test_an_open_winding_is_dead_and_good_insulation_raises_nothing_that_a_shorted_coil_lowered() -> None:
    shorted = TestEvidence("resistance", "2026-03-01", "fail", order=1)
    insulation = TestEvidence("insulation", "2026-03-02", "pass", order=2)
    dead = replace(shorted, counts_as=OPEN_WINDING)

    assert judged(shorted, insulation).p_serviceable == judged(shorted).p_serviceable
    assert judged(dead).p_serviceable < 0.01
    assert judged(dead, insulation).p_serviceable == judged(dead).p_serviceable
    assert judged(insulation).p_serviceable > 0.5


def test_an_open_primary_on_record_is_dead_and_the_case_alone_is_insulation(record: Record) -> None:
    opened, case, half = make_part(record), make_part(record), make_part(record)
    at = {"ambient": "20degC", "resolution": "0.1ohm"}
    with record.write() as session:
        run(session, BY, opened, "resistance", ["primary=OL", "secondary=350ohm", "case=OL"], at)
    with record.write() as session:
        run(session, BY, case, "resistance", ["case=OL"], at)
    with record.write() as session:
        run(session, BY, half, "resistance", ["primary=90ohm"], at)
    with record.read() as session:
        dead, alone, one = (evidence_of(session, part_row(session, tag)).serviceability for tag in (opened, case, half))
    assert dead.p_serviceable < 0.01
    assert dead.says.startswith("exceptionally unlikely to be good, at most 1 in 10: the resistance test failed")
    assert [(test.what, test.weight) for test in (*alone.tests, *one.tests)] == [
        ("insulation", 1.0),
        ("resistance", 0.5),
    ]
    assert "only measured: primary" in one.reasons[0].rule


def test_not_seen_moves_nothing_and_says_so_and_a_missing_label_moves_only_what_it_guards() -> None:
    unseen = judged(TestEvidence("seal cap", "2026-03-01", "undecided"))
    assert unseen.p_serviceable == judged().p_serviceable
    assert unseen.reasons[0].says == "the cap was not seen, 2026-03-01, changes nothing"
    label = TestEvidence("seal label", "2026-03-01", "fail")
    assert judged(label).p_serviceable == judged().p_serviceable
    unit = judged(label, kind="control unit")
    assert 0.59 < unit.p_serviceable < 0.6
    assert {mode.mode for mode in unit.modes if mode.revealed} == {"setting disturbed"}


@pytest.mark.parametrize("said", ["does not hold vacuum", "doesn't hold", "won't hold vacuum any more"])
def test_a_seller_who_says_that_it_does_not_hold_is_believed(record: Record, said: str) -> None:
    tag = make_part(record)
    with record.write() as session:
        note_claim(session, BY, tag, said, source="seller", on="2026-03-01")
    with record.read() as session:
        found = evidence_of(session, part_row(session, tag)).serviceability
    assert found.p_serviceable < 0.11
    assert "the hold is said to have failed" in found.says
    with record.write() as session:
        note_claim(session, BY, tag, "holds vacuum", source="keeper", on="2026-03-02")
    with record.read() as session:
        assert evidence_of(session, part_row(session, tag)).serviceability.p_serviceable == found.p_serviceable


def test_a_test_made_here_takes_the_place_of_a_claim_for_good() -> None:
    """After heat our own pass no longer counts; the seller's word from before it does not come back."""
    owned = TestEvidence("hold", "2026-03-01", "fail", 0.9, order=1, claim='"lets go", says the seller')
    heated = Event("heated", "2026-03-10", order=10)
    assert judged(owned, PASS, events=(heated,)).p_serviceable == 0.5
    later = replace(owned, when="2026-03-12", order=12)
    assert judged(later, PASS, events=(heated,)).p_serviceable == pytest.approx(judged(owned).p_serviceable)


def test_what_is_said_of_claims_beside_a_tie() -> None:
    word = TestEvidence("hold", "2026-03-05", "pass", 0.18, order=5, claim='"holds", says the keeper')
    found = judged(FAIL, word, PASS)
    assert found.reasons[1].says.endswith("replaced by later or better tests")
    ended = judged(FAIL, PASS, word, events=(replace(REPORTED, when="2026-03-10", order=10),))
    assert "the hold no longer counts: new diaphragm" in ended.says


def test_taking_a_fact_back_undoes_its_whole_effect(record: Record, tmp_path: Path) -> None:
    paper = tmp_path / "paper.pdf"
    paper.write_bytes(b"%PDF set")
    tag = make_part(record)
    gauge = {"resolution": "1cmHg", "blank": ["0s=50cmHg", "10s=50cmHg"]}

    def p() -> float:
        with record.read() as session:
            return evidence_of(session, part_row(session, tag)).serviceability.p_serviceable

    steps: list[Callable[[Session], str]] = [
        lambda session: str(run(session, BY, tag, "hold", ["0s=50cmHg", "10s=20cmHg"], gauge, on="2026-03-01").fact.id),
        lambda session: note_claim(session, BY, tag, "does not hold vacuum", source="seller", on="2026-03-02"),
        lambda session: log_work(session, BY, tag, "rebuilt by a specialist", "on the unit", on="2026-03-03"),
        lambda session: attach(session, BY, tag, paper, shows="paper", on="2026-03-03"),
        lambda session: str(run(session, BY, tag, "hold", ["0s=50cmHg", "10s=49cmHg"], gauge, on="2026-03-04").fact.id),
        lambda session: change.add(session, BY, "mishap", tag, {"mishap": "wetted"}, on="2026-03-05"),
    ]
    before, facts = [], []
    for step in steps:
        before.append(p())
        with record.write() as session:
            facts.append(step(session))
    for fact, was in zip(reversed(facts), reversed(before), strict=True):
        with record.write() as session:
            change.withdraw(session, BY, fact, "of another unit")
        assert p() == pytest.approx(was)
