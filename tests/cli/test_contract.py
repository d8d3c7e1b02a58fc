"""The commands that others rely on, in order from an empty folder, each with its keys and their types."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Shop

#: Smallest PNG there is: one grey dot.
PICTURE = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b55"
    "0000000a49444154789c636800000082008177cd72b60000000049454e44ae426082"
)
TAG = re.compile(r"[CDEFHJKNPRTVX][0-9CDEFHJKNPRTVX]{4}-[0-9CDEFHJKNPRTVX]")
MAYBE_TEXT = (str, type(None))
NUMBER = (int, float)
MAYBE_NUMBER = (int, float, type(None))
HOLD = (
    *("--reading", "0s=50cmHg", "--reading", "5s=49cmHg", "--reading", "10s=48cmHg", "--resolution", "1cmHg"),
    *("--blank", "0s=50cmHg", "--blank", "10s=50cmHg", "--volume", "60ml", "--ambient", "20degC"),
    *("--barometer", "1005hPa"),
)
COILS = (
    *("--reading", "primary=94.1ohm", "--reading", "secondary=361ohm", "--reading", "case=OL"),
    *("--ambient", "31degC", "--meter", "0.8% + 2 x 0.1ohm"),
)
LOG = (
    *("teardown", "log", "--kind", "pressure sensor", "--maker", "Ostrell", "--part-number", "HV 204 118"),
    *("--serial", "71-40822", "--match-code", "K", "--position", "inner wing, behind the left headlamp"),
    *("--axis", "across", "--fastener", "3x M6x20 hex", "--connection", "4-pin plug"),
    *("--connection", "vacuum hose 4 mm", "--mount", "3x grommet 10 x 18 x 8", "--condition", "2"),
    *("--note", "one stud bent", "--photo", "a.jpg"),
)


def typed(data: dict[str, Any], **types: type | tuple[type, ...]) -> None:
    """Hold an object to the keys it must have, and what each holds."""
    for key, wanted in types.items():
        assert key in data, f"{key} is not among {sorted(data)}"
        assert isinstance(data[key], wanted), (key, data[key])
        if wanted in (NUMBER, MAYBE_NUMBER):
            assert not isinstance(data[key], bool), key


def reasons_hold(reasons: list[dict[str, Any]]) -> None:
    assert reasons
    for reason in reasons:
        typed(reason, says=str, rule=str, source=str, standing=str, facts=list)
        assert reason["standing"] in ("published", "common practice", "workshop judgement", "from memory")
        assert all(re.fullmatch(r"[a-z_]+-\d+", fact) for fact in reason["facts"])


@pytest.fixture
def logged(shop: Shop) -> tuple[Shop, str]:
    """The contract's own strip-down, up to the part that was logged."""
    Path("a.jpg").write_bytes(PICTURE)
    shop.ok("car", "add", "Green tourer", "--maker", "Halvard", "--model", "Orsel injection", "--year", "1972",
            "--chassis", "OR-20417")  # fmt: skip
    shop.ok("teardown", "begin", "Green tourer")
    answer = shop.ok(*LOG)
    typed(answer, part=dict, sequence=int, car=str)
    typed(answer["part"], tag=str, kind=str, part_number=str, serial=str, match_code=str)
    expected = {"kind": "pressure sensor", "part_number": "HV 204 118", "serial": "71-40822", "match_code": "K"}
    assert {key: answer["part"][key] for key in expected} == expected
    assert (answer["sequence"], answer["car"]) == (1, "Green tourer")
    assert TAG.fullmatch(answer["part"]["tag"])
    return shop, answer["part"]["tag"]


def test_a_new_record_is_made_where_none_was(empty_target: str, capsys: pytest.CaptureFixture[str]) -> None:
    shop = Shop(empty_target, capsys.readouterr)
    answer = shop.ok("new")
    assert answer["record"]
    assert shop.ok("part", "find") == {"total": 0, "parts": []}
    assert shop.refused("new")["code"] == "record-exists"


