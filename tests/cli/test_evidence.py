"""The evidence side of the command line: the judgement, its figures, and what others say."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Shop

HOLD = ("--reading", "0s=50cmHg", "--reading", "10s=48cmHg", "--resolution", "1cmHg", "--on", "2022-03-02")


def test_what_a_claim_counts_for_is_said_at_once_and_stands_on_the_card(shop: Shop) -> None:
    tag = shop.part()

    told = shop.ok("evidence", "claim", tag, "--said", "tested", "--by-whom", "Marta Lindqvist", "--source", "seller")

    assert set(told) == {"fact", "tag", "counts_as", "weight", "reason", "p_serviceable", "says", "contradictions"}
    assert (told["fact"], told["counts_as"]) == ("claim-1", "resistance")
    assert told["weight"] == pytest.approx(0.15)
    assert told["reason"]["facts"] == ["claim-1"]
    (claim,) = shop.card(tag)["claims"]
    assert (claim["id"], claim["said"], claim["test"], claim["came_out"]) == ("claim-1", "tested", None, "pass")
    assert (claim["party"], claim["source"], claim["proof"]) == ("Marta Lindqvist", "seller", "none")
    assert 'said to be "tested"  Marta Lindqvist  proof none' in shop.text("part", "show", tag)
    assert "claim-1" in [fact["id"] for fact in shop.ok("fact", "list", tag)["facts"]]


@pytest.mark.parametrize("words", [["evidence"], ["evidence", "of"]], ids=" ".join)
def test_the_judgement_as_of_a_day(file_shop: Shop, words: list[str]) -> None:
    tag = file_shop.part()
    file_shop.ok("bench", "run", "hold", tag, *HOLD)

    weights = [
        [test["weight"] for test in file_shop.ok(*words, tag, "--as-of", day)["tests"]]
        for day in ("2022-03-01", "2022-03-02", "2023-03-02")
    ]

    assert weights == [[], [1.0], [0.95]]
    assert file_shop.ok(*words, "--as-of", "2022-03-02", tag)["tests"][0]["weight"] == 1.0


def test_all_figures_are_shown_when_asked_each_with_its_standing(file_shop: Shop) -> None:
    tag = file_shop.part()

    plain, asked = file_shop.ok("evidence", tag), file_shop.ok("evidence", tag, "--figures")

    assert "figures" not in plain
    figures = [each for each in asked["figures"] if not each["says"].startswith("from this probability on")]
    assert {(each["standing"], each["source"]) for each in figures} == {("workshop judgement", "no source")}
    scale = {(each["standing"], each["source"].split(",")[0]) for each in asked["figures"] if each not in figures}
    assert scale == {("published", "IPCC")}
    said = {each["says"]: each["value"] for each in asked["figures"]}
    assert said["of bad parts that have a torn diaphragm"] == 0.45
    assert said["chance that the hold shows a torn diaphragm"] == 0.95
    assert said["chance that a good part fails the hold"] == 0.05
    assert said["weight of a claim by source: seller"] == 0.5
    printed = file_shop.text("evidence", tag, "--figures")
    assert "0.95  chance that the hold shows a torn diaphragm (workshop judgement, no source)" in printed


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--said", "tested", "--proof", "movie"], "unknown-proof"),
        (["--said", "tested", "--test", "shaking"], "unknown-test"),
        (["--said", " "], "nothing-said"),
        (["--said", "cap is on", "--test", "seal cap"], "claim-of-a-seal"),
    ],
)
def test_a_claim_that_cannot_stand_is_refused_and_nothing_written(shop: Shop, words: list[str], code: str) -> None:
    tag = shop.part()

    assert shop.refused("evidence", "claim", tag, *words)["code"] == code


def test_a_day_to_come_and_an_unknown_tag_are_refused(file_shop: Shop) -> None:
    tag = file_shop.part()

    file_shop.refused("evidence", tag, "--as-of", "2999-01-01")
    file_shop.refused("evidence", "B2222-2")
    file_shop.refused("evidence", status=2)
    file_shop.refused("evidence", "claim", tag, status=2)
