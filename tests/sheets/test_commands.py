"""The commands `sheet template`, `sheet read`, `sheet write`: keys, exit statuses, what people are told."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from inventory.errors import Refused
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
    name = sheet(HEAD, GOOD, ["injector", "HV 192 231", "A2"])

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

    for words in (["--strict"], ["--strict", "--try"]):
        said = file_shop.run("sheet", "read", name, *words, "--json")

        assert said.status == 3
        assert set(said.json) >= KEYS | {"error"}
        assert set(said.json["error"]) == {"code", "message", "where", "hint", "unchanged"}
        assert (said.json["refused"], said.json["held"], said.json["added"]) == (1, 1, 0)
        (problem,) = said.json["problems"]
        assert (problem["sheet"], problem["row"], problem["column"], problem["value"]) == ("parts", 3, "kind", "rely")
        assert set(problem) == {"sheet", "row", "column", "value", "problem", "hint"}
        sentence_for_people(said.err)
    assert file_shop.entries() == before


def test_rejects(file_shop: Shop) -> None:
    name = sheet(HEAD, GOOD, WRONG)

    tried = file_shop.ok("sheet", "read", name, "--try", "--strict", "--rejects", "bad.xlsx", status=1)
    assert not Path("bad.xlsx").exists()
    read = file_shop.ok("sheet", "read", name, "--strict", "--rejects", "bad.xlsx", status=1)

    assert {key: tried[key] for key in KEYS} == {key: read[key] for key in KEYS}
    assert (read["added"], read["refused"], read["held"]) == (1, 1, 0)
    assert load_workbook("bad.xlsx")["parts"].max_row == 2
    assert file_shop.refused("sheet", "read", name, "--strict", "--rejects", "bad.xlsx")["code"] == "file-exists"
    again = file_shop.ok("sheet", "read", name, "--strict", "--rejects", "bad.xlsx", "--over", status=1)
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

    assert file_shop.ok("sheet", "template", "t.xlsx") == {"file": "t.xlsx", "contradictions": []}
    assert file_shop.ok("sheet", "write", "all.xlsx")["rows"]["parts"] == 1
    assert file_shop.ok("sheet", "read", "all.xlsx")["unchanged"] == 2  # the part, and its marks
    assert file_shop.refused("sheet", "write", "all.xlsx")["code"] == "file-exists"
    assert file_shop.ok("sheet", "write", "all.xlsx", "--over")["rows"]["parts"] == 1
    assert file_shop.refused("sheet", "write", "all.pdf", status=2)["code"] == "sheet-kind"
    file_shop.ok("verify")


def test_what_can_be_read_in_two_ways_is_chosen_for_the_file(file_shop: Shop) -> None:
    name = sheet([*HEAD, "Bought", "Paid EUR"], [*GOOD, "3/4/2019", "1.234"])

    said = file_shop.run("sheet", "read", name, "--strict", "--json")
    hints = {problem["column"]: problem["hint"] for problem in said.json["problems"]}
    assert (said.status, said.json["error"]["code"]) == (3, "rows-refused")
    assert "--dates day-first or --dates month-first" in hints["acquired on"]
    assert "--decimal comma or --decimal point" in hints["price"]

    chosen = ("--dates", "month-first", "--decimal", "comma")
    assert file_shop.ok("sheet", "read", name, *chosen)["added"] == 1
    assert file_shop.ok("sheet", "read", name, *chosen)["unchanged"] == 1
    (came,) = file_shop.card(file_shop.found("12-R4")[0])["provenance"]
    assert (came["on"], came["told"], came["price"]) == ("2019-03-04", "3/4/2019", "1234")


def test_the_number_of_a_day_needs_a_year_to_count_from(file_shop: Shop) -> None:
    name = sheet([*HEAD, "Bought"], [*GOOD, "43558"])

    said = file_shop.run("sheet", "read", name, "--strict", "--json")
    assert "--day-numbers 1900" in said.json["problems"][0]["hint"]
    assert file_shop.ok("sheet", "read", name, "--day-numbers", "1904")["added"] == 1

    (came,) = file_shop.card(file_shop.found("12-R4")[0])["provenance"]
    assert (came["on"], came["told"]) == ("2023-04-04", "43558")


@pytest.mark.parametrize(
    ("told", "on"), [("spring 1999", "1999-21"), ("ca. 1998", "1998~"), ("03.04.2019", "2019-04-03")]
)
def test_facts_keep_how_their_day_was_told(file_shop: Shop, told: str, on: str) -> None:
    tag = file_shop.part("pressure sensor")
    seals = sheet(["tag", "seal", "state", "on"], [tag, "cap", "intact", told], name="seals.csv")

    assert file_shop.ok("sheet", "read", seals)["added"] == 1
    assert file_shop.ok("sheet", "read", seals)["unchanged"] == 1

    (seal,) = file_shop.card(tag)["seals"]
    assert (seal["on"], seal["told"]) == (on, told)


def test_hidden_sheets_are_read_on_request(file_shop: Shop) -> None:
    book = Workbook()
    for title, serial in (("parts", "1"), ("old", "2")):
        page = book.create_sheet(title)
        page.append(["Type", "Make", "P/N", "Serial"])
        page.append(["relay", "Ostrell", "12-R4", serial])
    book["old"].sheet_state = "hidden"
    book.remove(book["Sheet"])
    book.save("hidden.xlsx")

    first = file_shop.ok("sheet", "read", "hidden.xlsx")
    (remark,) = first["remarks"]
    assert (first["added"], '"old"' in remark, "--hidden" in remark) == (1, True, True)

    second = file_shop.ok("sheet", "read", "hidden.xlsx", "--hidden")
    assert (second["added"], second["unchanged"], second["remarks"]) == (1, 1, [])


def test_the_same_in_many_rows_is_told_once_and_headers_with_how_near_they_are(file_shop: Shop) -> None:
    name = sheet(["Part nr.", "Type", "Serail", "Colour"], *(["HV 1", "rely", f"{row}", "grey"] for row in range(9)))

    said = file_shop.run("sheet", "read", name, "--try", "--strict", "--map", "Serail=serial")

    lines = said.out.splitlines()
    place = next(place for place, line in enumerate(lines) if "rely" in line)
    assert " ".join(map(str.strip, lines[place : place + 2])) == (
        'parts 2, 3, 4, 5, 6, 7 and 3 more  kind "rely": unknown kind "rely" (did you mean relay?)'
    )
    assert "    Part nr.  100  part number" in lines
    assert "    Colour  -  kept under its own name" in lines


def test_a_read_refused_after_the_refused_rows_were_written_says_where_they_are(
    file_shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise Refused("disk-full", "This disk is full")

    name = sheet(HEAD, GOOD, ["rely", *GOOD[1:]])
    monkeypatch.setattr("inventory.sheets.actions.carry_out", full)

    said = file_shop.run("sheet", "read", name, "--strict", "--rejects", "bad.xlsx", "--json")

    error = said.json["error"]
    assert (error["code"], error["unchanged"], "bad.xlsx" in error["message"]) == ("disk-full", False, True)
    assert Path("bad.xlsx").exists()
    assert "Nothing was changed" not in said.err


def test_a_trial_asks_about_each_misspelt_name_once_with_its_rows(file_shop: Shop, tmp_path: Path) -> None:
    shop = file_shop
    shop.ok("car", "add", "Green tourer")
    shop.ok("car", "position", "Green tourer", "inner wing")
    shop.ok("place", "add", "shelf green")
    shop.ok("contact", "add", "Ulla Brandvesk")
    file = tmp_path / "parts.csv"
    file.write_text(
        "kind,serial,car,position,place,acquired from,seal,seal state\n"
        "pressure sensor,71-1,Green tourer,iner wing,shelf gren,Ula Brandvesk,cpa,intact\n"
        "relay,71-2,,,shelf gren,,,\n"
        "relay,71-3,,,bay left,,,\n"
        "relay,71-4,,,bay right,,,\n"
        "relay,71-5,,,Shelf-Green,,,\n"
    )

    near = shop.ok("sheet", "read", str(file), "--try")["near_names"]

    assert {each["name"]: each["near"] for each in near} == {
        "iner wing": ["inner wing"],
        "shelf gren": ["shelf green"],
        "Ula Brandvesk": ["Ulla Brandvesk"],
        "cpa": ["cap"],
    }
    rows = next(each["rows"] for each in near if each["name"] == "shelf gren")
    assert rows == [{"sheet": "parts", "row": 2}, {"sheet": "parts", "row": 3}]
    said = shop.text("sheet", "read", str(file))
    assert 'parts, row 2 and 1 more: the place "shelf gren" is new; is "shelf green" meant?' in " ".join(said.split())


def test_cells_kept_as_text_are_told_by_column_and_a_doubtful_header_once(file_shop: Shop) -> None:
    rows = [[f"relay {letter}", "A1", "ca. 80 EUR"] for letter in "abcde"]
    name = sheet(["Type", "Shelf", "Price"], *rows, rows[0])

    said = file_shop.run("sheet", "read", name, "--try")

    told = " ".join(said.out.split())
    assert 'Kept as text, nothing dropped: kind, 6 cells: "relay a" parts 2 and 1 more; "relay b" parts 3;' in told
    assert "and 2 more texts" in told
    assert 'price, 6 cells: "ca. 80 EUR" parts 2 and 5 more' in told
    assert all(len(line) <= 80 for line in said.out.splitlines())

    book = Workbook()
    for year in ("2019", "2021"):
        page = book.create_sheet(year)
        page.append(["Type", "P/N", "Kennbst."])
        page.append(["relay", f"12-{year}", "K"])
    book.save("years.xlsx")
    refused = file_shop.run("sheet", "read", "years.xlsx", "--try", "--json")
    assert refused.json["error"]["message"].count("Kennbst.") == 1
    (question,) = [each for each in refused.json["questions"] if each["key"].startswith("header/")]
    assert [each["sheet"] for each in question["rows"]] == ["2019", "2021"]
