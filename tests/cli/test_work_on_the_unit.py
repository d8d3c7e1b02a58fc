"""Work on the unit ends its earlier tests: `work log` takes the words for it, and every door says so beside the verdict."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Shop


@pytest.fixture
def held(shop: Shop) -> str:
    tag = shop.part()
    readings = ("--reading", "0s=50cmHg", "--reading", "10s=50cmHg")
    shop.ok("bench", "run", "hold", tag, *readings, "--on", "2026-03-01")
    return tag


@pytest.mark.parametrize(
    ("what", "given", "where"),
    [
        ("heated with a hot-air gun", (), "on the unit"),
        ("dropped", ("--where", "outside"), "outside"),
        ("new mounts", (), "outside"),
        ("new mounts", ("--where", "on the unit"), "on the unit"),
    ],
)
def test_the_words_propose_where_and_what_is_given_is_never_questioned(
    shop: Shop, held: str, what: str, given: tuple[str, ...], where: str
) -> None:
    done = shop.ok("work", "log", held, "--what", what, *given, "--on", "2026-03-04")

    (work,) = shop.ok("part", "show", held)["work"]
    assert (done["where"], work["area"]) == (where, where)


def test_it_says_that_the_words_were_taken_for_work_on_the_unit(shop: Shop, held: str) -> None:
    said = shop.run("work", "log", held, "--what", "dropped on the floor")

    assert '"dropped" concerns the unit itself, so this counts as on the unit' in said.err
    assert "--where outside" in said.err


def test_an_ended_run_says_so_at_every_door(shop: Shop, held: str) -> None:
    work = shop.ok("work", "log", held, "--what", "heated", "--on", "2026-03-04")["fact"]
    says = "hold: PASS, no longer counts: heated since, 2026-03-04. "

    assert says in shop.text("bench", "history", held)
    assert says in shop.text("part", "show", held)
    for command in (("bench", "history"), ("part", "show")):
        (run,) = shop.ok(*command, held)["runs"]
        assert (run["verdict"], run["stale"], run["stale_by"]) == ("pass", True, work)


def test_a_run_after_the_work_counts_and_so_does_one_whose_work_is_taken_back(shop: Shop, held: str) -> None:
    work = shop.ok("work", "log", held, "--what", "heated", "--on", "2026-03-04")["fact"]
    shop.ok("bench", "run", "hold", held, "--reading", "0s=50cmHg", "--reading", "10s=50cmHg", "--on", "2026-03-05")

    assert [run["stale"] for run in shop.ok("bench", "history", held)["runs"]] == [True, False]

    shop.ok("fact", "withdraw", work, "--reason", "another part")
    assert [run["stale_by"] for run in shop.ok("bench", "history", held)["runs"]] == [None, None]


def test_a_fail_is_not_undone_by_work(shop: Shop) -> None:
    tag = shop.part()
    shop.ok("bench", "run", "resistance", tag, "--reading", "primary=OL", "--on", "2026-03-01")
    shop.ok("work", "log", tag, "--what", "dropped", "--on", "2026-03-04")

    assert "FAIL, no longer counts in full: dropped since, 2026-03-04" in shop.text("bench", "history", tag)


def test_evidence_and_history_agree_on_what_is_stale(shop: Shop, held: str) -> None:
    shop.ok("work", "log", held, "--what", "opened", "--on", "2026-03")

    (run,) = shop.ok("bench", "history", held)["runs"]
    assert run["stale"]
    assert [test["stale"] for test in shop.ok("evidence", held)["tests"]] == [True]


def test_the_hazard_of_the_work_is_told_with_it(shop: Shop) -> None:
    tag = shop.part("relay")
    assert shop.text("work", "log", tag, "--what", "ultrasonic bath").startswith("CARE  Ultrasonic bath:")
    assert shop.ok("work", "log", tag, "--what", "new label")["cautions"] == []
