"""Named readings held against limits: each form, the guard on either side, conditions that must have been noted."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inventory.bench.judgements import allowed_conditions
from inventory.bench.methods.limits.judgement import verdict_against
from inventory.bench.methods.limits.words import widest_doubt
from inventory.bench.verdicts import DIFFERS
from inventory.errors import Refused
from inventory.reference.data import PROGRAM, Reference
from inventory.reference.workshop import read_workshop as workshop
from tests.judging import check, context, judge

RIG = {"pressure": "2bar", "over": "60s"}
WIRING = "the car's supply and earth at the plug"
ALL_CONTACTS = "idle contact, idle contact off idle, full-load contact and full-load contact off load not measured"
OTHER_CONTACTS = "full-load contact, full-load contact off load and closed not measured"
OWN = """\
[[limit]]
procedure = "flow"
kind = "injector"
number = "HV 441 009"
reading = "static"
low = 118
high = 125
source = "sheet of the maker"
at = [{ condition = "pressure", low = 1.95, high = 2.05, unit = "bar" }]

[[limit]]
procedure = "time switch"
kind = "thermo-time switch"
reading = "opens"
low = 6
high = 10
source = "stamped on the hexagon"
at = [{ condition = "ambient", low = -2, high = 2, unit = "degC" }]

[[pins]]
number = "HV 700 001"
source = "drawn up from a good one"
pins = { 14 = "sensor, pin 2", 15 = "sensor, pin 3", 22 = "earth on the block" }
"""


@pytest.fixture
def own(tmp_path: Path) -> Callable[[str], Reference]:
    """A function that gives the reference data with a text as the workshop's file."""

    def read(text: str) -> Reference:
        path = tmp_path / "own.toml"
        path.write_text(text, encoding="utf-8")
        return workshop.reference_from(path)

    return read


