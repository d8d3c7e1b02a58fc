"""Who belongs with whom, by commands: candidates, a specialist's paper, parts kept back, the plan, what is sent out."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Shop

SENSOR, UNIT = "HV 204 118", "HV 310 002"


def sensor(shop: Shop, code: str = "K", number: str = SENSOR, **options: str) -> str:
    return shop.part("pressure sensor", part_number=number, **({"match_code": code} if code else {}), **options)


def unit(shop: Shop, code: str = "K", number: str = UNIT, **options: str) -> str:
    return shop.part("control unit", part_number=number, **({"match_code": code} if code else {}), **options)


def grades(shop: Shop, *words: str) -> list[tuple[str, str, str]]:
    return [(pair["sensor"], pair["unit"], pair["grade"]) for pair in shop.ok("pairs", *words)["pairs"]]


@pytest.fixture
def paper(tmp_path: Path) -> str:
    """A specialist's paper."""
    (tmp_path / "paper.txt").write_text("set on the bench")
    return "paper.txt"


def test_a_paper_counts_where_the_letter_did_and_is_corrected_and_taken_back(shop: Shop, paper: str) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, k, m = sensor(shop), unit(shop), unit(shop, "M")
    shop.ok("seal", "note", one, "--seal", "cap", "--state", "missing")
    assert grades(shop, one) == [(one, k, "possible")]

    filed = shop.ok("pairs", "paper", one, "--document", paper, "--for", m)
    assert grades(shop, one, "--all") == [(one, m, "confirmed"), (one, k, "ruled out")]

    corrected = shop.ok("fact", "correct", filed["fact"], "--set", f"unit={k}", "--reason", "misread")["fact"]
    assert grades(shop, one) == [(one, k, "confirmed")]

    shop.ok("fact", "withdraw", corrected, "--reason", "it was read right")
    assert grades(shop, one) == [(one, m, "confirmed")]
    table = corrected.partition("-")[0]
    shop.ok("fact", "withdraw", f"{table}-3", "--reason", "another sensor")
    assert grades(shop, one) == [(one, k, "possible")]


def test_a_paper_names_a_number_and_its_code_or_none(shop: Shop, paper: str) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, k, m = sensor(shop), unit(shop), unit(shop, "M")

    shop.ok("pairs", "paper", one, "--document", paper, "--for-number", "hv310002", "--for-code", "m")
    assert grades(shop, one) == [(one, m, "confirmed")]

    said = shop.text("pairs", "paper", one, "--document", paper)
    assert said.startswith(f"{one}: set by a specialist; the paper names no control unit, on 20")
    assert grades(shop, one) == sorted([(one, k, "possible"), (one, m, "possible")])


def test_papers_that_cannot_be_filed(shop: Shop, paper: str) -> None:
    one, k = sensor(shop), unit(shop)
    filing = ("pairs", "paper", one, "--document", paper)

    assert shop.refused(*filing, "--for-number", UNIT)["code"] == "half-named"
    assert shop.refused(*filing, "--for-code", "K")["code"] == "half-named"
    assert shop.refused(*filing, "--for", k, "--for-code", "K")["code"] == "named-twice"
    assert shop.refused(*filing, "--for", one)["code"] == "not-a-pair"
    assert shop.refused("pairs", "paper", k, "--document", paper)["code"] == "not-a-pair"
    assert shop.refused("pairs", "paper", shop.part("relay"), "--document", paper)["code"] == "no-pair-for-kind"
    assert shop.refused("pairs", "paper", one, "--document", "none.txt")["code"] == "file-not-readable"


