"""The sale sheet, by command, on both engines: its figures are the card's; read back with pypdf."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from inventory.bench import actions as bench
from inventory.cli.door import Door
from inventory.papers.sale.load_sale import sale_of
from inventory.papers.write_out import write_out
from inventory.parts.actions import log_work
from inventory.store.record import Record
from tests.build import make_part

SENSOR = {"maker": "Ostrell", "part_number": "HV 204 118", "serial": "71-40822", "match_code": "K"}
HOLD = ("--reading", "0s=50cmHg", "--reading", "10s=48cmHg", "--resolution", "0.5cmHg")
SHORT = ("--reading", "0s=50cmHg", "--reading", "10s=37cmHg", "--resolution", "0.5cmHg")


def text_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def pair(shop: Any) -> tuple[str, str]:
    sensor = shop.part(**SENSOR)
    unit = shop.part("control unit", part_number="HV 310 118", match_code="K")
    shop.ok("fits", "add", "HV 204 118", "HV 310 118")
    for seal in ("cap", "label", "sealant"):
        shop.ok("seal", "note", sensor, "--seal", seal, "--state", "intact", "--on", "2026-03-02")
    return sensor, unit


def test_each_test_stands_there_as_on_the_card_with_its_uncertainty_and_a_role(shop: Any, tmp_path: Path) -> None:
    sensor, _ = pair(shop)
    for readings in (HOLD, SHORT):
        shop.ok("bench", "run", "hold", sensor, *readings, "--by", "Ines Tarrowby")
    shop.ok("bench", "run", "resistance", sensor, "--reading", "primary=90ohm", "--by", "Bertil Oskwend")
    shop.ok("work", "log", sensor, "--what", "new mounts by INES tarrowby", "--product", "grease", "--where", "outside")

    sheet = shop.ok("sale-sheet", sensor, "-o", str(tmp_path / "s.pdf"), "--apart")

    told = {line["run"]: line for line in sheet["sections"]["tests"]["lines"]}
    runs = {run["run"]: run for run in shop.card(sensor)["runs"]}
    assert told.keys() == runs.keys()
    for key, run in runs.items():
        assert all(told[key][name] == run[name] for name in ("verdict", "figures", "on", "stale", "covers"))
        assert told[key]["told"] in run["says"]
    printed = text_of(tmp_path / "s.pdf")
    for line in told.values():
        assert " ".join(line["says"].split()) in printed
    doubt = next(run for run in runs.values() if run["procedure"] == "resistance")["figures"]["primary"]
    assert f"give or take {doubt['expanded_uncertainty_ohm']:.2g} ohm" in printed
    assert "hand 1" in printed and "arrowby" not in printed and "Oskwend" not in printed
    for words in ("likely", "probab", "confirmed", "genuine", "guarantee"):
        assert words not in printed
    evidence = shop.ok("evidence", sensor)
    missed = [mode for mode in evidence["modes"] if mode["revealed"] < 0.5]
    assert len(sheet["sections"]["not_shown"]["lines"][0]["modes"]) == len(missed)
    assert "p_serviceable" not in str(sheet)
    assert sheet["pages"] == 1 and (tmp_path / "s.pdf").stat().st_mode & 0o777 == 0o600


def test_what_is_left_out_for_want_of_room_is_counted_and_never_what_speaks_against_it(
    record: Record, tmp_path: Path
) -> None:
    tag = make_part(record)
    with record.write() as session:
        for day in range(1, 16):
            end = "37cmHg" if day == 3 else "48cmHg"
            readings = ["0s=50cmHg", f"10s={end}"]
            bench.run(session, "Ines", tag, "hold", readings, {"resolution": "0.5cmHg"}, on=f"2026-01-{day:02}")
        for day in range(1, 16):
            log_work(session, "Ines", tag, f"cleaned {'and dried ' * 20}", area="outside", on=f"2026-02-{day:02}")

    _, paper = write_out(record, "Ines", tmp_path / "s.pdf", lambda session: sale_of(session, tag).page)

    printed = text_of(tmp_path / "s.pdf")
    assert paper.pages_count == 1
    assert "fell short on 3 January 2026" in printed and "rig not proved" in printed
    assert " pass), left out here for want of room" in printed


def test_half_of_a_pair_is_said_before_anything_is_written(shop: Any, tmp_path: Path, monkeypatch: Any) -> None:
    sensor, unit = pair(shop)
    file = tmp_path / "s.pdf"

    refusal = shop.refused("sale-sheet", unit, "-o", str(file))

    assert refusal["code"] == "half-of-a-pair" and sensor in refusal["message"]
    assert not file.exists()
    monkeypatch.setattr(Door, "can_ask", property(lambda _: True))
    asked = shop.answering(monkeypatch, "1\nIlvar Teske\n", "sale-sheet", unit, "-o", str(file))
    assert "Given to whom" in asked
    assert f"{sensor} pressure sensor HV 204 118: codes read on both, equal" in text_of(file)
    assert f"This sheet is of {unit} only" in text_of(file)
    (paper,) = shop.ok("sale-sheet", "list")["papers"]
    assert paper["number"] == 1 and "Ilvar Teske" in str(paper["given"])
    assert shop.refused("sale-sheet", unit, "-o", str(file), "--apart")["code"] == "file-exists"


def test_a_looked_at_sheet_leaves_no_trace_and_says_what_is_not_known(shop: Any) -> None:
    bare = shop.part("relay")
    before = shop.entries()

    sheet = shop.ok("sale-sheet", bare)

    assert shop.entries() == before and sheet["number"] is None
    assert sheet["sections"]["tests"]["lines"] == [{"says": "No test is on record."}]
    gaps = sheet["sections"]["not_known"]["lines"][0]["gaps"]
    assert {"its maker", "its part number", "its serial", "how it looks", "where it came from"} <= set(gaps)
    assert sheet["fingerprint"] == shop.ok("sale-sheet", bare)["fingerprint"]


def test_hearsay_and_what_does_not_fit_stand_by_themselves(shop: Any) -> None:
    tag = shop.part(**SENSOR)
    shop.ok("evidence", "claim", tag, "--said", "tested, runs well", "--source", "seller")
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "missing", "--on", "2026-03-01")
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact", "--on", "2026-03-02")

    told = shop.ok("sale-sheet", tag)["sections"]

    assert [line["says"] for line in told["tests"]["lines"]] == ["No test is on record."]
    assert told["said"]["lines"][0]["says"] == '"tested, runs well", said by the seller; nothing was shown for it'
    card = shop.card(tag)
    assert [line["says"] for line in told["unfitting"]["lines"]] == [each["says"] for each in card["contradictions"]]
    assert "the hold" not in str(told["said"])


@pytest.mark.parametrize(
    ("how", "code"), [("left here by a customer", "not-ours"), ("lent in", "not-ours"), ("sold", "part-gone")]
)
def test_what_is_not_ours_or_has_left_is_not_offered(shop: Any, how: str, code: str) -> None:
    tag = shop.part("relay")
    shop.ok("provenance", "note", tag, "--how", how)
    assert shop.refused("sale-sheet", tag)["code"] == code
