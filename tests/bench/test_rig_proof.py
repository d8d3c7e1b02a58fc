"""When a hold that fell short counts: what the other runs of the day show of its rig."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.bench.actions import run as bench_run
from inventory.bench.runs.queries import runs_of, undecided
from inventory.bench.typed_run import RigDay, RigRun
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.evidence.queries import evidence_of
from inventory.facts import change
from inventory.parts.actions import log_work
from inventory.parts.queries import part_row
from inventory.store.record import Record
from tests.build import BY, make_part
from tests.judging import check, context, judge

DAY = "2026-03-02"
SHORT = ("0s=50cmHg", "5s=44cmHg", "10s=37cmHg")
HELD = ("0s=50cmHg", "10s=49cmHg")
TIGHT, LEAKS = ["0s=50cmHg", "10s=50cmHg"], ["0s=50cmHg", "10s=45cmHg"]


def other(
    fact: str, readings: tuple[str, ...] = HELD, thing: int = 2, procedure: str = "hold", **conditions: Any
) -> RigRun:
    beside = {name.replace("_", " "): value for name, value in conditions.items()}
    return RigRun(fact, thing, procedure, readings, {"rig": "the mercury rig", **beside})


def short(before: list[RigRun], after: list[RigRun], **conditions: Any) -> RunJudgement:
    beside = {"rig": "the mercury rig"} | {name.replace("_", " "): value for name, value in conditions.items()}
    day = RigDay(1, tuple(before), tuple(after))
    return judge("hold", "pressure sensor", SHORT, beside, context(same_rig=day))


BLANK, LEAK = other("b", (), blank=TIGHT), other("l", (), blank=LEAKS)
PASS = other("p")
MENDED_BLANK = other("m", (), blank=TIGHT, rig_mended="yes")
MENDED = other("m", SHORT, rig_mended="yes")


@pytest.mark.parametrize(
    ("before", "after", "by"),
    [
        ([], [], None),
        ([BLANK], [], "b"),
        ([], [BLANK], "b"),
        ([PASS], [], "p"),
        ([PASS, BLANK], [], "b"),
        ([BLANK, PASS], [BLANK], "p"),
        ([], [PASS], None),
        ([other("same", thing=1)], [], None),
        ([other("short", SHORT)], [], None),
        ([BLANK, LEAK], [], None),
        ([LEAK, BLANK], [], None),
        ([BLANK], [LEAK], None),
        ([PASS], [LEAK], None),
        ([BLANK], [MENDED, LEAK], "b"),
        ([LEAK, MENDED_BLANK], [], "m"),
        ([LEAK, MENDED, PASS], [], "p"),
        ([BLANK, MENDED], [], None),
        ([], [MENDED_BLANK], None),
        ([other("low", (), blank=["0s=30cmHg", "10s=30cmHg"])], [], None),
        ([other("brief", (), blank=["0s=50cmHg", "3s=50cmHg"])], [], None),
        ([other("few", strokes="4", usual_strokes="12")], [], None),
        ([other("unread", ("0s=fifty",))], [], None),
        ([other("flow", procedure="flow")], [], None),
    ],
)
def test_what_the_days_runs_on_a_rig_show(before: list[RigRun], after: list[RigRun], by: str | None) -> None:
    run = short(before, after)
    assert run.verdict == ("fail" if by else "undecided")
    assert (run.figures["rig_cleared"], run.figures["rig_cleared_by"]) == (by is not None, by)
    assert run.figures["short_uncleared"] is (by is None)
    assert by is not None or run.says.startswith("fell to 37 in 10 s, rig not proved")


def test_its_own_blank_clears_it_unless_the_rig_leaks_on_either_side() -> None:
    assert short([], [], blank=TIGHT).figures["rig_cleared_by"] == "own blank"
    undone = short([LEAK], [], blank=TIGHT)
    assert (undone.verdict, "it leaked in l; make the rig tight" in undone.says) == ("undecided", True)
    assert short([LEAK], [], blank=TIGHT, rig_mended="yes").verdict == "fail"
    assert short([BLANK], [], blank=LEAKS).verdict == "undecided"


def test_what_could_not_be_drawn_fails_where_the_rig_was_drawn_that_day() -> None:
    def drawn(before: list[RigRun]) -> RunJudgement:
        beside = {"rig": "the mercury rig", "not drawn": "yes"}
        day = RigDay(1, tuple(before))
        return judge("hold", "pressure sensor", ["0s=22cmHg"], beside, context(same_rig=day))

    assert [drawn(each).verdict for each in ([], [BLANK], [PASS], [BLANK, LEAK])] == [
        *("undecided", "fail", "fail", "undecided")
    ]
    assert drawn([]).says.startswith("could not be drawn past 22.0 cmHg, rig not proved")
    assert "the same rig was drawn to nominal" in drawn([PASS]).says


def test_a_blank_by_itself_judges_no_unit_and_needs_the_name_of_its_rig() -> None:
    run = judge("hold", "pressure sensor", (), {"rig": "the mercury rig", "blank": LEAKS})
    assert (run.verdict, run.says) == ("not judged", "the rig alone lost 5.0 cmHg in 10 s")
    with pytest.raises(Refused) as refusal:
        check("hold", "pressure sensor", (), {"blank": TIGHT})
    assert refusal.value.code == "no-readings"


@pytest.mark.parametrize("typed", ["25:00", "noon", "14", "14:60"])
def test_a_clock_is_a_time_of_day(typed: str) -> None:
    with pytest.raises(Refused) as refusal:
        check("hold", "pressure sensor", HELD, {"clock": typed})
    assert refusal.value.code == "no-clock"


STEPS: dict[str, RigRun] = {"blank": BLANK, "leak": LEAK, "pass": PASS, "mended": MENDED}


@given(st.lists(st.sampled_from(sorted(STEPS)), max_size=5), st.lists(st.sampled_from(sorted(STEPS)), max_size=5))
@settings(max_examples=60, deadline=None)
def test_one_more_leaking_blank_never_clears_a_rig(before: list[str], after: list[str]) -> None:
    one, two = ([STEPS[name] for name in side] for side in (before, after))
    clean = short(one, two).verdict
    assert "fail" not in {short([*one, LEAK], two).verdict, short(one, [LEAK, *two]).verdict}
    assert clean in ("fail", "undecided")


def bench(record: Record, tag: str, readings: tuple[str, ...], *, on: str = DAY, **conditions: Any) -> str:
    beside = {"rig": "mercury", **{name.replace("_", " "): value for name, value in conditions.items()}}
    with record.write() as session:
        return bench_run(session, BY, tag, "hold", readings, beside, on=on).fact.id


def verdicts(record: Record, tag: str) -> list[tuple[str, object]]:
    with record.read() as session:
        runs = runs_of(session, part_row(session, tag).id)
        return [(run.judgement.verdict, run.judgement.figures["rig_cleared_by"]) for run in runs]


def test_a_later_blank_decides_an_earlier_fall_and_taking_it_back_undoes_that(record: Record) -> None:
    tag = make_part(record)
    bench(record, tag, SHORT)
    assert verdicts(record, tag) == [("undecided", None)]
    bench(record, tag, (), blank=LEAKS, rig="another")
    with record.read() as session:
        assert [run.judgement.verdict for _, run in undecided(session)] == ["undecided"]
    blank = bench(record, tag, (), blank=TIGHT, rig="Mercury ")
    assert verdicts(record, tag) == [("fail", blank), ("not judged", None), ("not judged", None)]
    with record.read() as session:
        tests = evidence_of(session, part_row(session, tag)).serviceability.tests
    assert [test.what for test in tests if not test.what.startswith("seal")] == ["hold"]
    with record.write() as session:
        change.withdraw(session, BY, blank, "another rig")
    assert verdicts(record, tag) == [("undecided", None), ("not judged", None)]


def test_another_day_another_rig_and_a_vague_day_clear_nothing(record: Record) -> None:
    tag, good = make_part(record), make_part(record)
    bench(record, good, HELD, on="2026-03-03")
    bench(record, good, HELD, rig="the new pump")
    bench(record, good, HELD, on="2026-03")
    bench(record, tag, SHORT)
    bench(record, good, HELD)
    assert verdicts(record, tag) == [("undecided", None)]


def test_a_run_that_names_no_rig_is_cleared_by_its_own_blank_only(record: Record) -> None:
    tag, good = make_part(record), make_part(record)
    bench(record, good, HELD, rig="")
    bench(record, tag, SHORT, rig="")
    bench(record, tag, SHORT, rig="", blank=TIGHT)
    assert verdicts(record, tag) == [("undecided", None), ("fail", "own blank")]


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 2, 0)])
def test_clock_times_order_a_day_however_it_was_recorded(record: Record, order: tuple[int, ...]) -> None:
    """Held at 9:00, short at 10:00, a leak shown at 11:00 after mending: the morning's pass clears the fall."""
    tag, good = make_part(record), make_part(record)
    day = [(good, HELD, {"clock": "9:00"}), (tag, SHORT, {"clock": "10:00"})]
    later = (good, SHORT, {"clock": "11:00", "blank": LEAKS, "rig mended": "yes"})
    for place in order:
        who, readings, beside = [*day, later][place]
        bench(record, who, readings, **beside)
    assert [verdict for verdict, _ in verdicts(record, tag)] == ["fail"]


def test_without_a_clock_the_order_of_recording_counts_and_a_correction_keeps_its_place(record: Record) -> None:
    tag, good = make_part(record), make_part(record)
    held = bench(record, good, HELD)
    bench(record, tag, SHORT)
    assert verdicts(record, tag) == [("fail", held)]
    with record.write() as session:
        change.correct(session, BY, held, {"10s": "48cmHg"}, "misread")
    ((verdict, by),) = verdicts(record, tag)
    assert (verdict, by == held) == ("fail", False)


def test_a_run_before_work_on_the_unit_needs_no_deciding(record: Record) -> None:
    tag = make_part(record)
    bench(record, tag, SHORT)
    with record.write() as session:
        log_work(session, BY, tag, "heated to free a screw", "on the unit")
        assert undecided(session) == []