def test_what_is_kept_back_is_left_over_until_it_is_released(shop: Shop) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, k = sensor(shop), unit(shop)
    shop.ok("pairs", "reserve", k, "--why", "for Petra")

    made = shop.ok("pairs", "plan")
    assert made["pairs"] == []
    assert made["left_over"]["units"][0]["tag"] == k
    reasons = made["left_over"]["units"][0]["reasons"]
    assert [reason["says"] for reason in reasons] == ["reserved", "reserved: for Petra"]
    assert [reason["facts"] for reason in reasons] == [["reservation-1"]] * 2
    assert f"control unit {k} is reserved: for Petra" in [
        r["says"] for r in shop.ok("pairs", one)["pairs"][0]["reasons"]
    ]
    assert shop.refused("pairs", "reserve", k)["code"] == "reserved-already"

    shop.ok("pairs", "release", k)
    assert [(p["sensor"], p["unit"]) for p in shop.ok("pairs", "plan")["pairs"]] == [(one, k)]
    assert shop.refused("pairs", "release", k)["code"] == "not-reserved"
    kept = shop.ok("pairs", "plan", "--reserve", one)
    assert [left["reasons"][0]["says"] for left in kept["left_over"]["sensors"]] == ["reserved"]
    assert [(p["sensor"], p["unit"]) for p in shop.ok("pairs", "plan")["pairs"]] == [(one, k)]


def test_what_is_sold_or_goes_in_no_pair_cannot_be_kept_back(shop: Shop) -> None:
    one = sensor(shop)
    shop.ok("provenance", "note", one, "--how", "sold")

    assert shop.refused("pairs", "reserve", one)["code"] == "part-gone"
    assert shop.refused("pairs", "plan", "--reserve", one)["code"] == "part-gone"
    assert shop.refused("pairs", "reserve", shop.part("relay"))["code"] == "no-pair-for-kind"
    assert shop.refused("pairs", shop.part("relay"))["code"] == "no-pair-for-kind"
    assert shop.refused("pairs", "--kind", "relay")["code"] == "no-pair-for-kind"


def test_the_plan_keeps_to_its_scope_and_says_what_to_look_out_for(shop: Shop) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    shop.ok("fits", "supersede", UNIT, "HV 310 003")
    shop.ok("place", "add", "Shelf B2")
    shop.stripping()
    here, elsewhere, lone, lent = sensor(shop), sensor(shop), sensor(shop, "M"), unit(shop)
    k = unit(shop)
    for tag in (here, k, lone):
        shop.ok("place", "put", tag, "Shelf B2")
    shop.ok("provenance", "note", lent, "--how", "lent out")
    on_car = sensor(shop)
    shop.ok("refit", "fit", on_car, "--position", "wing", "--car", "Green tourer", "--override", "to try it")

    made = shop.ok("pairs", "plan", "--place", "shelf b2")
    assert [(p["sensor"], p["unit"], p["grade"]) for p in made["pairs"]] == [(here, k, "probable")]
    assert [left["tag"] for left in made["left_over"]["sensors"]] == [lone]
    assert made["wish_list"] == [
        {
            "kind": "control unit",
            "part_numbers": ["HV 310 002", "HV 310 003"],
            "match_code": "M",
            "for": [lone],
            "says": f"control unit HV 310 002 or HV 310 003, code M, for {lone}",
        }
    ]
    whole = shop.ok("pairs", "plan")
    paired = {tag for pair in whole["pairs"] for tag in (pair["sensor"], pair["unit"])}
    left = {one["tag"] for side in whole["left_over"].values() for one in side}
    assert paired | left == {here, elsewhere, lone, k}
    assert shop.ok("pairs", "plan", "--car", "Green tourer")["pairs"] == []
    assert "Look out for\n  control unit" in shop.text("pairs", "plan")


def test_a_part_has_one_ran_together_mate_the_last_recorded(shop: Shop) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    shop.stripping()

    def log(kind: str, number: str) -> str:
        return str(shop.ok("teardown", "log", "--kind", kind, "--part-number", number)["part"]["tag"])

    first, last, k = log("pressure sensor", SENSOR), log("pressure sensor", SENSOR), log("control unit", UNIT)

    assert grades(shop, k) == [(last, k, "probable"), (first, k, "possible")]
    assert grades(shop, "--car", "Green tourer") == [(last, k, "probable"), (first, k, "possible")]
    assert grades(shop, k, "--car", "Green tourer", "--kind", "pressure sensor") == grades(shop, k)
    assert shop.refused("pairs", k, "--kind", "control unit")["code"] == "not-a-pair"


