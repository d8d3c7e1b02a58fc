"""A sweep by commands: written down, shown beside its reference, and what becomes of it when the reference is doubted."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tests.cli.conftest import Shop

CURVE = {0: 1.700, 5: 1.640, 10: 1.570, 20: 1.400, 30: 1.210, 40: 1.020, 50: 0.850}
LIMIT_CONDITIONS = ("--frequency", "1kHz", "--meter", "L2: 0.5% + 3 counts")
NUMBER = "HV 204 118"
SHORT = ("bench", "run", "hold", "TAG", "--reading", "0s=50cmHg", "--reading", "10s=20cmHg", "--on", "2026-03-03")


def readings(factor: float = 1.0, option: str = "--reading") -> list[str]:
    """The curve down and back up, as options."""
    vacua = [*CURVE, *list(CURVE)[-2::-1]]
    return [word for vacuum in vacua for word in (option, f"{vacuum}cmHg={CURVE[vacuum] * factor:.4f}H")]


@pytest.fixture
def pair(shop: Shop) -> tuple[Shop, str, str]:
    """A workshop with two sensors of one number: the one to be tested and the one that is trusted, which was swept."""
    tag = shop.part(part_number=NUMBER)
    trusted = shop.part(part_number="HV-204.118")
    shop.ok("bench", "run", "sweep", trusted, *readings(), *LIMIT_CONDITIONS, "--on", "2026-03-01")
    return shop, tag, trusted


def run(shop: Shop, tag: str, *words: str, factor: float = 1.0, on: str = "2026-03-02") -> dict[str, object]:
    return dict(shop.ok("bench", "run", "sweep", tag, *readings(factor), *LIMIT_CONDITIONS, "--on", on, *words))


def reasons(answer: dict[str, object]) -> str:
    told = answer["reasons"]
    assert isinstance(told, list)
    return "\n".join(reason["says"] for reason in told)


def test_without_a_sweep_it_says_how_one_is_taken(shop: Shop) -> None:
    tag = shop.part(part_number=NUMBER)

    answer = shop.ok("bench", "sweep", tag)
    text = shop.text("bench", "sweep", tag)

    assert list(answer) == ["tag", "run", "cautions", "steps", "example"]
    assert (answer["tag"], answer["run"]) == (tag, None)
    assert len(answer["steps"]) >= 5
    assert all(line in text for line in (*answer["cautions"], *answer["steps"], answer["example"]))
    assert {"Nothing by mouth", "Never draw past 50", "meter's own small current"} <= {
        words for words in ("Nothing by mouth", "Never draw past 50", "meter's own small current") if words in text
    }


def test_only_a_kind_that_is_swept_can_be_asked(shop: Shop) -> None:
    relay = shop.part("relay")

    assert shop.refused("bench", "sweep", relay)["code"] == "procedure-not-for-kind"


def test_a_sweep_stands_beside_its_reference(pair: tuple[Shop, str, str]) -> None:
    shop, tag, trusted = pair

    written = run(shop, tag, "--reference", trusted)
    shown = shop.ok("bench", "sweep", tag)
    text = shop.text("bench", "sweep", tag)

    assert (written["verdict"], written["figures"]) == ("pass", shown["figures"])
    assert list(shown) == ["tag", "run", "on", "verdict", "says", "figures", "covers", "reasons", "stale", "stale_by"]
    assert shown["figures"]["comparison"] == "like the reference"
    assert shown["figures"]["reference"] == trusted
    assert len(shown["figures"]["rows"]) == len(CURVE)
    lines = [" ".join(line.split()) for line in text.splitlines()]
    assert "vacuum down up its down its up difference gap" in lines
    assert "5 cmHg 1.640 H 1.640 H 1.640 H 1.640 H +0.0 +/-0.5 % +0.0 +/-0.7 %" in lines
    assert lines[-1].startswith("the barometer was not noted")


def test_the_reference_is_its_last_sweep_before_or_the_one_that_was_named(pair: tuple[Shop, str, str]) -> None:
    shop, tag, trusted = pair
    later = run(shop, trusted, factor=1.06, on="2026-03-05")["run"]

    by_tag = run(shop, tag, "--reference", trusted)
    by_run = run(shop, tag, "--reference", str(later))
    after = run(shop, tag, "--reference", trusted, on="2026-03-06")

    assert by_tag["verdict"] == "pass"
    assert by_run["verdict"] == after["verdict"] == "fail"


def test_a_reference_that_is_swept_afterwards_counts_too(shop: Shop) -> None:
    tag, trusted = shop.part(part_number=NUMBER), shop.part(part_number=NUMBER)

    before = run(shop, tag, "--reference", trusted)
    run(shop, trusted, on="2026-03-04")

    assert before["verdict"] == "not judged"
    assert f"no sweep of {trusted} is on record" in str(before["says"])
    assert shop.ok("bench", "sweep", tag)["verdict"] == "pass"


def test_a_corrected_reference_is_followed_and_one_taken_back_is_gone(pair: tuple[Shop, str, str]) -> None:
    shop, tag, _ = pair
    run(shop, tag, "--reference", "bench_run-1")

    anew = shop.ok("fact", "correct", "bench_run-1", "--set", "frequency=120Hz", "--reason", "misread")["fact"]
    corrected = shop.ok("bench", "sweep", tag)
    shop.ok("fact", "withdraw", anew, "--reason", "wrong part")
    gone = shop.ok("bench", "sweep", tag)

    assert "at 120 Hz" in corrected["says"]
    assert gone["verdict"] == "not judged"
    assert "bench_run-1 is not a valid sweep" in gone["says"]


@pytest.mark.parametrize(
    ("words", "doubt"),
    [
        (
            (*SHORT, "--blank", "0s=50cmHg", "--blank", "10s=50cmHg"),
            "its hold of 2026-03-03 failed",
        ),
        (SHORT, "its hold of 2026-03-03 fell short on a rig that is not proved"),
        (
            ("bench", "run", "resistance", "TAG", "--reading", "primary=OL", "--on", "2026-03-03"),
            "its resistance of 2026-03-03 failed",
        ),
        (
            ("seal", "note", "TAG", "--seal", "cap", "--state", "missing", "--on", "2026-03-03"),
            "its cap was seen missing, 2026-03-03",
        ),
        (
            ("seal", "note", "TAG", "--seal", "cap", "--state", "disturbed", "--on", "2026-03-03"),
            "its cap was seen disturbed, 2026-03-03",
        ),
        (
            ("work", "log", "TAG", "--what", "opened", "--where", "on the unit", "--on", "2026-03-03"),
            "worked on since: opened, 2026-03-03",
        ),
    ],
)
def test_a_reference_that_is_doubted_is_named_as_doubtful(
    pair: tuple[Shop, str, str], words: Sequence[str], doubt: str
) -> None:
    shop, tag, trusted = pair
    run(shop, tag, "--reference", trusted)

    shop.ok(*(trusted if word == "TAG" else word for word in words))

    answer = shop.ok("bench", "sweep", tag)
    assert (answer["verdict"], answer["figures"]["comparison"]) == ("undecided", None)
    assert doubt in answer["says"]


def test_what_the_record_knows_of_the_reference_is_shown(pair: tuple[Shop, str, str]) -> None:
    shop, tag, trusted = pair
    shop.ok("bench", "run", "hold", trusted, "--reading", "0s=50cmHg", "--reading", "10s=50cmHg", "--on", "2026-02-20")
    shop.ok("work", "log", trusted, "--what", "set up anew", "--where", "on the unit", "--on", "2017-11-20")

    answer = run(shop, tag, "--reference", trusted)

    assert answer["verdict"] == "pass"
    assert "its sweep of 2026-03-01; its hold of 2026-02-20 passed; worked on before: set up anew" in reasons(answer)


def test_another_number_is_no_reference(pair: tuple[Shop, str, str]) -> None:
    shop, _, trusted = pair
    other = shop.part(part_number="HV 204 097")

    answer = run(shop, other, "--reference", trusted)

    assert answer["verdict"] == "not judged"
    assert f"{trusted} has another part number" in str(answer["says"])


def test_a_specialists_sheet_is_typed_beside_the_readings(shop: Shop) -> None:
    tag = shop.part(part_number=NUMBER)

    answer = run(shop, tag, "--reference", "report 2017-44", *readings(1.1, "--reference-reading"))

    assert answer["verdict"] == "fail"
    assert str(answer["says"]).startswith("differs throughout from report 2017-44")


def test_a_reference_that_is_not_there_is_refused(pair: tuple[Shop, str, str]) -> None:
    shop, tag, _ = pair
    words = ("bench", "run", "sweep", tag, *readings(), "--reference")

    assert shop.refused(*words, tag)["code"] == "own-reference"
    assert shop.refused(*words, "bench_run-77")["code"] == "no-such-reference"
    assert shop.refused(*words, "nonsense")["code"] == "not-a-tag"


def test_one_instrument_for_both_is_one_meter_and_its_doubt_is_the_references(shop: Shop) -> None:
    tag, trusted = shop.part(part_number=NUMBER), shop.part(part_number=NUMBER)
    shop.ok("instrument", "add", "L 2", "--specification", "0.5% + 3 counts", "--on", "2020-01-01")
    with_it = ("--frequency", "1kHz", "--instrument", "L 2")
    shop.ok("bench", "run", "sweep", trusted, *readings(), *with_it, "--on", "2026-03-01")
    shop.ok("bench", "run", "sweep", tag, *readings(), *with_it, "--reference", trusted, "--on", "2026-03-02")

    lent = shop.ok("bench", "sweep", tag)
    shop.ok("bench", "run", "sweep", tag, *readings(), *LIMIT_CONDITIONS, "--reference", trusted, "--on", "2026-03-03")
    shop.ok("instrument", "calibrate", "L 2", "--result", "failed", "--on", "2026-03-05")
    doubted = shop.ok("bench", "sweep", tag)

    assert lent["verdict"] == "pass"
    assert "the same meter for both, L 2 (0.5% + 3 counts)" in reasons(lent)
    assert doubted["verdict"] == "undecided"
    assert f"compared with {trusted}, which is itself doubtful (L 2" in doubted["says"]


def test_a_run_of_a_car_is_no_reference(pair: tuple[Shop, str, str]) -> None:
    shop, tag, _ = pair
    shop.ok("car", "add", "Green tourer")
    words = ("--reading", "idle=30cmHg", "--on", "2026-03-01")
    run_of_car = shop.ok("bench", "run", "manifold vacuum", "Green tourer", *words)["run"]

    error = shop.refused("bench", "run", "sweep", tag, *readings(), "--reference", run_of_car)

    assert error["code"] == "no-such-reference"


def test_a_vacuum_that_was_read_twice_is_corrected_by_giving_both(pair: tuple[Shop, str, str]) -> None:
    shop, _, trusted = pair

    error = shop.refused("fact", "correct", "bench_run-1", "--set", "10cmHg=1.5H", "--reason", "misread")
    shop.ok("fact", "correct", "bench_run-1", "--set", "50cmHg=0.860H", "--reason", "misread")
    last = shop.ok("bench", "history", trusted)["runs"][-1]["run"]
    shop.ok("fact", "correct", last, "--set", "10cmHg=1.56H; 1.58H", "--reason", "misread")

    assert error["code"] == "read-twice"
    rows = shop.ok("bench", "sweep", trusted)["figures"]["rows"]
    assert rows[-1]["down_h"] == 0.86
    assert [(row["down_h"], row["up_h"]) for row in rows if row["vacuum"] == "10 cmHg"] == [(1.56, 1.58)]


def test_a_sweep_goes_into_a_sheet_and_comes_back_unchanged(pair: tuple[Shop, str, str]) -> None:
    shop, tag, trusted = pair
    run(shop, tag, "--reference", trusted)
    run(shop, tag, "--reference", "report 2017-44", *readings(1.1, "--reference-reading"), on="2026-03-03")

    shop.ok("sheet", "write", "all.xlsx")
    answer = shop.ok("sheet", "read", "all.xlsx")

    assert (answer["added"], answer["changed"], answer["refused"], answer["problems"]) == (0, 0, 0, [])
    assert answer["unchanged"] == answer["rows_read"] >= 5
