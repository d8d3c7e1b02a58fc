"""The commands `sheet template`, `sheet read`, `sheet write`: keys, exit statuses, what people are told."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import pytest
from openpyxl import load_workbook

from tests.cli.conftest import Shop, _hand, file_shop, sentence_for_people

__all__ = ["_hand", "file_shop"]

KEYS = {"rows_read", "added", "changed", "unchanged", "refused", "held", "problems", "mapping"}


def sheet(*rows: Sequence[str], name: str = "parts.csv") -> str:
    with Path(name).open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=";").writerows(rows)
    return name


GOOD = ["relay", "12-R4", "A1"]
WRONG = ["rely", "12-R5", "A2"]
HEAD = ["Type", "P/N", "Shelf"]


def test_read_and_read_again(file_shop: Shop) -> None:
    name = sheet(HEAD, GOOD, ["injector", "HV 150 231", "A2"])

    first = file_shop.ok("sheet", "read", name)
    second = file_shop.ok("sheet", "read", name)

    assert set(first) >= KEYS
    assert (first["rows_read"], first["added"], first["unchanged"]) == (2, 2, 0)
    assert (second["rows_read"], second["added"], second["unchanged"]) == (2, 0, 2)
    assert first["mapping"] == {"Type": "kind", "P/N": "part number", "Shelf": "place"}
    assert len(file_shop.found("A1")) == 1


def test_a_refused_file_gives_its_keys_with_the_refusal_beside_them(file_shop: Shop) -> None:
    name = sheet(HEAD, GOOD, WRONG)
    before = file_shop.entries()

    for words in ([], ["--try"]):
        said = file_shop.run("sheet", "read", name, *words, "--json")

        assert said.status == 3
        assert set(said.json) >= KEYS | {"error"}
        assert set(said.json["error"]) == {"code", "message", "where", "hint"}
        assert (said.json["refused"], said.json["held"], said.json["added"]) == (1, 1, 0)
        (problem,) = said.json["problems"]
        assert (problem["sheet"], problem["row"], problem["column"], problem["value"]) == ("parts", 3, "kind", "rely")
        assert set(problem) == {"sheet", "row", "column", "value", "problem", "hint"}
        sentence_for_people(said.err)
    assert file_shop.entries() == before


def test_rejects(file_shop: Shop) -> None:
    name = sheet(HEAD, GOOD, WRONG)

    tried = file_shop.ok("sheet", "read", name, "--try", "--rejects", "bad.xlsx", status=1)
    assert not Path("bad.xlsx").exists()
    read = file_shop.ok("sheet", "read", name, "--rejects", "bad.xlsx", status=1)

    assert {key: tried[key] for key in KEYS} == {key: read[key] for key in KEYS}
    assert (read["added"], read["refused"], read["held"]) == (1, 1, 0)
    assert load_workbook("bad.xlsx")["parts"].max_row == 2
    again = file_shop.ok("sheet", "read", name, "--rejects", "bad.xlsx", status=1)
    assert (again["unchanged"], again["refused"]) == (1, 1)


def test_a_trial_shows_each_change_from_what_to_what(file_shop: Shop) -> None:
    tag = file_shop.part("relay", part_number="12-R4")
    name = sheet(["Label", "Cond.", "Serial"], [tag, "2", "0602"])

    text = file_shop.text("sheet", "read", name, "--try")

    assert f"changed  {tag}: serial (empty) -> 0602; condition (empty) -> 2" in text
    assert "Nothing was written" in text
    assert file_shop.card(tag)["serial"] is None


def test_a_doubtful_header_is_asked_about_and_mapped(file_shop: Shop) -> None:
    name = sheet(["Type", "Nr."], ["relay", "12-R4"])

    said = file_shop.run("sheet", "read", name, "--json")
    assert (said.status, said.json["error"]["code"], said.json["held"]) == (3, "doubtful-header", 1)
    read = file_shop.ok("sheet", "read", name, "--map", "Nr.=part number")

    assert read["mapping"] == {"Type": "kind", "Nr.": "part number"}
    assert len(file_shop.found("12-R4")) == 1


@pytest.mark.parametrize(
    ("words", "status", "code"),
    [
        (["none.xlsx"], 3, "file-not-readable"),
        (["strange.csv"], 3, "no-known-columns"),
        (["parts.csv", "--map", "Type"], 2, "not-a-pair"),
        (["parts.csv", "--map", "Type=colour"], 2, "unknown-column"),
        (["parts.csv", "--map", "Colour=kind"], 2, "no-such-header"),
        (["parts.csv", "--rejects", "bad.csv"], 2, "rejects-not-xlsx"),
    ],
)
def test_what_cannot_be_read(file_shop: Shop, words: list[str], status: int, code: str) -> None:
    sheet(HEAD, GOOD)
    sheet(["Colour", "Weight"], ["grey", "3"], name="strange.csv")
    before = file_shop.entries()

    said = file_shop.run("sheet", "read", *words, "--json")

    assert (said.status, said.json["error"]["code"]) == (status, code)
    sentence_for_people(said.err)
    assert file_shop.entries() == before


def test_write_and_template(file_shop: Shop) -> None:
    file_shop.part("relay", part_number="12-R4")

    assert file_shop.ok("sheet", "template", "t.xlsx") == {"file": "t.xlsx"}
    assert file_shop.ok("sheet", "write", "all.xlsx")["rows"]["parts"] == 1
    assert file_shop.ok("sheet", "read", "all.xlsx")["unchanged"] == 1
    assert file_shop.refused("sheet", "write", "all.xlsx")["code"] == "file-exists"
    assert file_shop.ok("sheet", "write", "all.xlsx", "--over")["rows"]["parts"] == 1
    assert file_shop.refused("sheet", "write", "all.pdf", status=2)["code"] == "sheet-kind"
    file_shop.ok("verify")