@pytest.mark.parametrize(
    ("procedure", "kind", "readings", "beside", "verdict", "says"),
    [
        # at least, at most
        ("supply", "control unit", "supply=12.1V; earth drop=0.03V; supply drop=0.2V", {}, "not judged",
         f"{WIRING}: PASS, which says nothing of the unit. supply 12.1 V (at least 11.5 V): pass; earth drop 0.03 V (at most 0.1 V): pass; "
         "supply drop 0.2 V (at most 0.5 V): pass"),
        ("supply", "control unit", "supply=12.1V; earth drop=150mV", {}, "not judged",
         f"{WIRING}: FAIL, which says nothing of the unit. supply 12.1 V (at least 11.5 V): pass; earth drop 150 mV (at most 100 mV): fail; supply drop not measured"),
        ("supply", "control unit", "supply=12.1V; earth drop=0.1V", {}, "not judged",
         f"{WIRING}: UNDECIDED, which says nothing of the unit. supply 12.1 V (at least 11.5 V): pass; earth drop 0.1 V (at most 0.1 V): undecided; "
         "supply drop not measured"),
        # band
        ("pressure", "fuel pressure regulator", "keeps=2.05bar", {}, "pass", "keeps 2.05 bar (1.9 to 2.2 bar): pass"),
        ("pressure", "fuel pressure regulator", "keeps=35psi", {}, "undecided",
         f"keeps 35 psi (27.56 to 31.91 psi): undecided, {DIFFERS}"),
        ("pressure", "fuel pressure regulator", "keeps=70psi", {}, "fail", "keeps 70 psi (27.56 to 31.91 psi): fail"),
        # open, closed
        ("contacts", "throttle switch", "idle contact=Closed; idle contact off idle=open", {}, "pass",
         f"idle contact closed: pass; idle contact off idle open: pass; {OTHER_CONTACTS}"),
        ("contacts", "throttle switch", "idle contact=open; idle contact off idle=open", {}, "fail",
         f"idle contact open (wanted: closed): fail; idle contact off idle open: pass; {OTHER_CONTACTS}"),
        # a count of whole things has no doubt of a digit
        ("steps", "throttle switch", "steps=20; while shutting=silent", {}, "pass",
         "steps 20 (wanted: 20 steps): pass; while shutting silent: pass"),
        ("steps", "throttle switch", "steps=19; while shutting=silent", {}, "undecided",
         f"steps 19 (wanted: 20 steps): undecided, {DIFFERS}; while shutting silent: pass"),
        ("steps", "throttle switch", "steps=9", {}, "fail",
         "steps 9 (wanted: 20 steps): fail; while shutting not measured"),
        # drops a minute, read as a rate or counted over a time
        ("leakage", "injector", "drops=0", RIG, "pass", "drops 0.0 drops/min (at most 1 drops/min): pass"),
        ("leakage", "injector", "drops=1", RIG, "undecided", "drops 1.0 drops/min (at most 1 drops/min): undecided"),
        ("leakage", "injector", "drops=1", RIG | {"over": "5min"}, "pass",
         "drops 0.20 drops/min (at most 1 drops/min): pass"),
        ("leakage", "injector", "drops=4drops/min", {"pressure": "2bar"}, "fail",
         "drops 4 drops/min (at most 1 drops/min): fail"),
        ("leakage", "injector", "drops=0", {"over": "60s"}, "not judged",
         "drops 0.0 drops/min (at most 1 drops/min): not judged, note pressure beside it"),
        # left after some minutes: still enough later was enough, too little sooner is too little
        ("check valve", "fuel pump", "start=2.0bar; 10min=1.4bar", {}, "pass",
         "start 2.0 bar: no limit on file; 10min 1.4 bar (at least 1 bar after 10 min): pass"),
        ("check valve", "fuel pump", "20min=1.4bar", {}, "pass",
         "20 min 1.4 bar (at least 1 bar after 10 min): pass"),
        ("check valve", "fuel pump", "5min=0.4bar", {"blank": ["0s=2.0bar", "5min=2.0bar"]}, "fail",
         "5 min 0.4 bar (at least 1 bar after 10 min): fail"),
        ("check valve", "fuel pump", "5min=1.4bar", {}, "undecided",
         "5 min 1.4 bar (at least 1 bar after 10 min): undecided, read it again at 10 min"),
        ("check valve", "fuel pump", "20min=0.4bar", {}, "undecided",
         "20 min 0.4 bar (at least 1 bar after 10 min): undecided"),
        # the leads are subtracted; if nobody noted them, a little too much may be theirs
        ("contacts", "throttle switch", "closed=1.4ohm", {"leads": "0.5ohm"}, "undecided",
         f"closed 0.90 ohm (at most 1 ohm): undecided; {ALL_CONTACTS}"),
        ("contacts", "throttle switch", "closed=1.30ohm", {"leads": "0.50ohm"}, "pass",
         f"closed 0.800 ohm (at most 1 ohm): pass; {ALL_CONTACTS}"),
        ("contacts", "throttle switch", "closed=1.3ohm", {"leads": "0.1ohm"}, "fail",
         f"closed 1.20 ohm (at most 1 ohm): fail; {ALL_CONTACTS}"),
        ("contacts", "throttle switch", "closed=1.3ohm", {}, "undecided",
         f"closed 1.3 ohm (at most 1 ohm): undecided, or only the leads: note their resistance; {ALL_CONTACTS}"),
        ("contacts", "throttle switch", "closed=4ohm", {}, "fail",
         f"closed 4 ohm (at most 1 ohm): fail; {ALL_CONTACTS}"),
        # drop under load: the load must be noted, and a drop only grows with it
        ("drop", "relay", "contacts=0.12V", {"load": "5.2A"}, "pass", "contacts 0.12 V (at most 0.2 V): pass"),
        ("drop", "relay", "contacts=0.12V", {}, "not judged",
         "contacts 0.12 V (at most 0.2 V): not judged, note load beside it"),
        ("drop", "relay", "contacts=0.12V", {"load": "2A"}, "undecided",
         "contacts 0.12 V (at most 0.2 V): undecided, only 2 A was drawn; the limit holds at 5 to 30 A"),
        ("drop", "relay", "contacts=0.42V", {"load": "2A"}, "fail", "contacts 0.42 V (at most 0.2 V): fail"),
        # pull-in and drop-out volts, and their ratio
        ("pull-in", "relay", "pull-in=7.1V; drop-out=3.0V", {}, "pass",
         "pull-in 7.1 V (at most 8 V): pass; drop-out 3.0 V (1.2 to 5 V): pass; "
         "drop-out to pull-in 0.423 (at most 0.9): pass"),
        ("pull-in", "relay", "pull-in=4.9V; drop-out=4.8V", {}, "fail",
         "pull-in 4.9 V (at most 8 V): pass; drop-out 4.8 V (1.2 to 5 V): pass; "
         "drop-out to pull-in 0.980 (at most 0.9): fail"),
        # beyond the range of the meter
        ("insulation", "pressure sensor", "primary to case=OL; secondary to case=>20Mohm", {}, "pass",
         "primary to case beyond the range (OL) (at least 1 Mohm): pass; "
         "secondary to case beyond the range (>20Mohm) (at least 1 Mohm): pass; primary to secondary not measured"),
        ("insulation", "pressure sensor", "primary to case=>200kohm; secondary to case=OL", {}, "undecided",
         "primary to case beyond the range (>200kohm) (at least 1 Mohm): undecided; "
         "secondary to case beyond the range (OL) (at least 1 Mohm): pass; primary to secondary not measured"),
        # a limit that holds only at a temperature
        ("air valve", "auxiliary air valve", "cold=open; shut after=6min", {"ambient": "20degC"}, "pass",
         "cold open: pass; shut after 6 min (at most 10 min): pass; warm not measured"),
        ("air valve", "auxiliary air valve", "cold=open; shut after=6min", {"ambient": "40degC"}, "not judged",
         "cold open (wanted: open or half open): not judged, the limit holds at -40 to 25 degC, not at 40 degC; "
         "shut after 6 min (at most 10 min): pass; warm not measured"),
        ("air valve", "auxiliary air valve", "cold=open; shut after=6min", {}, "not judged",
         "cold open (wanted: open or half open): not judged, the limit holds at -40 to 25 degC: "
         "note ambient beside it; shut after 6 min (at most 10 min): pass; warm not measured"),
        # not whole, no limit, only told
        ("supply", "control unit", "supply=12.1V", {}, "not judged",
         f"{WIRING}: PASS, which says nothing of the unit. supply 12.1 V (at least 11.5 V): pass; "
         "supply drop and earth drop not measured"),
        ("current", "fuel pump", "current=5.1A", {}, "not judged", "current 5.1 A: no limit on file"),
        ("spray", "injector", "spray=even  cone", {}, "pass", "spray even cone: pass"),
        ("running", "car", "starts=yes; runs=well", {}, "not judged",
         "starts yes: noted, not judged; runs well: noted, not judged"),
        # pins of a loom
        ("pins", "loom", "14=0.3ohm; pins 14-15=OL; 22-case=0.2Mohm", {}, "fail",
         "pin 14 0.3 ohm (at most 1 ohm): pass; pins 14 to 15 beyond the range (OL) (at least 1 Mohm): pass; "
         "pins 22 to case 0.2 Mohm (at least 1 Mohm): fail; other pins not measured"),
        # on the car
        ("mixture", "car", "idle CO=2.0%; cruise lambda=1.01; full load lambda=0.89", {}, "pass",
         "idle CO 2.0 % (0.5 to 3.5 %): pass; cruise lambda 1.01 (0.95 to 1.05 lambda): pass; "
         "full load lambda 0.89 (0.85 to 0.93 lambda): pass"),
        ("manifold vacuum", "car", "idle=18inHg; needle=swings", {}, "fail",
         "idle 18 inHg (14.96 to 22.05 inHg): pass; needle swings (wanted: steady): fail"),
    ],
)  # fmt: skip
def test_each_form_of_a_limit(
    procedure: str, kind: str, readings: str, beside: dict[str, Any], verdict: str, says: str
) -> None:
    typed = readings.split("; ")

    check(procedure, kind, typed, beside)
    found = judge(procedure, kind, typed, beside)

    assert (found.verdict, found.says) == (verdict, says)


