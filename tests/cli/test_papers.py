"""A specialist's setting paper, and the page for those who come after: by command, on both engines."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.cli.test_sale_sheet import SENSOR, pair, text_of

DOWN_UP = ("0cmHg={}H", "20cmHg=1.4H", "50cmHg=0.85H", "20cmHg=1.41H", "0cmHg={}H")


def sweep(shop: Any, tag: str, top: float, on: str, *more: str) -> None:
    readings = [word for each in DOWN_UP for word in ("--reading", each.format(top))]
    shop.ok("bench", "run", "sweep", tag, *readings, "--meter", "L2: 0.5% + 3 counts", "--on", on, *more)


def test_a_setting_paper_has_both_sweeps_as_the_bench_tells_them_and_is_filed(shop: Any, tmp_path: Path) -> None:
    sensor = shop.part(**SENSOR)
    assert shop.refused("setting-paper", sensor, "--unit", "HV 310 118 M")["code"] == "no-work-on-the-unit"
    sweep(shop, sensor, 1.79, "2026-02-01")
    shop.ok("work", "log", sensor, "--what", "set anew", "--where", "on the unit", "--on", "2026-02-02")
    assert shop.refused("setting-paper", sensor, "--unit", "HV 310 118 M")["code"] == "no-sweep-after"
    shop.ok("instrument", "add", "Bridge 4", "--what", "inductance bridge", "--specification", "0.2%")
    shop.ok("instrument", "calibrate", "Bridge 4", "--result", "passed", "--due", "2027-01-01", "--on", "2026-01-01")
    readings = [word for each in DOWN_UP for word in ("--reading", each.format(1.7))]
    shop.ok("bench", "run", "sweep", sensor, *readings, "--instrument", "Bridge 4", "--on", "2026-02-03")
    assert shop.refused("setting-paper", sensor, "--unit", "HV 310 118")["code"] == "half-named"

    file = tmp_path / "p.pdf"
    paper = shop.ok(
        "setting-paper", sensor, "--unit", "HV 310 118 M", "-o", str(file), "--file", "--set-by", "Iva Tell"
    )

    before, after = (run for run in shop.card(sensor)["runs"])
    told = {line["word"]: line for line in paper["sections"]["sweeps"]["lines"]}
    assert (told["before"]["run"], told["after"]["run"]) == (before["run"], after["run"])
    assert told["after"]["figures"] == after["figures"] and told["before"]["verdict"] == before["verdict"]
    assert told["0 cmHg"]["says"] == "before 1.79 H down, 1.79 H up;   after 1.7 H down, 1.7 H up"
    printed = text_of(file)
    for words in ("HV 310 118, code M", "Iva Tell", "Bridge 4", "calibrated, in date", "after 1.7 H down"):
        assert words in printed
    assert "no seal noted as renewed since the work" in paper["missing"]
    assert "turn" not in printed and "adjust" not in printed
    (filed,) = [fact for fact in shop.ok("fact", "list", sensor)["facts"] if fact["id"] == paper["filed"]]
    assert (filed["unit_number"], filed["unit_code"], filed["on"]) == ("HV 310 118", "M", "2026-02-02")


def test_those_who_come_after_read_what_belongs_together_and_to_whom(shop: Any, tmp_path: Path) -> None:
    sensor, unit = pair(shop)
    shop.ok("value", "note", sensor, "--amount", "850", "--currency", "EUR", "--with", unit)
    theirs, lent = shop.part("injector"), shop.part("relay")
    shop.ok("provenance", "note", theirs, "--how", "left here by a customer", "--party", "Ulla Brandvesk")
    shop.ok("provenance", "note", lent, "--how", "lent out", "--party", "Oxbarrow Shed", "--due", "2040-03-12")
    shop.ok("contact", "add", "Iva Tell", "--role", "specialist", "--telephone", "0711 55")
    file = tmp_path / "after.pdf"

    assert shop.refused("for-those-after", "--ask", "Iva Tel")["code"] == "unknown-contact"
    page = shop.ok("for-those-after", "-o", str(file), "--ask", "iva tell", "--copy", "with the bank")

    printed = text_of(file)
    (worth,) = page["sections"]["worth"]["lines"]
    assert f" and {unit} " in worth["says"] and "as one pair: EUR 850" in worth["says"]
    assert "Page for those who come after no. 1" in printed
    for words in (
        sensor,
        unit,
        "due 12 March 2040",
        "Ulla Brandvesk",
        theirs,
        "Oxbarrow Shed",
        "0711 55",
        "with the bank",
    ):
        assert words in printed
    assert [line["word"] for line in page["sections"]["together"]["lines"]] == [f"{sensor} {unit}"]
    assert "For the family" in printed and page["pages"] == 1
    assert file.stat().st_mode & 0o777 == 0o600


def test_the_page_of_an_empty_record_says_that_nothing_is_known(shop: Any) -> None:
    told = shop.ok("for-those-after")["sections"]
    assert told["worth"]["lines"][0]["says"] == "no value of a part is on record"
    assert told["ask"]["lines"][0]["says"].startswith("nobody was named")