def test_the_strip_down_is_followed_and_closed(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    status = shop.ok("teardown", "status")
    typed(status, car=str, since=str, off=list, still_on=list, stays=list)
    assert [(part["tag"], part["sequence"]) for part in status["off"]] == [(tag, 1)]
    assert shop.ok("teardown", "close")["off"] == 1
    assert shop.refused("teardown", "status")["code"] == "no-strip-down"


def test_the_card_tells_everything_with_the_ids_of_its_facts(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact", "--on", "2026-03-02")
    shop.ok("bench", "run", "hold", tag, *HOLD)
    shop.ok("work", "log", tag, "--what", "new mounts", "--where", "outside", "--on", "2026-03-04")
    shop.ok("value", "note", tag, "--amount", "850", "--currency", "EUR", "--basis", "market", "--on", "2026-02-01",
            "--source", "two sale results")  # fmt: skip
    shop.ok("provenance", "note", tag, "--how", "came with a car", "--on", "2019")
    shop.ok("refit", "fit", tag, "--position", "inner wing, behind the left headlamp")
    card = shop.card(tag)
    texts = ("tag", "kind", "maker", "part_number", "serial", "match_code", "whose", "seal_state", "car", "position")
    typed(card, **dict.fromkeys(texts, str))
    typed(card, **dict.fromkeys(("date_code", "match_code_read_from", "marks", "place"), MAYBE_TEXT))
    lists = ("notes", "seals", "removals", "fittings", "runs", "provenance", "work", "values", "documents")
    typed(card, **dict.fromkeys(lists, list), extra=dict)
    assert str(card["condition"]) == "2"
    for section in lists:
        assert len(card[section]) == 1, section
        typed(card[section][0], id=str, on=str, recorded=str, by=str)
        assert re.fullmatch(r"[a-z_]+-\d+", card[section][0]["id"])
        assert card[section][0]["by"] == "Ines"
    (removal,) = card["removals"]
    assert removal["axis"] == "across"
    assert removal["fasteners"] == "3x M6x20 hex"
    assert removal["connections"] == "4-pin plug; vacuum hose 4 mm"
    assert removal["mounts"] == "3x grommet 10 x 18 x 8"
    (value,) = card["values"]
    assert (value["amount"], value["currency"], value["on"]) == ("850", "EUR", "2026-02-01")
    assert card["documents"][0]["document"] == "a.jpg"
    assert "a.jpg" in shop.text("part", "show", tag)


def test_a_hold_gives_its_figures(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    run = shop.ok("bench", "run", "hold", tag, *HOLD)
    typed(run, run=str, tag=str, procedure=str, verdict=str, says=str, figures=dict, reasons=list)
    assert (run["tag"], run["procedure"], run["verdict"]) == (tag, "hold", "pass")
    reasons_hold(run["reasons"])
    figures = run["figures"]
    names = ("kept_share_at_limit", "kept_share_at_limit_low", "kept_share_at_limit_high", "time_constant_s")
    typed(figures, **dict.fromkeys(names, NUMBER), time_constant_low_s=NUMBER, time_constant_high_s=MAYBE_NUMBER)
    typed(figures, limit_share=NUMBER, limit_time_s=NUMBER, limit_time_constant_s=NUMBER)
    assert (figures["limit_share"], figures["limit_time_s"]) == (0.9, 10)
    assert figures["limit_time_constant_s"] == pytest.approx(94.912, abs=5e-4)
    low, kept, high = (figures[f"kept_share_at_limit{end}"] for end in ("_low", "", "_high"))
    assert low < kept < high
    assert kept == pytest.approx(0.96, abs=5e-3)
    # V p0 / T: 60 ml from 50 cmHg (66 661.2 Pa) with this run's own time constant
    assert figures["leak_rate_pa_m3_per_s"] == pytest.approx(60e-6 * 66661.2 / figures["time_constant_s"], rel=0.01)
    assert shop.ok("bench", "run", "hold", tag, *HOLD[:8])["figures"]["leak_rate_pa_m3_per_s"] is None


def test_resistances_give_their_figures_by_name(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    run = shop.ok("bench", "run", "resistance", tag, *COILS)
    assert run["verdict"] == "pass"
    reasons_hold(run["reasons"])
    keys = {"at_20_degc_ohm", "expanded_uncertainty_ohm", "low_limit_ohm", "high_limit_ohm", "at_least_ohm", "verdict"}
    for name in ("primary", "secondary", "case"):
        assert keys <= set(run["figures"][name]), name
    primary, case = run["figures"]["primary"], run["figures"]["case"]
    # copper, 0.00393 per kelvin at 20 degC (IEC 60028): 94.1 ohm at 31 degC
    assert primary["at_20_degc_ohm"] == pytest.approx(94.1 / (1 + 0.00393 * 11), rel=1e-4)
    assert (primary["low_limit_ohm"], primary["high_limit_ohm"], primary["at_least_ohm"]) == (80, 100, None)
    assert isinstance(case["at_least_ohm"], NUMBER)
    assert case["at_20_degc_ohm"] is None
    assert case["expanded_uncertainty_ohm"] is None


def test_the_bench_lists_its_procedures_and_a_parts_runs(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    listed = shop.ok("bench", "list", "--kind", "pressure sensor")
    assert {procedure["name"] for procedure in listed["procedures"]} >= {"hold", "resistance"}
    run = shop.ok("bench", "run", "hold", tag, *HOLD)
    history = shop.ok("bench", "history", tag)
    assert history["tag"] == tag
    assert [(each["run"], each["verdict"]) for each in history["runs"]] == [(run["run"], "pass")]
    assert history["runs"][0]["readings"] == ["0s=50cmHg", "5s=49cmHg", "10s=48cmHg"]


def test_evidence_says_what_it_rests_on(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    untested = shop.ok("evidence", tag)
    coils = shop.ok("bench", "run", "resistance", tag, *COILS)
    with_coils = shop.ok("evidence", tag)
    shop.ok("bench", "run", "hold", tag, *HOLD)
    evidence = shop.ok("evidence", tag)
    typed(evidence, p_serviceable=NUMBER, says=str, coverage=NUMBER, modes=list, tests=list, reasons=list)
    reasons_hold(evidence["reasons"])
    for mode in evidence["modes"]:
        typed(mode, mode=str, share=NUMBER, revealed=(bool, int, float))
    for test in evidence["tests"]:
        typed(test, what=str, when=str, weight=NUMBER, stale=bool)
    by_coils = with_coils["p_serviceable"] - untested["p_serviceable"]
    by_hold = evidence["p_serviceable"] - with_coils["p_serviceable"]
    assert coils["verdict"] == "pass"
    assert 0 < by_coils < by_hold, "coils alone move it little, a hold moves it much"


def test_finding_gives_lines(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact", "--on", "2026-03-02")
    found = shop.ok("part", "find", "K", "intact")
    assert found["total"] == 1
    keys = {"tag", "kind", "maker", "part_number", "serial", "match_code", "seal_state", "condition", "place", "car"}
    assert keys <= set(found["parts"][0])
    assert found["parts"][0]["tag"] == tag


def test_pairs_and_the_plan_of_a_shelf(logged: tuple[Shop, str]) -> None:
    shop, sensor = logged
    unit = shop.ok("teardown", "log", "--kind", "control unit", "--part-number", "HV 310 007", "--match-code", "K")
    other = shop.part("control unit", part_number="HV 310 007", match_code="L")
    shop.ok("fits", "add", "HV 204 118", "HV 310 007")
    shop.ok("seal", "note", sensor, "--seal", "cap", "--state", "intact")
    pairs = shop.ok("pairs")["pairs"]
    assert [(pair["sensor"], pair["unit"], pair["grade"]) for pair in pairs] == [
        (sensor, unit["part"]["tag"], "confirmed")
    ]
    typed(pairs[0], p_both_serviceable=NUMBER, next_step=str, reasons=list)
    reasons_hold(pairs[0]["reasons"])
    every = shop.ok("pairs", sensor, "--all")["pairs"]
    assert [(pair["unit"], pair["grade"]) for pair in every][-1] == (other, "ruled out")
    assert shop.ok("pairs", other, "--all")["pairs"][0]["sensor"] == sensor
    plan = shop.ok("pairs", "plan")
    typed(plan, pairs=list, left_over=dict, counts=dict)
    assert [pair["grade"] for pair in plan["pairs"]] == ["confirmed"]
    assert plan["left_over"]["sensors"] == []
    assert [left["tag"] for left in plan["left_over"]["units"]] == [other]
    reasons_hold(plan["left_over"]["units"][0]["reasons"])
    assert plan["counts"]["confirmed"] == 1
    assert set(plan["counts"]) <= {"confirmed", "probable", "possible", "ruled out"}
    kept_back = shop.ok("pairs", "plan", "--reserve", sensor)
    assert [left["tag"] for left in kept_back["left_over"]["sensors"]] == [sensor]


def test_facts_are_listed_taken_back_and_corrected(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    facts = shop.ok("fact", "list", tag)["facts"]
    assert {fact["table"] for fact in facts} == {"marking", "removal", "assessment", "note", "attachment"}
    note = next(fact["id"] for fact in facts if fact["table"] == "note")
    corrected = shop.ok("fact", "correct", note, "--set", "text=two studs bent", "--reason", "misread")["fact"]
    assert [each["text"] for each in shop.card(tag)["notes"]] == ["two studs bent"]
    withdrawn = shop.ok("fact", "withdraw", corrected, "--reason", "wrong part")["fact"]
    assert [each["text"] for each in shop.card(tag)["notes"]] == ["one stud bent"], "what it replaced is back"
    shop.ok("fact", "withdraw", withdrawn, "--reason", "it was this part")
    assert [each["text"] for each in shop.card(tag)["notes"]] == ["two studs bent"]
    again = shop.card(tag)["notes"][0]["id"]
    shop.ok("fact", "withdraw", again, "--reason", "not this part after all")
    assert [each["text"] for each in shop.card(tag)["notes"]] == ["one stud bent"], "and each time anew"
    log = {fact["id"]: fact for fact in shop.ok("fact", "list", tag)["facts"]}
    assert log[note]["superseded_by"] == corrected
    assert log[corrected]["reason"] == "misread"
    assert log[corrected]["superseded_by"] == withdrawn


def test_places_people_papers_and_values(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    shop.ok("place", "add", "Shelf B2", "--premises", "the yard")
    assert shop.ok("place", "put", tag, "shelf b2")["place"] == "Shelf B2"
    assert [(place["name"], place["parts"]) for place in shop.ok("place", "list")["places"]] == [("Shelf B2", 1)]
    assert shop.found("B2") == [], "two characters match a whole place only"
    assert shop.found("Shelf", "B2") == [], "both words, each in one field"
    assert shop.found("Shelf B2") == [tag], "one word with a blank in it, which is left out"
    shop.ok("contact", "add", "Petra Vohl", "--role", "keeper", "--telephone", "555 0142")
    named = {contact["name"]: contact for contact in shop.ok("contact", "list")["contacts"]}
    assert named["Petra Vohl"]["telephone"] == "555 0142"
    shop.ok("contact", "blank", "Petra Vohl", "--reason", "asked for it")
    assert "Petra Vohl" not in {contact["name"] for contact in shop.ok("contact", "list")["contacts"]}
    assert shop.ok("document", "add", tag, "a.jpg", "--shows", "marking")["shows"] == "marking"
    assert shop.ok("value", "note", tag, "--amount", "1 250.50", "--currency", "eur")["amount"] == "1250.50"


def test_the_record_is_sound_after_the_errand(logged: tuple[Shop, str]) -> None:
    shop, tag = logged
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact")
    shop.ok("teardown", "close")
    found = shop.ok("verify")
    typed(found, ok=bool, entries=int, problems=list)
    assert found["ok"] is True
    assert found["entries"] == shop.entries()
    assert found["problems"] == []