def test_flow_is_told_as_a_rate_and_judged_only_by_a_limit_of_its_number(own: Callable[[str], Reference]) -> None:
    data = own(OWN)
    caught = (["static=62ml"], {"over": "30s", "pressure": "2.0bar", "fluid": "test fluid", "session": "S1"})

    unknown = judge("flow", "injector", *caught, context(data=data))
    numbered = judge("flow", "injector", *caught, context("HV 441 009", data=data))
    elsewhere = judge(
        "flow", "injector", caught[0], caught[1] | {"pressure": "2.5bar"}, context("HV 441 009", data=data)
    )

    assert (unknown.verdict, unknown.says) == ("not judged", "static 124.0 ml/min: no limit on file")
    assert (numbered.verdict, numbered.says) == ("undecided", "static 124.0 ml/min (118 to 125 ml/min): undecided")
    assert numbered.reasons[0].source == "the workshop's own: sheet of the maker"
    assert elsewhere.says.endswith("not judged, the limit holds at 1.95 to 2.05 bar, not at 2.5 bar")
    figures: Any = numbered.figures["static"]
    assert figures["as_read"] == pytest.approx(124.0)
    assert figures["expanded_uncertainty"] == pytest.approx(
        2 * (4 / 3 + 1.24**2) ** 0.5  # 1 ml in 30 s is 2 ml/min; read once: 1 % more
    )
    assert (figures["unit"], figures["low_limit"], figures["high_limit"]) == ("ml/min", 118, 125)


