"""Opening times by command: a trusted unit of the same number under the same settings, and a logger's file."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Shop

SET = ("--voltage", "12V", "--coolant", "2.5kohm", "--air", "none", "--throttle", "idle", "--meter", "scope")
IDLE, FAST = ("--engine-speed", "900rpm"), ("--engine-speed", "3000rpm")


@pytest.fixture
def pair(shop: Shop) -> tuple[Shop, str, str]:
    """Two control units of one number."""
    added = (shop.ok("part", "add", "--kind", "control unit", "--part-number", number) for number in ("HV 7", "hv-7"))
    mine, trusted = (each["tag"] for each in added)
    return shop, mine, trusted


def times(factor: float = 1.0) -> list[str]:
    set_and_read = ((700, 4.2), (900, 5.3), (1200, 7.0))
    readings = [f"{at}mH={ms * factor + off:.2f}ms" for at, ms in set_and_read for off in (0, 0.01)]
    return [word for each in readings for word in ("--reading", each)]


def test_the_run_of_the_trusted_unit_with_the_same_settings_is_the_reference(pair: tuple[Shop, str, str]) -> None:
    shop, mine, trusted = pair
    shop.ok("bench", "run", "pulse", trusted, *times(), *SET, *IDLE)
    shop.ok("bench", "run", "pulse", trusted, *times(0.7), *SET, *FAST)

    idle = shop.ok("bench", "run", "pulse", mine, *times(), *SET, *IDLE, "--reference", trusted)
    fast = shop.ok("bench", "run", "pulse", mine, *times(0.9), *SET, *FAST, "--reference", trusted)

    assert (idle["verdict"], idle["figures"]["comparison"]) == ("pass", "like the reference")
    assert (fast["verdict"], fast["figures"]["comparison"]) == ("fail", "differs from the reference")
    assert "hold" not in " ".join(reason["says"] for reason in idle["reasons"])
    assert idle["figures"]["settings"]["engine speed"] == {"shown": "900 rpm", "dimension": "engine speed", "si": 900.0}


def test_a_fail_at_one_setting_stands_until_a_test_at_that_setting_passes(pair: tuple[Shop, str, str]) -> None:
    shop, mine, trusted = pair
    nearly_fast = ("--engine-speed", "2990rpm")
    for speed in (IDLE, FAST):
        shop.ok("bench", "run", "pulse", trusted, *times(), *SET, *speed)

    def after(factor: float, speed: tuple[str, str]) -> float:
        shop.ok("bench", "run", "pulse", mine, *times(factor), *SET, *speed, "--reference", trusted)
        return float(shop.ok("evidence", "of", mine)["p_serviceable"])

    passed, failed = pytest.approx(0.861, abs=1e-3), pytest.approx(0.0888, abs=1e-4)
    assert after(1.0, IDLE) == passed
    assert after(0.9, FAST) == failed
    assert after(1.0, IDLE) == failed
    assert shop.ok("contradictions", "list", mine)["contradictions"] == []
    said = [reason["says"] for reason in shop.ok("evidence", "of", mine)["reasons"]]
    assert any("900 rpm" in says and says.endswith("the same test at another setting counts") for says in said)
    assert after(1.0, nearly_fast) == pytest.approx(0.6)
    assert shop.ok("evidence", "of", mine)["next"][0]["p_if_pass"] == passed


def test_a_run_that_is_not_judged_says_so_once_and_names_the_option(pair: tuple[Shop, str, str]) -> None:
    shop, mine, trusted = pair
    without_air = [*SET[:4], *SET[6:]]
    shop.ok("bench", "run", "pulse", trusted, *times(), *SET, *IDLE)

    said = shop.text("bench", "run", "pulse", mine, *times(), *without_air, *IDLE, "--reference", trusted)

    head = "pulse: NOT JUDGED. air was not noted for this unit: run it again and note it (--air)"
    assert said.splitlines()[0] == f"{mine} {head}"


def test_a_loggers_file_of_opening_times_is_read(pair: tuple[Shop, str, str], tmp_path: Path) -> None:
    shop, mine, trusted = pair
    path = tmp_path / "pulses.csv"
    path.write_text("Inductance (mH);Opening time (ms)\n700;4,20\n700;4,21\n900;5,30\n1200;7,00\n", encoding="utf-8")

    read = ("--readings-file", str(path), *SET, *IDLE)
    shop.ok("bench", "run", "pulse", trusted, *read)
    run = shop.ok("bench", "run", "pulse", mine, *read, "--reference", trusted)

    assert run["verdict"] == "pass"
    kept = shop.ok("bench", "history", mine)["runs"][0]
    assert kept["readings"] == ["700mH=0.00420s", "700mH=0.00421s", "900mH=0.00530s", "1200mH=0.00700s"]
