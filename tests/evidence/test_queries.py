"""The evidence as it is gathered from a record, on both engines."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy.orm import Session

from inventory.bench.actions import run
from inventory.errors import Refused
from inventory.evidence.actions import note_claim
from inventory.evidence.judgements import outlook
from inventory.evidence.queries import Evidence, evidence_of
from inventory.facts import change
from inventory.parts.actions import describe, log_work
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.people.actions import add_contact
from inventory.reference.data import PROGRAM
from inventory.store.facts import AsOf
from inventory.store.record import Record
from inventory.verification import verify
from tests.build import BY, CAR, make_car, make_part

HOLD = ["0s=50cmHg", "10s=48cmHg"]
GAUGE = {"resolution": "1cmHg"}


def evidence(session: Session, tag: str, day: str = "2026-04-15") -> Evidence:
    return evidence_of(session, part_row(session, tag), AsOf(date.fromisoformat(day)))


def test_a_claim_is_a_test_with_the_weight_of_who_says_it(record: Record) -> None:
    tag = make_part(record)

    with record.write() as session:
        note_claim(session, BY, tag, "tested", by_whom="Marta Lindqvist", source="seller", on="2026-03-02")
        add_contact(session, BY, "Otto Brandt", role="specialist")
    with record.write() as session:
        note_claim(session, BY, tag, "holds", test="hold", by_whom="otto brandt", proof="report", on="2026-03-03")
        note_claim(session, BY, tag, "runs", by_whom="Marta Lindqvist", on="2026-03-04")

    with record.read() as session:
        tests = evidence(session, tag).serviceability.tests
    assert [(test.what, test.when, round(test.weight, 3), test.fact) for test in tests] == [
        ("resistance", "2026-03-02", 0.15, "claim-1"),
        ("hold", "2026-03-03", 0.72, "claim-2"),
        ("runs", "2026-03-04", 0.15, "claim-3"),
    ]
    assert verify(record).problems == ()


def test_a_claim_is_corrected_and_taken_back_as_any_fact(record: Record) -> None:
    tag = make_part(record)
    with record.write() as session:
        claim = note_claim(session, BY, tag, "holds vacuum", on="2026-03-02")
        other = note_claim(session, BY, tag, "runs", on="2026-03-02")
    with record.write() as session:
        mended = change.correct(session, BY, claim, {"proof": "Film", "source": "seller"}, "he sent it")
        change.withdraw(session, BY, other, "of another unit")

    with record.read() as session:
        (test,) = evidence(session, tag).serviceability.tests
    assert (test.fact, test.what, round(test.weight, 3)) == (mended, "hold", 0.35)
    with record.write() as session, pytest.raises(Refused) as refused:
        change.correct(session, BY, mended, {"proof": "movie"}, "misread")
    assert refused.value.code == "unknown-proof"
    assert verify(record).problems == ()


@pytest.mark.parametrize(
    ("given", "where"),
    [
        ({"said": "  "}, "nothing-said"),
        ({"said": "tested", "proof": "movie"}, None),
        ({"said": "tested", "source": "a friend"}, None),
        ({"said": "tested", "test": "shaking"}, None),
        ({"said": "tested", "came_out": "well"}, None),
        ({"said": "cap is on", "test": "seal cap"}, "claim-of-a-seal"),
    ],
)
def test_a_claim_that_cannot_stand_is_refused(record: Record, given: dict[str, str], where: str | None) -> None:
    tag = make_part(record)

    with record.write() as session, pytest.raises(Refused) as refusal:
        note_claim(session, BY, tag, **given)

    assert where is None or refusal.value.code == where
    with record.read() as session:
        assert evidence(session, tag).tests == ()


def test_a_hold_is_weighed_by_what_happened_since_and_by_the_day_it_is_asked_for(record: Record) -> None:
    from inventory.teardown import actions as teardown

    make_car(record)
    with record.write() as session:
        teardown.begin(session, BY, CAR, on="2022-01-10")
        tag = teardown.log(session, BY, Markings(kind="pressure sensor"), teardown.ComingOff(), on="2022-01-10").tag
    with record.write() as session:
        run(session, BY, tag, "hold", HOLD, GAUGE, on="2022-03-02")
        log_work(session, BY, tag, "new bracket", "outside", on="2022-04-01")
    with record.write() as session:
        teardown.fit(session, BY, tag, "wing", car=CAR, on="2022-05-01")
        teardown.log(session, BY, Markings(), teardown.ComingOff(), tag=tag, on="2023-02-01")
        log_work(session, BY, tag, "dropped", "on the unit", on="2025-01-01")

    with record.read() as session:
        weights = {
            day: [(round(test.weight, 4), test.stale) for test in evidence(session, tag, day).serviceability.tests]
            for day in ("2022-02-01", "2022-12-31", "2023-01-31", "2023-02-02", "2024-06-01", "2025-01-02")
        }
    assert weights == {
        "2022-02-01": [],
        "2022-12-31": [(1.0, False)],
        "2023-01-31": [(1.0, False)],
        "2023-02-02": [(0.9, False)],
        "2024-06-01": [(round(0.9 * 0.95**2, 4), False)],
        "2025-01-02": [(0.0, True)],
    }


def test_a_part_marked_as_of_another_sort_fails_as_that_sort_does(record: Record) -> None:
    tag = make_part(record)
    with record.read() as session:
        usual = evidence_of(session, part_row(session, tag))
    with record.write() as session:
        describe(session, BY, tag, Markings(marks="no full-load diaphragm"))

    with record.read() as session:
        sort = evidence_of(session, part_row(session, tag))

    assert (usual.variant, sort.variant) == ("", "no full-load diaphragm")
    assert "diaphragm torn" in {mode.mode for mode in usual.serviceability.modes}
    assert "diaphragm torn" not in {mode.mode for mode in sort.serviceability.modes}
    assert "judged as: no full-load diaphragm" in {reason.says for reason in sort.serviceability.reasons}


def test_what_was_judged_can_be_asked_what_a_further_test_would_change(record: Record) -> None:
    tag = make_part(record)
    with record.write() as session:
        note_claim(session, BY, tag, "tested", source="seller", on="2026-03-02")

    with record.read() as session:
        found = evidence(session, tag)
    ahead = outlook(
        "pressure sensor", found.tests, found.events, "hold", PROGRAM, day="2026-04-15", variant=found.variant
    )

    now = found.serviceability.p_serviceable
    assert ahead.p_good_if_fail < now < ahead.p_good_if_pass