def test_repeats_are_a_mean_and_the_verdict_uses_their_spread() -> None:
    """From 2 readings Student's t for one degree of freedom, 6.31, from 5 it is 2.13: scipy.stats.t.ppf(0.95, n - 1)."""

    def judged(*volts: str) -> tuple[str, str, Any]:
        found = judge("pull-in", "relay", [f"pull-in={each}V" for each in volts], {"resolution": "0.001V"})
        figures: Any = found.figures["pull-in"]
        return figures["verdict"], found.says.partition(";")[0], figures

    assert judged("7.90")[0] == "pass"
    assert judged("7.85", "7.95")[:2] == ("undecided", "pull-in 7.9000 V, mean of 2 (at most 8 V): undecided")
    verdict, _, figures = judged("7.85", "7.95", "7.88", "7.92", "7.90")
    assert verdict == "pass"
    assert (figures["repeats"], figures["repeats_spread"]) == (5, pytest.approx(0.0380789, abs=1e-6))
    assert figures["expanded_uncertainty"] == pytest.approx(2 * (0.0380789**2 / 5 + 1e-6 / 3) ** 0.5, rel=1e-5)


@pytest.mark.parametrize(
    ("ambient", "seconds", "verdict"), [("0degC", "8.0s", "pass"), ("0degC", "14.0s", "fail"), ("15degC", "8.0s", "not judged")]
)  # fmt: skip
def test_a_switch_that_opens_after_some_seconds_at_a_temperature(
    own: Callable[[str], Reference], ambient: str, seconds: str, verdict: str
) -> None:
    readings = ["contact cold=closed", f"opens={seconds}"]
    beside = {"ambient": ambient, "voltage": "12V"}

    assert judge("time switch", "thermo-time switch", readings, beside).verdict == "not judged"
    data = own(OWN)
    assert judge("time switch", "thermo-time switch", readings, beside, context(data=data)).verdict == verdict


