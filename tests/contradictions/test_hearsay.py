"""What a sheet or another person says never makes a pair confirmed, at any door."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.contradictions.test_every_door import item

ROWS = """kind,maker,part number,serial,match code,seal,seal state,condition
pressure sensor,Ostrell,HV 204 118,71-1,K,cap,intact,2
control unit,Ostrell,HV 310 002,72-1,K,,,
"""


@pytest.fixture
def told(shop: Any, tmp_path: Path) -> tuple[str, str]:
    """A sensor and a control unit of which only a sheet tells letter and seal."""
    (tmp_path / "parts.csv").write_text(ROWS)
    shop.ok("sheet", "read", str(tmp_path / "parts.csv"))
    shop.ok("fits", "add", "HV 204 118", "HV 310 002")
    return shop.found("71-1")[0], shop.found("72-1")[0]


def pair(shop: Any, tag: str) -> Any:
    (one,) = shop.ok("pairs", tag)["pairs"]
    return one


def test_a_letter_and_a_seal_that_only_a_sheet_tells(shop: Any, told: tuple[str, str]) -> None:
    sensor, unit = told
    assert pair(shop, sensor)["grade"] == "possible"
    assert "K only by the sheet or word of others" in str(pair(shop, sensor)["reasons"])
    assert (item(shop, sensor)["last_seen"], item(shop, sensor)["goes_with"]) == (None, None)
    for tag in told:
        shop.ok("part", "describe", tag, "--match-code", "K")
    assert pair(shop, sensor)["grade"] == "probable"
    assert "cap intact, not by our own look" in str(pair(shop, sensor))
    shop.ok("seal", "note", sensor, "--seal", "cap", "--state", "intact")
    assert pair(shop, sensor)["grade"] == "confirmed"
    assert item(shop, sensor)["goes_with"].startswith(f"{unit}: codes read on both")


@pytest.mark.parametrize("how", ["stated", "said by seller", "passport", "from a sheet"])
def test_nothing_that_others_say_makes_confirmed(shop: Any, how: str) -> None:
    sensor = shop.part(part_number="HV 204 118")
    unit = shop.part("control unit", part_number="HV 310 002", match_code="K")
    shop.ok("fits", "add", "HV 204 118", "HV 310 002")
    seal = ("fact", "add", "seal", sensor, "--set", "seal=cap", "--set", "state=intact")
    shop.ok(*seal, "--how-known", how)
    shop.ok("fact", "add", "marking", sensor, "--set", "match code=K", "--how-known", how)
    assert pair(shop, unit)["grade"] == "possible"
    shop.ok("part", "describe", sensor, "--match-code", "K")
    assert pair(shop, unit)["grade"] == "probable"
    shop.ok("fact", "add", "seal", sensor, "--set", "seal=cap", "--set", "state=missing", "--how-known", how)
    assert pair(shop, unit)["grade"] == "possible", "a word against one's own interest lowers"
    assert f"cap missing, {how}" in shop.text("part", "show", sensor)
    assert any(each.startswith("seal cap missing on ") and how in each for each in item(shop, sensor)["remarks"])


def test_a_word_against_our_own_reading_is_a_remark_that_lowers_nothing(shop: Any) -> None:
    sensor = shop.part(part_number="HV 204 118", serial="71-1", match_code="K", on="2026-01-02")
    unit = shop.part("control unit", part_number="HV 310 002", match_code="K", on="2026-01-02")
    shop.ok("fits", "add", "HV 204 118", "HV 310 002")
    shop.ok("seal", "note", sensor, "--seal", "cap", "--state", "intact", "--on", "2026-01-02")
    values = ("--set", "match code=C", "--set", "serial=71-2", "--set", "part number=hv204-118")
    said = shop.ok("fact", "add", "marking", sensor, *values, "--how-known", "stated", "--on", "2026-01-01")
    assert said["contradictions"] == []
    remarks = shop.ok("contradictions", sensor, "--all")["remarks"]
    assert [(each["about"], each["settle"]) for each in remarks] == [("letter", []), ("serial", [])]
    assert remarks[1]["says"].startswith("serial: 71-2 on 2026-01-01, not by our own look; 71-1 on 2026-01-02; our own")
    assert shop.ok("contradictions", "--all")["remarks"] == remarks
    assert pair(shop, unit)["grade"] == "confirmed"
    assert shop.ok("contradictions")["contradictions"] == []
    assert remarks[0]["says"] in item(shop, sensor)["remarks"]


def test_a_condition_that_only_a_sheet_tells_is_no_look_at_a_part_that_left(shop: Any, told: tuple[str, str]) -> None:
    shop.ok("provenance", "note", told[0], "--how", "sold", "--on", "2020-01-02")
    assert shop.ok("contradictions", told[0])["contradictions"] == []
