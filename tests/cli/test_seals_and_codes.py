"""What a card says of all seals together, and of a match code."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Shop


@pytest.mark.parametrize(
    ("sightings", "state"),
    [
        ([], "not seen"),
        (["cap=intact"], "intact"),
        (["cap=not seen"], "not seen"),
        (["cap=never fitted"], "never fitted"),
        (["cap=never fitted", "label=never fitted"], "never fitted"),
        (["cap=never fitted", "label=intact"], "intact"),
        (["cap=intact", "label=renewed+paper"], "renewed"),
        (["cap=intact", "label=renewed"], "disturbed"),
        (["cap=renewed+paper", "label=not seen"], "not seen"),
        (["cap=not seen", "label=disturbed"], "disturbed"),
        (["cap=disturbed", "label=missing"], "missing"),
        (["cap=missing", "cap=intact"], "missing"),
        (["cap=intact", "Cap =MISSING"], "missing"),
        (["cap=missing", "label=intact", "cap=renewed+paper"], "renewed"),
    ],
    ids=lambda value: ",".join(value) if isinstance(value, list) else value,
)
def test_the_state_of_all_seals_is_the_worst_of_the_latest_of_each(
    file_shop: Shop, sightings: list[str], state: str, tmp_path: Path
) -> None:
    (tmp_path / "paper.pdf").write_bytes(b"paper")
    tag = file_shop.part()
    for sighting in sightings:
        seal, _, word = sighting.partition("=")
        paper = ["--document", "paper.pdf"] if word.endswith("+paper") else []
        file_shop.ok("seal", "note", tag, "--seal", seal, "--state", word.removesuffix("+paper"), *paper)
    card = file_shop.card(tag)
    assert card["seal_state"] == state
    assert len(card["seals"]) == len(sightings), "each sighting stands, and keeps its word"
    words = [sighting.partition("=")[2].removesuffix("+paper").casefold() for sighting in sightings]
    assert [sighting["state"] for sighting in card["seals"]] == words


def test_an_older_sighting_written_later_does_not_overwrite_a_newer(file_shop: Shop) -> None:
    tag = file_shop.part()
    file_shop.ok("seal", "note", tag, "--seal", "cap", "--state", "missing", "--on", "2026-03-02")
    file_shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact", "--on", "2026-03-01")
    assert file_shop.card(tag)["seal_state"] == "missing"
    file_shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact", "--on", "2026-03")
    card = file_shop.card(tag)
    assert card["seal_state"] == "missing"
    assert [each["about"] for each in card["contradictions"]] == ["seal cap"], "a vague day counts from its latest day"


def test_a_sighting_taken_back_leaves_the_one_before(shop: Shop) -> None:
    tag = shop.part()
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact")
    missing = shop.ok("seal", "note", tag, "--seal", "cap", "--state", "missing")["fact"]
    assert shop.found("missing") == [tag]
    shop.ok("fact", "withdraw", missing, "--reason", "wrong part")
    assert shop.card(tag)["seal_state"] == "intact"
    assert (shop.found("missing"), shop.found("intact")) == ([], [tag])


def test_where_a_code_was_read_is_kept_and_empty_means_the_part_itself(file_shop: Shop) -> None:
    tag = file_shop.part(match_code="K")
    card = file_shop.card(tag)
    assert (card["match_code"], card["match_code_state"], card["match_code_read_from"]) == ("K", "read", None)
    for origin in ("paperwork", "seller", "passport", "picture", "dated picture"):
        file_shop.ok("part", "describe", tag, "--match-code", "L", "--match-code-read-from", origin)
        card = file_shop.card(tag)
        assert (card["match_code"], card["match_code_read_from"]) == ("L", origin)
    file_shop.ok("part", "describe", tag, "--match-code", "M", "--match-code-read-from", "the part itself")
    assert file_shop.card(tag)["match_code_read_from"] is None
    for state in ("unreadable", "label gone", "never fitted"):
        file_shop.ok("part", "describe", tag, "--match-code-state", state)
        card = file_shop.card(tag)
        assert (card["match_code"], card["match_code_state"]) == (None, state)
    assert file_shop.refused("part", "describe", tag, "--match-code-state", "not looked at")["code"] == "nothing-said"
    assert file_shop.found("M") == []


@pytest.mark.parametrize(
    ("sensor", "unit", "grade"),
    [
        ({"match_code": "K"}, {"match_code": "K"}, "confirmed"),
        ({"match_code": "K", "match_code_read_from": "dated picture"}, {"match_code": "K"}, "confirmed"),
        ({"match_code": "K", "match_code_read_from": "seller"}, {"match_code": "K"}, "possible"),
        ({"match_code": "K"}, {"match_code": "K", "match_code_read_from": "paperwork"}, "possible"),
        ({"match_code": "K"}, {}, "possible"),
        ({"match_code": "K"}, {"match_code": "L"}, "ruled out"),
    ],
)
def test_the_grade_of_a_pair_by_its_codes(
    file_shop: Shop, sensor: dict[str, str], unit: dict[str, str], grade: str
) -> None:
    ours = file_shop.part(part_number="HV 204 118", **sensor)
    theirs = file_shop.part("control unit", part_number="HV 310 007", **unit)
    file_shop.ok("fits", "add", "hv204118", "HV-310-007")
    file_shop.ok("seal", "note", ours, "--seal", "cap", "--state", "intact")
    (pair,) = file_shop.ok("pairs", ours, "--all")["pairs"]
    assert (pair["unit"], pair["grade"]) == (theirs, grade)
    assert pair["next_step"]


@pytest.mark.parametrize(
    ("state", "grade"),
    [("intact", "confirmed"), ("never fitted", "confirmed"), ("not seen", "probable"), ("disturbed", "possible"),
     ("missing", "possible"), ("renewed", "possible")],
)  # fmt: skip
def test_the_grade_of_a_pair_by_the_sensors_seal(file_shop: Shop, state: str, grade: str) -> None:
    ours = file_shop.part(part_number="HV 204 118", match_code="K")
    file_shop.part("control unit", part_number="HV 310 007", match_code="k")
    file_shop.ok("fits", "add", "HV 204 118", "HV 310 007")
    file_shop.ok("seal", "note", ours, "--seal", "cap", "--state", state)
    (pair,) = file_shop.ok("pairs", "--all")["pairs"]
    assert pair["grade"] == grade
    said = " ".join(reason["says"] for reason in pair["reasons"])
    assert "sealant" in said, "a seal never noted lowers nothing and is named"
    assert "label" in said