def test_leaking_fuel_that_is_seen_has_no_further_doubt_and_a_lambda_has_little() -> None:
    dripping = judge("leakage", "injector", ["drops=3drops/min"], {"pressure": "2bar"})
    assert (dripping.verdict, dripping.figures["drops"]["limit_doubt"]) == ("fail", None)  # type: ignore[index]
    assert judge("mixture", "car", ["cruise lambda=1.10"], {}).verdict == "undecided"
    assert judge("mixture", "car", ["cruise lambda=1.30"], {}).verdict == "fail"
    assert judge("mixture", "car", ["cruise CO=8.0%"], {}).verdict == "fail"


def test_one_reading_is_taken_instead_of_another() -> None:
    run = judge("mixture", "car", ["idle CO=2.0%", "cruise lambda=1.00"], {})
    assert run.says.endswith("; full load CO and full load lambda not measured")
    assert run.covers == ("idle CO", "cruise lambda")


def test_a_workshops_own_limit_fails_at_its_edge(own: Callable[[str], Reference]) -> None:
    limit = (
        '[[limit]]\nprocedure = "pressure"\nkind = "fuel pressure regulator"\nreading = "keeps"\nlow = 1.9\n'
        'high = 2.2\nstanding = "workshop judgement"\nsource = "twelve sound ones"\n'
    )
    readings = ["keeps=2.4bar"]
    assert judge("pressure", "fuel pressure regulator", readings, {}).verdict == "undecided"
    assert judge("pressure", "fuel pressure regulator", readings, {}, context(data=own(limit))).verdict == "fail"


def test_a_loom_is_whole_only_when_every_pin_of_its_list_was_read(own: Callable[[str], Reference]) -> None:
    data = own(OWN)
    known = context("HV 700.001", data=data)

    some = judge("pins", "loom", ["14=0.3ohm", "15=0.4ohm", "14-15=OL"], {}, known)
    every = judge("pins", "loom", ["14=0.3ohm", "15=0.4ohm", "22=0.2ohm", "15-earth=OL"], {}, known)

    assert (some.verdict, some.says.rpartition("; ")[2]) == ("pass", "pin 22 (earth on the block) not measured")
    assert some.covers == ("pin 14", "pin 15", "pins 14 to 15")
    assert every.covers is None
    assert every.verdict == "pass"
    with pytest.raises(Refused) as refused:
        check("pins", "loom", ["9=0.3ohm"], {}, known)
    assert (refused.value.code, refused.value.hint) == ("no-such-pin", "pins of HV 700 001: 14, 15, 22")


LAST_DIGIT = "no meter and no resolution noted: each reading may be out by one of its last digit"


@pytest.mark.parametrize(
    ("beside", "wiring", "says"),
    [
        ({}, "pass", LAST_DIGIT),
        ({"resolution": "20mV"}, "undecided", "read to 20mV: each reading may be out by that much"),
        ({"meter": "0.5% + 2 x 1mV"}, "pass", "meter 0.5% + 2 x 1mV, shown at k = 2"),
        ({"meter": "0.5% + 2 x 10mV"}, "undecided", "meter 0.5% + 2 x 10mV, shown at k = 2"),
    ],
)
def test_how_finely_it_was_read_decides_near_a_limit(beside: dict[str, Any], wiring: str, says: str) -> None:
    found = judge("supply", "control unit", ["supply=12.1V", "earth drop=0.09V"], beside)

    assert (found.verdict, found.figures["wiring_verdict"], found.covers) == ("not judged", wiring, ())
    assert says in [reason.says for reason in found.reasons]


def test_an_undecided_reading_says_how_well_it_must_be_known() -> None:
    found = judge("supply", "control unit", ["supply=12.1V", "earth drop=0.09V"], {"resolution": "20mV"})

    assert widest_doubt(0.09, None, 0.1) == pytest.approx(0.01 * 3**0.5 / 1.645)
    assert "earth drop: read to within 0.01 V, it would get a verdict" in [each.says for each in found.reasons]