def test_rows_that_contradict_each_other_are_shown(shop: Shop) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    shop.ok("fits", "add", SENSOR, UNIT, "--not")
    one, k = sensor(shop), unit(shop)

    assert [row["conflicts"] for row in shop.ok("fits", "list")["fits"]] == [["fit-2"], ["fit-1"]]
    assert "contradicts fit-1; the last one counts" in shop.text("fits", "list")
    assert grades(shop, one) == []
    (pair,) = shop.ok("pairs", one, "--all")["pairs"]
    assert (pair["unit"], pair["grade"]) == (k, "ruled out")
    assert "the entries under fits contradict each other" in pair["reasons"][0]["says"]


def test_numbers_do_not_replace_each_other_in_a_circle(shop: Shop) -> None:
    shop.ok("fits", "supersede", "HV 1", "HV 2")
    shop.ok("fits", "supersede", "HV 2", "HV 3")

    assert shop.refused("fits", "supersede", "HV 3", "hv-1")["code"] == "superseded-in-a-circle"


def test_a_code_of_three_letters_is_kept_and_flagged_and_the_knob_lowers_nothing(shop: Shop) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, k = sensor(shop, "KMN"), unit(shop, "KMN")
    shop.ok("seal", "note", one, "--seal", "cap", "--state", "intact")
    shop.ok("part", "note", k, "idle knob three notches from lean", "--on", "2026-01-05")

    (pair,) = shop.ok("pairs", one)["pairs"]
    told = [reason["says"] for reason in pair["reasons"]]

    assert pair["grade"] == "confirmed"
    assert f"code KMN of sensor {one} is kept as written: check that it is the match code" in told
    assert f"outside idle-mixture knob of control unit {k}: idle knob three notches from lean (2026-01-05)" in told


def test_the_paper_of_a_sensor_that_is_sent_out_names_its_control_unit(shop: Shop) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, lone, k = sensor(shop), sensor(shop, "Z"), unit(shop)

    sent = shop.ok("provenance", "note", one, "--how", "sent out")
    assert sent["goes_with"] == {"unit": k, "part_number": UNIT, "match_code": "K", "grade": "probable"}
    again = shop.text("provenance", "note", one, "--how", "sent out")
    assert again == f"{one}: sent out\nBelongs to: control unit {UNIT}, code K ({k}, probable)\n"
    told = [reason["says"] for reason in shop.ok("pairs", k)["pairs"][0]["reasons"]]
    assert f"sensor {one} is sent out" in told
    assert "its control unit is not on record" in shop.text("provenance", "note", lone, "--how", "sent out")
    assert "goes_with" not in shop.ok("provenance", "note", k, "--how", "sent out")


def test_where_there_is_no_mate_it_is_said_what_stands_in_the_way(shop: Shop) -> None:
    bare, one = shop.part("pressure sensor"), sensor(shop)

    assert (
        shop.text("pairs", bare)
        == f"No mate on record: no control unit in the house. Its own part number is not on record: read it on {bare}\n"
    )
    assert f"it is not recorded which numbers fit {SENSOR}" in shop.text("pairs", one)
    shop.ok("fits", "add", SENSOR, UNIT)
    assert f"no part in the house has a number that fits {SENSOR}" in shop.text("pairs", one)
    unit(shop, "M")
    assert "1 fit by number, all ruled out by letter or paper. To see why: --all" in shop.text("pairs", one)


