"""The rules of finding, by command."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Shop


@pytest.fixture
def shelf(shop: Shop) -> tuple[Shop, str, str]:
    """Two parts that differ in every field."""
    shop.ok("place", "add", "B2")
    sensor = shop.part(maker="Ostrell", part_number="HV 204.118", serial="71-40822", match_code="K", note="stud bent")
    unit = shop.part("control unit", maker="Halvard", part_number="HV 310 007", serial="0007", match_code="KL")
    shop.ok("place", "put", sensor, "B2")
    shop.ok("part", "assess", sensor, "--condition", "2")
    return shop, sensor, unit


WORDS: list[tuple[list[str], str]] = [
    (["HV204118"], "sensor"),
    (["hv-204"], "sensor"),
    (["ＨＶ２０４"], "sensor"),
    (["04.11"], "sensor"),
    (["71 40822"], "sensor"),
    (["pressure", "ostrell"], "sensor"),
    (["STUD"], "sensor"),
    (["bent", "HV"], ""),
    (["K"], "sensor"),
    (["kl"], "unit"),
    (["KL", "halvard"], "unit"),
    (["b2"], "sensor"),
    (["B2", "2"], "sensor"),
    (["2"], "sensor"),
    (["7"], ""),
    (["0007"], "unit"),
    (["HV"], ""),
    (["HV "], ""),
    (["strell hv"], ""),
    (["ostrellhv"], ""),
    (["118", "71-4"], "sensor"),
    (["pressure", "halvard"], ""),
    (["own"], "both"),
    ([], "both"),
    ([""], "both"),
    (["."], ""),
    (["..."], ""),
    (["not seen"], "both"),
    (["%"], ""),
    (["h%4"], ""),
    (["h_2"], ""),
    (['"hv204"'], ""),
    (["hv204*"], ""),
    (["hv2 OR hv3"], ""),
    (["NEAR(hv2 hv3)"], ""),
    (["\\"], ""),
    (["\x1c"], "both"),
    (["hv2\x00041"], "sensor"),
    (["hv2\u200b041"], "sensor"),
]


def test_words_find(shelf: tuple[Shop, str, str]) -> None:
    shop, sensor, unit = shelf
    expected = {"sensor": [sensor], "unit": [unit], "both": sorted([sensor, unit]), "": []}
    told = {repr(words): shop.found(*words) for words, _ in WORDS}
    assert told == {repr(words): expected[finds] for words, finds in WORDS}


def test_an_empty_find_is_an_answer_and_names_what_is_near(shelf: tuple[Shop, str, str]) -> None:
    shop, _, _ = shelf
    assert shop.text("part", "find", "HV20418").startswith('No part has "HV20418". Near: HV 204.118 (1 part')


def test_a_part_is_found_by_where_it_came_off_and_by_its_tag(shop: Shop) -> None:
    shop.stripping("Green tourer")
    tag = shop.ok("teardown", "log", "--kind", "relay", "--position", "left wing")["part"]["tag"]
    for words in (["greentour"], ["left", "wing"], ["leftwing"], [tag], [tag.replace("-", "").lower()], [tag[:4]]):
        assert shop.found(*words) == [tag]
    shop.ok("fact", "correct", "car_description-1", "--set", "name=Silver tourer", "--reason", "repainted")
    assert shop.found("greentour") == []
    assert shop.found("silvertour") == [tag]
    assert shop.card(tag)["car"] == "Silver tourer"


def test_what_was_taken_back_or_corrected_is_found_no_more(shop: Shop) -> None:
    tag = shop.part(serial="71-40822")
    note = shop.ok("part", "note", tag, "smells of varnish")["fact"]
    assert shop.found("varnish") == [tag]
    shop.ok("fact", "correct", note, "--set", "text=smells of petrol", "--reason", "misread")
    assert (shop.found("varnish"), shop.found("petrol")) == ([], [tag])
    shop.ok("fact", "correct", "marking-1", "--set", "serial=71-40823", "--reason", "misread")
    assert (shop.found("71-40822"), shop.found("71-40823")) == ([], [tag])
    shop.ok("fact", "withdraw", "marking-2", "--reason", "wrong part")
    assert (shop.found("71-40822"), shop.found("71-40823")) == ([tag], [])  # what it corrected is back
    shop.ok("fact", "withdraw", "marking-3", "--reason", "wrong part")
    assert shop.ok("part", "find") == {"total": 0, "parts": []}
    assert shop.card(tag)["kind"] is None