@pytest.mark.parametrize(
    ("value", "u", "low", "high", "verdict"),
    [
        (1.0, 0.0, 1.0, None, "pass"),
        (1.0, 0.1, 1.0, None, "undecided"),
        (1.1646, 0.1, 1.0, None, "pass"),
        (0.8354, 0.1, 1.0, None, "fail"),
        (1.5, 0.1, 1.0, 1.6, "undecided"),
        (1.5, 0.0, None, None, "not judged"),
    ],
)
def test_the_guard_is_kept_on_either_side(
    value: float, u: float, low: float | None, high: float | None, verdict: str
) -> None:
    assert verdict_against(value, u, low, high) == verdict


@pytest.mark.parametrize(
    ("procedure", "kind", "readings", "beside", "code"),
    [
        ("spray", "injector", ["spray=lovely"], {}, "no-such-word"),
        ("supply", "control unit", ["volts=12V"], {}, "unknown-reading"),
        ("supply", "control unit", ["supply=12ohm"], {}, "wrong-dimension"),
        ("contacts", "throttle switch", ["idle contact=open", "idle contact=closed"], {}, "reading-twice"),
            ("check valve", "fuel pump", ["10min=1bar", "10min=2bar"], {}, "reading-twice"),
        ("supply", "control unit", ["supply=12V"], {"meter": "2 x 1ohm"}, "wrong-dimension"),
        ("supply", "control unit", ["supply=12V"], {"blank": ["0s=50cmHg"]}, "condition-not-for-procedure"),
        ("drop", "relay", ["contacts=0.1V"], {"load": "0A"}, "no-size"),
        ("contacts", "throttle switch", ["idle contact=closed"], {"at": "shelf"}, "no-such-spot"),
        ("pull-in", "relay", ["drop-out to pull-in=0.4"], {},
         "unknown-reading"),
        ("check valve", "fuel pump", ["10ohm=2bar"], {}, "wrong-dimension"),
        ("pins", "loom", ["14-15-16=OL"], {}, "no-such-pin"),
        ("mixture", "control unit", ["idle CO=2%"], {}, "procedure-not-for-kind"),
        ("insulation", "control unit", ["primary to case=OL"], {},
         "never-on-kind"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused(
    procedure: str, kind: str, readings: list[str], beside: dict[str, Any], code: str
) -> None:
    with pytest.raises(Refused) as refused:
        check(procedure, kind, readings, beside)
    assert refused.value.code == code


def test_too_high_a_test_voltage_is_told() -> None:
    readings = ["primary to case=OL", "secondary to case=OL"]

    gentle = judge("insulation", "pressure sensor", readings, {"voltage": "9V"})
    harsh = judge("insulation", "pressure sensor", readings, {"voltage": "500V"})

    assert "tested at 500 V, more than the 9 V allowed: repeat all tests" in [each.says for each in harsh.reasons]
    assert not [each for each in gentle.reasons if "allowed" in each.says]


def test_a_limit_from_memory_is_told_as_such() -> None:
    found = judge("pressure", "fuel pressure regulator", ["keeps=2.05bar"], {})

    assert found.reasons[0].standing == "from memory"
    assert "the limits of keeps are from memory: check your workshop manual" in [each.says for each in found.reasons]


def test_that_it_starts_and_runs_proves_little_and_says_why() -> None:
    found = judge("running", "car", ["starts=yes"], {})

    assert found.verdict == "not judged"
    assert "with a torn diaphragm the engine still runs, only worse" in found.reasons[1].says


def test_what_may_be_noted_beside_is_said_by_the_procedure() -> None:
    assert {"pressure", "fluid", "session", "note"} <= set(allowed_conditions(PROGRAM.procedure("spray")))
    assert "load" not in allowed_conditions(PROGRAM.procedure("spray"))