def test_a_sensor_waits_for_the_unit_that_its_paper_names(shop: Shop, paper: str) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, k = sensor(shop), unit(shop)
    shop.ok("pairs", "paper", one, "--document", paper, "--for", k)
    shop.ok("pairs", "reserve", k)

    made = shop.ok("pairs", "plan")

    (left,) = made["left_over"]["sensors"]
    assert left["reasons"][0]["says"] == f"a specialist set it for control unit {k}, which is not free on the shelf"
    assert made["wish_list"] == []


@pytest.mark.parametrize("code", ["-", ".", "- -"])
def test_a_code_of_signs_alone_is_no_code_and_stops_nothing(shop: Shop, code: str) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, other = sensor(shop, code, serial=code), unit(shop, code, serial=code)
    for tag in (one, other):
        shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact")

    assert grades(shop) == [(one, other, "possible")]
    assert shop.ok("pairs", "plan")["counts"]["possible"] == 1
    assert {item["goes_with"] for item in shop.ok("condition-list")["items"]} == {None}
    assert shop.card(one)["match_code"] == code
    assert shop.ok("sheet", "write", "all.json")["rows"]["parts"] == 2
    shop.ok("pairs", "offer", "offer.json")
    shop.ok("pairs", "against", "offer.json")
    assert shop.ok("pairs", "paper", one, "--document", "offer.json", "--for-number", UNIT, "--for-code", code)
    assert grades(shop, one) == [(one, other, "possible")]


def test_nothing_on_record_of_either_number_leaves_a_pair_possible(shop: Shop) -> None:
    one, k, m = sensor(shop), unit(shop), unit(shop, "M")
    shop.ok("seal", "note", one, "--seal", "cap", "--state", "intact")

    assert grades(shop, one) == grades(shop, k) == [(one, k, "possible")]
    assert "nothing on record about whether numbers HV 204 118 and HV 310 002 fit" in shop.text("pairs", one)
    assert shop.ok("pairs", "plan")["counts"]["possible"] == 1
    lone = shop.text("pairs", m)
    assert "nothing is on record about which numbers fit HV 310 002, and the 1 that might are ruled out" in lone

    shop.ok("fits", "add", SENSOR, "HV 310 009")
    assert grades(shop, one) == []
    (pair,) = shop.ok("pairs", k, "--all")["pairs"]
    assert pair["reasons"][0]["says"] == "HV 310 002 is not among the numbers on record for HV 204 118"
    assert "no part in the house has a number that fits" in shop.text("pairs", one)


def test_a_set_of_letters_offers_no_mate_with_another_letter(shop: Shop) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, k, o = sensor(shop, "O or Q"), unit(shop, "K"), unit(shop, "O")
    shop.ok("seal", "note", one, "--seal", "cap", "--state", "intact")

    assert grades(shop, one) == [(one, o, "possible")]
    assert grades(shop, k) == []
    assert [(p["sensor"], p["unit"]) for p in shop.ok("pairs", "plan")["pairs"]] == [(one, o)]


def test_a_sensor_that_was_opened_lowers_the_pair(shop: Shop) -> None:
    shop.ok("fits", "add", SENSOR, UNIT)
    one, k = sensor(shop), unit(shop)
    shop.ok("seal", "note", one, "--seal", "cap", "--state", "intact")
    assert grades(shop, one) == [(one, k, "confirmed")]

    work = shop.ok("work", "log", one, "--what", "opened, diaphragm looked at", "--where", "on the unit")
    assert grades(shop, one) == [(one, k, "possible")]
    assert "work on the sensor itself: opened, diaphragm looked at" in shop.text("pairs", one)

    shop.ok("fact", "withdraw", work["fact"], "--reason", "another sensor")
    assert grades(shop, one) == [(one, k, "confirmed")]


def test_a_car_called_like_a_subcommand_is_still_the_value_of_its_option(shop: Shop) -> None:
    shop.ok("car", "add", "plan")
    assert shop.ok("pairs", "--car", "plan")["pairs"] == []
