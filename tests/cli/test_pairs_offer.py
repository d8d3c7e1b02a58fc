"""Parts without a mate, offered by one workshop and looked through by another: by command, on both engines."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

SENSOR = ("--kind", "pressure sensor", "--maker", "Ostrell", "--part-number", "HV 204 118", "--serial", "71-40822")


def sensor(shop: Any, code: str = "K") -> str:
    tag: str = shop.ok("part", "add", *SENSOR, "--match-code", code)["tag"]
    shop.ok("fits", "add", "HV 204 118", "HV 310 118")
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact")
    return tag


def test_what_has_no_mate_goes_out_without_names_places_prices_or_serials(shop: Any, tmp_path: Path) -> None:
    tag = sensor(shop)
    shop.ok("place", "add", "Shelf B2")
    shop.ok("place", "put", tag, "Shelf B2")
    shop.ok("value", "note", tag, "--amount", "850", "--currency", "EUR")
    shop.ok(
        "provenance", "note", tag, "--how", "bought", "--party", "Petra Lind", "--price", "612", "--currency", "EUR"
    )

    told = shop.ok("pairs", "offer", str(tmp_path / "parts.json"))

    text = (tmp_path / "parts.json").read_text(encoding="utf-8")
    assert told["parts"] == [tag]
    assert json.loads(text)["parts"][0]["match_code"] == "K"
    for secret in ("Petra", "B2", "850", "612", "40822"):
        assert secret not in text


def test_a_part_kept_back_a_customers_and_one_with_a_mate_are_not_offered(shop: Any, tmp_path: Path) -> None:
    kept = sensor(shop)
    customers = shop.ok("part", "add", *SENSOR[:6], "--serial", "71-2")["tag"]
    shop.ok("provenance", "note", customers, "--how", "left here by a customer", "--whose", "customer's")
    shop.ok("pairs", "reserve", kept)

    assert shop.ok("pairs", "offer", str(tmp_path / "parts.json"))["parts"] == []


def test_an_offer_is_held_against_ones_own_parts(shop: Any, tmp_path: Path) -> None:
    mine = sensor(shop)
    unit = {
        "label": "K4127-7", "kind": "control unit", "part_number": "HV-310-118", "match_code": "K",
        "match_code_state": "read", "match_code_read_from": "", "seals": [], "seal_state": "not seen",
        "seals_never_noted": [], "p_serviceable": 0.6,
    }  # fmt: skip
    file = tmp_path / "theirs.json"
    other = {**unit, "label": "K2210-C", "match_code": "L"}
    file.write_text(json.dumps({"format": "matchmark offer 1", "made_on": "2026-03-01", "parts": [unit, other]}))

    found = shop.ok("pairs", "against", str(file))
    every = shop.ok("pairs", "against", str(file), "--all")

    assert found["offered"] == 2
    assert [(pair["sensor"], pair["unit"], pair["grade"]) for pair in found["pairs"]] == [
        (mine, "their K4127-7", "confirmed")
    ]
    assert [pair["grade"] for pair in every["pairs"]] == ["confirmed", "ruled out"]


@pytest.mark.parametrize(
    "text",
    [
        "", "no json", "[]", '{"format": "matchmark offer 2", "parts": []}', '{"format": "matchmark offer 1"}',
        '{"format": "matchmark offer 1", "parts": [3]}',
        '{"format": "matchmark offer 1", "parts": [{"label": "K", "kind": "relay"}]}',
        '{"format": "matchmark offer 1", "parts": [{"kind": "control unit", "match_code_state": "read", '
        '"match_code_read_from": "", "seal_state": "intact", "p_serviceable": 7}]}',
        "[" * 100_000,
    ],
)  # fmt: skip
def test_what_is_no_offer_is_refused_in_a_sentence(shop: Any, tmp_path: Path, text: str) -> None:
    file = tmp_path / "theirs.json"
    file.write_text(text)

    assert shop.refused("pairs", "against", str(file))["code"] == "not-an-offer"
