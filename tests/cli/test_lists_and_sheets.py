"""The list for the insurer and spreadsheets, by command: keys, exit statuses, all or nothing."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.cli.conftest import Shop, sentence_for_people

READ_KEYS = {"rows_read", "added", "changed", "unchanged", "refused", "held", "problems", "mapping"}


def counts(report: dict[str, object]) -> dict[str, object]:
    return {name: report[name] for name in ("rows_read", "added", "changed", "unchanged", "refused", "held")}


@pytest.fixture
def stocked(shop: Shop) -> tuple[Shop, str, str]:
    """Two parts, one of them with a value."""
    priced, plain = shop.part("control unit", serial="0007"), shop.part("relay")
    shop.ok("value", "note", priced, "--amount", "850", "--currency", "EUR", "--on", "2026-02-01")
    return shop, priced, plain


def test_the_list_has_its_keys_in_json_and_in_a_file(stocked: tuple[Shop, str, str]) -> None:
    shop, priced, plain = stocked
    for answer in (shop.ok("condition-list"), shop.ok("condition-list", "-o", "list.json")):
        assert {"number", "as_of", "known_on", "items", "totals", "other_totals", "left_out", "without_picture",
                "stale_values", "fingerprint"} <= set(answer)  # fmt: skip
        assert answer["totals"] == {"EUR": "850.00"}
        assert answer["without_picture"] == 2
        assert sorted(item["tag"] for item in answer["items"]) == sorted([priced, plain])
    assert json.loads(Path("list.json").read_text(encoding="utf-8"))["fingerprint"] == answer["fingerprint"]
    other = shop.ok("condition-list", "--basis", "agreed")
    assert other["totals"] == {}
    shop.ok("condition-list", "--basis", "agreed", "-o", "agreed.csv")
    assert Path("agreed.csv").read_text(encoding="utf-8-sig").count("no value stated on this basis") == 2


@pytest.mark.parametrize("ending", ["xlsx", "csv", "json"])
def test_the_list_is_written_once_and_numbered(stocked: tuple[Shop, str, str], ending: str) -> None:
    shop, _, _ = stocked
    first = shop.ok("condition-list", "-o", f"first.{ending}")
    second = shop.ok("condition-list", "-o", f"second.{ending}")
    assert second["number"] == first["number"] + 1
    assert Path(f"first.{ending}").stat().st_size > 0
    assert shop.ok("verify")["ok"] is True


def test_a_list_of_a_day_to_come_or_of_no_kind_of_file_is_refused(stocked: tuple[Shop, str, str]) -> None:
    shop, _, _ = stocked
    tomorrow = (date.today() + timedelta(days=1)).isoformat()
    for words in (
        ["--as-of", tomorrow],
        ["--known-on", tomorrow],
        ["--as-of", "soon"],
        ["--basis", "hope"],
        ["-o", "list.odt"],
        ["-o", "no/such/folder/list.xlsx"],
    ):
        shop.refused("condition-list", *words)
    assert list(Path().glob("list*")) == []


def test_a_template_is_written_and_read_without_effect(shop: Shop) -> None:
    shop.ok("sheet", "template", "t.xlsx")
    report = shop.ok("sheet", "read", "t.xlsx")
    assert set(report) >= READ_KEYS
    assert counts(report) == dict.fromkeys(counts(report), 0)
    shop.refused("sheet", "template", "t.xlsx")


def test_what_is_written_changes_nothing_when_read(stocked: tuple[Shop, str, str]) -> None:
    shop, _, _ = stocked
    shop.ok("sheet", "write", "all.xlsx")
    before = shop.entries()
    report = shop.ok("sheet", "read", "all.xlsx")
    assert (report["added"], report["changed"], report["refused"], report["held"]) == (0, 0, 0, 0)
    assert report["rows_read"] == report["unchanged"] >= 2
    assert shop.entries() == before


def test_a_sheet_is_taken_whole_or_not_at_all_and_exits_as_the_contract_says(shop: Shop) -> None:
    good = "kind;serial\nrelay;0012\ncontrol unit;1E5\n"
    Path("good.csv").write_text(good, encoding="utf-8")
    Path("bad.csv").write_text(f"{good}rely;9\n", encoding="utf-8")
    before = shop.entries()
    trial = shop.ok("sheet", "read", "good.csv", "--try")
    assert (trial["added"], shop.entries()) == (2, before)
    for words in (["bad.csv", "--strict"], ["bad.csv", "--strict", "--try"]):
        said = shop.run("sheet", "read", *words, "--json")
        assert said.status == 3
        report = said.json
        assert READ_KEYS | {"error"} <= set(report)
        assert (report["rows_read"], report["refused"], report["held"], report["added"]) == (3, 1, 2, 0)
        (problem,) = report["problems"]
        assert {"sheet", "row", "column", "value", "problem", "hint"} <= set(problem)
        assert (problem["row"], problem["column"], problem["value"]) == (4, "kind", "rely")
        assert "relay" in json.dumps(problem)
        sentence_for_people(said.err)
    assert shop.entries() == before
    trial = shop.ok("sheet", "read", "bad.csv", "--strict", "--try", "--rejects", "back.xlsx", status=1)
    assert not Path("back.xlsx").exists()
    read = shop.ok("sheet", "read", "bad.csv", "--strict", "--rejects", "back.xlsx", status=1)
    assert counts(trial) == counts(read)
    assert (read["added"], read["refused"], read["held"]) == (2, 1, 0)
    assert Path("back.xlsx").exists()
    assert {part["serial"] for part in shop.ok("part", "find")["parts"]} == {"0012", "1E5"}


@pytest.mark.parametrize("name", ["none.xlsx", "text.xlsx", "text.csv", "folder.csv", "empty.csv", "parts.odt"])
def test_a_file_that_is_no_sheet_is_refused(shop: Shop, name: str) -> None:
    Path("text.xlsx").write_bytes(b"no workbook")
    Path("text.csv").write_bytes(b"\x00\xff\xfe\x00")
    Path("folder.csv").mkdir()
    Path("empty.csv").write_bytes(b"")
    Path("parts.odt").write_bytes(b"x")
    said = shop.run("sheet", "read", name, "--json")
    assert said.status == 3
    assert {"code", "message", "where", "hint"} <= set(said.json["error"])
    sentence_for_people(said.err)


def test_hostile_cells_come_back_as_they_went_in(shop: Shop) -> None:
    cells = ["=1+1", "[/]", "\x1b[31m", "0012", "NA", "שלום", "🔧", '"', "@SUM(A1)"]
    rows = "".join('relay,"{}"\n'.format(cell.replace('"', '""')) for cell in cells)
    Path("p.csv").write_text("kind,marks\n" + rows, encoding="utf-8")
    assert shop.ok("sheet", "read", "p.csv")["added"] == len(cells)
    for ending in ("xlsx", "csv", "json"):
        shop.ok("sheet", "write", f"all.{ending}")
    assert shop.ok("sheet", "read", "all.xlsx")["changed"] == 0
    marks = {shop.card(tag)["marks"] for tag in shop.found()}
    assert marks == {cell.replace("\x1b", "") for cell in cells}


def test_a_list_whose_file_cannot_take_its_name_does_not_say_that_nothing_was_changed(
    file_shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def taken(*_: object) -> None:
        raise FileExistsError

    monkeypatch.setattr("inventory.store.files.take_name", taken)

    said = file_shop.run("condition-list", "-o", "list.xlsx", "--json")

    error = said.json["error"]
    assert (said.status, error["code"], error["unchanged"]) == (3, "file-exists", False)
    assert "list 1" in error["message"]
    assert "Nothing was changed" not in said.err
