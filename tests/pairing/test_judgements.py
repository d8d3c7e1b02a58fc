"""Every grade, every sentence and every reason of a pair. Facts of the trade: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.errors import Refused
from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate, OnRecord, SealNoted, StripDown, TestBeside
from inventory.pairing.findings.by_part import GRADES
from inventory.pairing.findings.fit import FitRow, Fits
from inventory.pairing.judgements import candidates, grade, pairs_among

FITS = Fits.of([FitRow("hv204118", "hv237051", "fits-1")], [("hv204117", "hv204118")])
INTACT = (SealNoted("cap", "intact", "seal-1"),)
PAPER = "else only a specialist's setting, with a paper that names this control unit, would raise it"
CAR = f"measure the mixture on the running car with this pair; {PAPER}"
SHOW = f"sweep the sensor and compare it with a trusted one, or {CAR}"
GREEN, BLUE = StripDown("3", "Green tourer", "removal-1"), StripDown("4", "Blue coupe", "removal-2")
ASK = f"ask the specialist which control unit it was set for and note it; else {CAR}"

SENSOR = Candidate(
    "K4127-7", SENSOR_KIND, "HV 204 118", "hv204118", 0.5, "K", "read", seal_state="intact", seals_noted=INTACT,
    fact="part-1", code_fact="code-1", document_count=2,
)  # fmt: skip
UNIT = Candidate("K2210-C", UNIT_KIND, "HV 237 051", "hv237051", 0.8, "K", "read", fact="part-2", document_count=1)


def s(**changes: object) -> Candidate:
    return replace(SENSOR, **changes)  # type: ignore[arg-type]


def u(**changes: object) -> Candidate:
    return replace(UNIT, **changes)  # type: ignore[arg-type]


def seals(*noted: SealNoted) -> dict[str, object]:
    """Sightings and the worst state that the contract makes of them."""
    counted = ["disturbed" if n.state == "renewed" and not n.has_document else n.state for n in noted]
    worst = ["missing", "disturbed", "not seen", "renewed", "intact", "never fitted"]
    return {"seals_noted": noted, "seal_state": min(counted, key=worst.index, default="not seen")}


def off(mate: str = "K2210-C", **changes: object) -> dict[str, object]:
    """The sensor off the Green tourer, with the part that it ran together with there."""
    return {"strip_down": replace(GREEN, mate=mate), **changes}


def with_it(mate: str = "K4127-7") -> dict[str, object]:
    """The control unit off the same car in the same strip-down."""
    return {"strip_down": replace(GREEN, fact="removal-2", mate=mate)}


UNCODED: dict[str, object] = {"match_code": "", "match_code_state": "not looked at"}
CAP_GONE = seals(SealNoted("cap", "missing", "seal-2"))
LIGHT = "in slanting light and compare dated pictures; do not scrape or sand the mark"
MENDED = ("repaired by a specialist",)
FAILED = TestBeside("hold", "fail", "failed the hold on 12 March 2026", "2026-03-12", "run-1", MENDED)
DEAD = TestBeside("supply", "fail", "failed the supply on 2 April 2026", "2026-04-02", "run-2", MENDED)
PASSED = TestBeside("sweep", "pass", "passed the sweep on 13 March 2026", "2026-03-13", "run-3")
MEND = "have sensor K4127-7 repaired by a specialist, or look for a sound one"
NOTHING = "no further step would raise this grade"
READ_AGAIN = "read both codes again if either mark is worn; else look for a mate with the same code"

CASES = {
    # confirmed
    "codes equal, cap intact": (
        s(), u(), "confirmed", "codes read on both, equal; sensor seals intact", NOTHING),
    "a dated picture counts as read": (
        s(match_code_read_from="dated picture"), u(match_code_read_from="part"), "confirmed",
        "codes read on both, equal; sensor seals intact", NOTHING),
    "never fitted counts as intact": (
        s(**seals(SealNoted("cap", "never fitted"))), u(), "confirmed",
        "codes read on both, equal; the sensor never had a seal", NOTHING),
    "a seal never noted does not lower": (
        s(seals_never_noted=("paint mark",)), u(), "confirmed",
        "codes read on both, equal; sensor seals intact", NOTHING),
    "no seal seen on the control unit is no bar": (
        s(), u(**seals(SealNoted("label", "not seen"))), "confirmed",
        "codes read on both, equal; sensor seals intact", NOTHING),
    "an older number of the same sensor": (
        s(part_number="HV 204 117", part_number_squeezed="hv204117"), u(), "confirmed",
        "codes read on both, equal; sensor seals intact", NOTHING),
    "sensor failed a test": (
        s(tests=(FAILED, PASSED)), u(), "confirmed",
        "belong together; sensor failed the hold on 12 March 2026", MEND),
    "both failed a test": (
        s(tests=(FAILED,)), u(tests=(DEAD,)), "confirmed",
        "belong together; sensor failed the hold on 12 March 2026; control unit failed the supply on 2 April 2026",
        f"{MEND}; then have control unit K2210-C repaired by a specialist, or look for a sound one"),
    # probable
    "cap not seen, sensor failed a test": (
        s(**seals(SealNoted("cap", "not seen")), tests=(FAILED,)), u(), "probable",
        "codes read on both, equal; sensor cap not seen; sensor failed the hold on 12 March 2026",
        f"look at sensor K4127-7 and note: cap; then {MEND}"),
    "cap not seen": (
        s(**seals(SealNoted("cap", "not seen"))), u(), "probable",
        "codes read on both, equal; sensor cap not seen", "look at sensor K4127-7 and note: cap"),
    "one seal intact, one not seen": (
        s(**seals(*INTACT, SealNoted("paint mark", "not seen"))), u(), "probable",
        "codes read on both, equal; sensor paint mark not seen", "look at sensor K4127-7 and note: paint mark"),
    "no seal noted": (
        s(**seals(), seals_never_noted=("cap", "paint mark")), u(), "probable",
        "codes read on both, equal; no seal of the sensor noted", "look at sensor K4127-7 and note: cap, paint mark"),
    "no seal noted, none known": (
        s(**seals()), u(), "probable",
        "codes read on both, equal; no seal of the sensor noted", "look at sensor K4127-7 and note: its seals"),
    "a code missing, ran together": (
        s(**off()), u(**with_it(), **UNCODED), "probable",
        "no code clearly read on control unit K2210-C; both off Green tourer in one strip-down",
        "look for the code on control unit K2210-C"),
    "both codes missing, ran together, cap not seen": (
        s(**off(), **UNCODED, **seals()), u(**with_it(), **UNCODED), "probable",
        "no code clearly read on both; both off Green tourer in one strip-down; no seal of the sensor noted",
        "look for the code on sensor K4127-7; then look for the code on control unit K2210-C; "
        "then look at sensor K4127-7 and note: its seals"),
    # possible
    "a code missing": (
        s(), u(**UNCODED), "possible", "no code clearly read on control unit K2210-C",
        "look for the code on control unit K2210-C"),
    "a code missing, off one car in two strip-downs": (
        s(**off()), u(strip_down=StripDown("4", "Green tourer"), **UNCODED), "possible",
        "no code clearly read on control unit K2210-C", "look for the code on control unit K2210-C"),
    "a code unreadable": (
        s(match_code="", match_code_state="unreadable"), u(), "possible",
        "no code clearly read on sensor K4127-7", f"read the code on sensor K4127-7 again {LIGHT}"),
    "label gone": (
        s(), u(match_code="", match_code_state="label gone"), "possible",
        "no code clearly read on control unit K2210-C",
        "no code is left to read on control unit K2210-C: look for a dated picture that shows one"),
    "code never fitted": (
        s(), u(match_code="", match_code_state="never fitted"), "possible",
        "no code clearly read on control unit K2210-C",
        "no code is left to read on control unit K2210-C: look for a dated picture that shows one"),
    "the seller's word is no reading": (
        s(), u(match_code_read_from="seller"), "possible", "no code clearly read on control unit K2210-C",
        "read the code on control unit K2210-C itself"),
    "a picture without a date is no reading": (
        s(match_code_read_from="picture"), u(), "possible", "no code clearly read on sensor K4127-7",
        "read the code on sensor K4127-7 itself"),
    "a doubtful letter neither confirms nor rules out": (
        s(), u(match_code="M?"), "possible", "no code clearly read on control unit K2210-C",
        f"read the code on control unit K2210-C again {LIGHT}"),
    "a set of letters does not confirm": (
        s(), u(match_code="K or N"), "possible", "no code clearly read on control unit K2210-C",
        f"read the code on control unit K2210-C again {LIGHT}"),
    "sensor opened": (
        s(opened=OnRecord("heated with a hot-air gun", "work-1")), u(), "possible",
        "codes read on both, equal; work on the sensor itself: heated with a hot-air gun", SHOW),
    "cap missing": (s(**CAP_GONE), u(), "possible", "codes read on both, equal; sensor cap missing", SHOW),
    "cap disturbed": (
        s(**seals(SealNoted("cap", "disturbed"))), u(), "possible",
        "codes read on both, equal; sensor cap disturbed", SHOW),
    "cap missing, ran together": (
        s(**off(), **CAP_GONE), u(**with_it(), **UNCODED), "possible",
        "no code clearly read on control unit K2210-C; both off Green tourer in one strip-down; sensor cap missing",
        SHOW),
    "renewed without a paper": (
        s(**seals(SealNoted("cap", "renewed"))), u(), "possible",
        "codes read on both, equal; sensor cap renewed without a paper", "find the specialist's paper and file it"),
    "renewed by a specialist": (
        s(**seals(SealNoted("cap", "renewed", "seal-3", has_document=True))), u(), "possible",
        "a specialist has set the sensor since: the factory's code on it no longer counts; sensor cap renewed", ASK),
    "renewed by a specialist, another code": (
        s(**seals(SealNoted("cap", "renewed", "seal-3", has_document=True))), u(match_code="M"), "possible",
        "a specialist has set the sensor since: the factory's code on it no longer counts; sensor cap renewed", ASK),
    "renewed by a specialist behind a seal not seen": (
        s(**seals(SealNoted("cap", "renewed", has_document=True), SealNoted("label", "not seen"))), u(), "possible",
        "a specialist has set the sensor since: the factory's code on it no longer counts", ASK),
    "control unit opened": (
        s(), u(opened=OnRecord("board resoldered", "work-2")), "possible",
        "codes read on both, equal; work on the control unit itself: board resoldered",
        "find out whether control unit K2210-C was opened and what was changed inside"),
    "control unit's seal broken": (
        s(), u(**seals(SealNoted("wire and lead", "disturbed"))), "possible",
        "codes read on both, equal; control unit wire and lead disturbed",
        "find out whether control unit K2210-C was opened and what was changed inside"),
    "everything doubtful is still possible": (
        s(**UNCODED, **CAP_GONE), u(**UNCODED, opened=OnRecord("cover off")), "possible",
        "no code clearly read on both; sensor cap missing; work on the control unit itself: cover off",
        "look for the code on sensor K4127-7; then look for the code on control unit K2210-C; "
        f"then {SHOW}; then find out whether control unit K2210-C was opened and what was changed inside"),
    "numbers nothing is known of": (
        s(part_number="HV 1", part_number_squeezed="hv1"), u(part_number="HV 2", part_number_squeezed="hv2"),
        "possible", "codes read on both, equal; nothing on record about whether numbers HV 1 and HV 2 fit",
        "if a list pairs these two numbers, note it under fits"),
    # ruled out
    "a set of letters rules out all others": (
        s(match_code="O or Q"), u(), "ruled out",
        "not a factory pair: codes read on both differ: one of O, Q and K", READ_AGAIN),
    "codes differ and a test failed": (
        s(tests=(FAILED,)), u(match_code="M"), "ruled out",
        "not a factory pair: codes read on both differ: K and M", READ_AGAIN),
    "codes differ": (
        s(), u(match_code="M"), "ruled out", "not a factory pair: codes read on both differ: K and M", READ_AGAIN),
    "codes look alike and differ": (
        s(match_code="O"), u(match_code="Q"), "ruled out", "not a factory pair: codes read on both differ: O and Q",
        f"read again: O and Q look alike when worn; read both {LIGHT}"),
    "codes differ on units off one car": (
        s(**off()), u(**with_it(), match_code="M"), "ruled out", "not a factory pair: codes read on both differ: K and M",
        f"both came off one car in one strip-down, so one may be misread: read both {LIGHT}"),
    "numbers do not fit": (
        s(), u(part_number="HV 237 099", part_number_squeezed="hv237099"), "ruled out",
        "not a factory pair: HV 237 099 is not among the numbers on record for HV 204 118",
        "read both part numbers again; if a list pairs them, or one replaced another, note that"),
    "a number nothing is known of, beside one that fits others": (
        s(part_number="HV 1", part_number_squeezed="hv1"), u(), "ruled out",
        "not a factory pair: HV 1 is not among the numbers on record for HV 237 051",
        "read both part numbers again; if a list pairs them, or one replaced another, note that"),
    "no part number": (
        s(), u(part_number="", part_number_squeezed=""), "possible",
        "codes read on both, equal; no number on record for control unit K2210-C",
        "read the part number on control unit K2210-C"),
}  # fmt: skip


@pytest.mark.parametrize(("sensor", "unit", "expected", "says", "next_step"), CASES.values(), ids=CASES)
def test_grade(sensor: Candidate, unit: Candidate, expected: str, says: str, next_step: str) -> None:
    pair = grade(sensor, unit, FITS)

    assert (expected, says, next_step) == (pair.grade, pair.says, pair.next_step)


NOTES = {
    "numbers by supersession": (
        s(part_number="HV 204 117", part_number_squeezed="hv204117"), u(),
        "numbers HV 204 117 and HV 237 051 fit, through superseded numbers", ("fits-1", "part-1", "part-2")),
    "numbers": (s(), u(), "numbers HV 204 118 and HV 237 051 fit", ("fits-1", "part-1", "part-2")),
    "codes": (s(), u(), "codes read on both, equal: K", ("code-1", "part-2")),
    "why a code is missing": (
        s(match_code_read_from="paperwork"), u(match_code="", match_code_state="label gone"),
        "code of sensor K4127-7: K only by the paperwork, not read from the part; "
        "code of control unit K2210-C: its label is gone", ("code-1", "part-2")),
    "three signs": (
        s(match_code="KMN"), u(),
        "code KMN of sensor K4127-7 is kept as written: check that it is the match code", ("code-1",)),
    "look-alikes that differ": (
        s(match_code="8"), u(match_code="B"), "read again: 8 and B look alike when worn", ("code-1", "part-2")),
    "look-alikes that agree": (
        s(match_code="O"), u(match_code="O"), "read again if worn: O looks like 0 or Q", ("code-1", "part-2")),
    "words that contradict": (
        s(match_code_read_from="seller"), u(match_code="M"),
        "codes on record, K and M, contradict each other: read again", ("code-1", "part-2")),
    "words that agree": (
        s(match_code_read_from="seller"), u(),
        "codes on record, K and K, do not contradict each other", ("code-1", "part-2")),
    "a doubtful letter that may be the other's": (
        s(match_code="O or K"), u(),
        "codes on record, O or K and K, do not contradict each other", ("code-1", "part-2")),
    "seals": (s(), u(), "sensor seals intact (cap intact)", ("seal-1",)),
    "a seal never noted": (
        s(seals_never_noted=("paint mark", "label")), u(), "nothing is noted about the sensor's paint mark, label", ()),
    "a broken seal": (
        s(**CAP_GONE), u(),
        "sensor cap missing: the code shows how the two left the factory, not how the sensor is set today",
        ("seal-2",)),
    "one car": (
        s(**off()), u(**with_it()),
        "both came off Green tourer in one strip-down", ("removal-1", "removal-2")),
    "ran together": (
        s(**off()), u(**with_it(), **UNCODED),
        "code of control unit K2210-C: not looked at; both off Green tourer in one strip-down",
        ("code-1", "part-2", "removal-1", "removal-2")),
    "sensor worked on": (
        s(opened=OnRecord("heated with a hot-air gun", "work-1")), u(),
        "work on the sensor itself: heated with a hot-air gun",
        ("work-1",)),
    "control unit clean": (s(), u(), "nothing on record against the control unit", ()),
    "control unit opened": (
        s(), u(opened=OnRecord("board resoldered", "work-2")),
        "work on the control unit itself: board resoldered", ("work-2",)),
    "failed": (
        s(tests=(FAILED,)), u(), "sensor K4127-7 failed the hold on 12 March 2026", ("run-1",)),
    "to change that": (
        s(), u(match_code="M"), f"not a factory pair; to change that: {READ_AGAIN}", ("code-1", "part-2")),
    "fitted": (s(fitted_to="Green tourer"), u(), "sensor K4127-7 is fitted to Green tourer", ()),
    "serviceable": (
        s(), u(), "serviceable: sensor 50%, control unit 80%, both 40%; see the evidence of each", ()),
}  # fmt: skip


@pytest.mark.parametrize(("sensor", "unit", "says", "facts"), NOTES.values(), ids=NOTES)
def test_reason(sensor: Candidate, unit: Candidate, says: str, facts: tuple[str, ...]) -> None:
    found = {reason.says: reason.facts for reason in grade(sensor, unit, FITS).reasons}

    assert says in found
    assert facts == found[says]


def test_every_reason_names_its_rule_and_the_trade_claims_no_source() -> None:
    for sensor, unit, *_ in CASES.values():
        for reason in grade(sensor, unit, FITS).reasons:
            assert reason.rule
            assert {"common practice": "no source", "workshop judgement": ""}[reason.standing] == reason.source


def test_nothing_advises_turning_an_adjuster() -> None:
    for sensor, unit, *_ in CASES.values():
        pair = grade(sensor, unit, FITS)
        told = " ".join([pair.says, pair.next_step, *(reason.says for reason in pair.reasons)])
        assert not {"adjust", "turn", "screw"} & set(told.split())


def test_json_has_the_keys_of_the_contract() -> None:
    pair = grade(SENSOR, UNIT, FITS).as_dict()

    assert list(pair) == ["sensor", "unit", "grade", "p_both_serviceable", "next_step", "reasons", "tests"]
    assert (
        pair["sensor"], pair["unit"], pair["grade"], pair["p_both_serviceable"],
    ) == ("K4127-7", "K2210-C", "confirmed", 0.4)  # fmt: skip


@pytest.mark.parametrize("kind", ["relay", "injector", "other"])
def test_no_pair_exists_for_other_kinds(kind: str) -> None:
    with pytest.raises(Refused) as refusal:
        candidates(s(kind=kind), [UNIT], FITS)

    assert refusal.value.code == "no-pair-for-kind"
    assert refusal.value.code == "no-pair-for-kind"
    with pytest.raises(Refused):
        grade(SENSOR, u(kind=kind), FITS)


def test_two_sensors_are_no_pair() -> None:
    with pytest.raises(Refused) as refusal:
        grade(SENSOR, SENSOR, FITS)

    assert refusal.value.code == "not-a-pair"


def test_candidates_stand_best_first() -> None:
    expected = ["confirmed, likely", "confirmed, papers", "confirmed, tag", "confirmed, unlikely", "possible"]
    units = [
        u(tag="possible", p_serviceable=1.0, document_count=9, **UNCODED),
        u(tag="confirmed, unlikely", p_serviceable=0.1, document_count=9),
        u(tag="confirmed, tag", document_count=1),
        u(tag="confirmed, papers", document_count=5),
        u(tag="confirmed, likely", p_serviceable=0.9, document_count=0),
        u(tag="ruled out", match_code="M", p_serviceable=1.0),
        u(tag="relay", kind="relay"),
        s(tag="another sensor"),
    ]

    assert expected == [pair.unit for pair in candidates(SENSOR, units, FITS)]
    assert [*expected, "ruled out"] == [pair.unit for pair in candidates(SENSOR, units, FITS, include_ruled_out=True)]


def test_candidates_of_a_control_unit_are_sensors() -> None:
    pairs = candidates(UNIT, [UNIT, s(tag="b"), s(tag="a"), s(tag="c", match_code="M")], FITS)

    assert [(pair.sensor, pair.unit) for pair in pairs] == [("a", "K2210-C"), ("b", "K2210-C")]


HALVES = st.builds(
    replace,
    st.just(SENSOR),
    tag=st.sampled_from(["s1", "s2", "s3"]),
    match_code=st.sampled_from(["", "K", "M", "O", "Q", "O or Q", "KMN"]),
    match_code_state=st.sampled_from(["read", "unreadable", "label gone", "never fitted", "not looked at"]),
    match_code_read_from=st.sampled_from(["", "part", "paperwork", "seller", "passport", "picture", "dated picture"]),
    seal_state=st.sampled_from(["missing", "disturbed", "not seen", "intact", "never fitted"]),
    seals_noted=st.just(()),
    strip_down=st.builds(replace, st.sampled_from([GREEN, BLUE]), mate=st.sampled_from(["s1", "u1", "u2", ""])),
    opened=st.sampled_from([None, OnRecord("cover off")]),
    tests=st.sampled_from([(), (FAILED,), (PASSED,)]),
    part_number_squeezed=st.sampled_from(["hv204118", "hv204117", "hv1", ""]),
    p_serviceable=st.floats(0, 1),
    document_count=st.integers(0, 3),
)
UNITS = HALVES.map(lambda half: replace(half, kind=UNIT_KIND, tag=half.tag.replace("s", "u"))).flatmap(
    lambda half: st.sampled_from(["hv237051", "hv2"]).map(lambda number: replace(half, part_number_squeezed=number))
)


@given(HALVES, UNITS)
def test_grade_follows_the_four_definitions(sensor: Candidate, unit: Candidate) -> None:
    """The definitions as the trade says them, put down once more in another form."""
    fit = sensor.part_number_squeezed in ("hv204118", "hv204117") and unit.part_number_squeezed == "hv237051"
    numbers = sensor.part_number_squeezed, unit.part_number_squeezed
    nothing_known = numbers == ("hv1", "hv2") or "" in numbers
    from_part = ("", "part", "dated picture")
    read = [
        half.match_code_state == "read" and half.match_code != "" and half.match_code_read_from in from_part
        for half in (sensor, unit)
    ]
    letters = [set(half.match_code.split(" or ")) for half in (sensor, unit)]
    equal = all(read) and letters[0] == letters[1] and len(letters[0]) == 1
    together = (sensor.strip_down.mate, unit.strip_down.mate) == (unit.tag, sensor.tag)  # type: ignore[union-attr]
    untouched = not sensor.opened and not unit.opened and unit.seal_state not in ("missing", "disturbed")
    if not (fit or nothing_known) or (all(read) and not letters[0] & letters[1]):
        expected = "ruled out"
    elif nothing_known:
        expected = "possible"
    elif equal and untouched and sensor.seal_state in ("intact", "never fitted"):
        expected = "confirmed"
    elif untouched and sensor.seal_state not in ("missing", "disturbed") and (equal or together):
        expected = "probable"
    else:
        expected = "possible"

    assert expected == grade(sensor, unit, FITS).grade


@given(HALVES, UNITS)
def test_a_further_doubt_never_raises_a_grade(sensor: Candidate, unit: Candidate) -> None:
    before = GRADES.index(grade(sensor, unit, FITS).grade)

    for worse in (
        grade(replace(sensor, seal_state="missing"), unit, FITS),
        grade(replace(sensor, opened=OnRecord("cover off")), unit, FITS),
        grade(sensor, replace(unit, opened=OnRecord("cover off")), FITS),
        grade(replace(sensor, strip_down=None), unit, FITS),
    ):
        assert GRADES.index(worse.grade) >= before


TESTS = st.lists(st.sampled_from([FAILED, PASSED, DEAD]), max_size=3, unique=True).map(tuple)


@given(HALVES, UNITS, TESTS, TESTS)
def test_a_test_never_changes_a_grade_and_a_failed_one_is_told(
    sensor: Candidate, unit: Candidate, ours: tuple[TestBeside, ...], theirs: tuple[TestBeside, ...]
) -> None:
    before = grade(replace(sensor, tests=()), replace(unit, tests=()), FITS)
    pair = grade(replace(sensor, tests=ours), replace(unit, tests=theirs), FITS)
    failed = [test for test in (*ours, *theirs) if test.verdict == "fail"]

    assert pair.grade == before.grade
    if pair.grade != "ruled out":
        assert all(test.says in pair.says for test in failed)
        assert bool(failed) == ("repaired by a specialist" in pair.next_step)
    told = pair.as_dict()["tests"]
    assert isinstance(told, list)
    assert [test["says"] for test in told] == [test.says for test in (*ours, *theirs)]
    assert set(map(tuple, told)) <= {("tag", "procedure", "verdict", "on", "fact", "says")}
    assert {fact for reason in pair.reasons for fact in reason.facts} >= {test.fact for test in failed}


@given(st.lists(HALVES, max_size=4), st.lists(UNITS, max_size=4))
def test_pairs_are_sorted_and_complete(sensors: list[Candidate], units: list[Candidate]) -> None:
    every = pairs_among(sensors, units, FITS, include_ruled_out=True)

    assert len(sensors) * len(units) == len(every)
    assert sorted(every, key=lambda pair: pair.rank) == list(every)
    assert tuple(pair for pair in every if pair.grade != "ruled out") == pairs_among(sensors, units, FITS)
    for pair in every:
        assert pair.says
        assert pair.next_step
        assert (pair.grade == "ruled out") == any("to change that" in reason.says for reason in pair.reasons)
