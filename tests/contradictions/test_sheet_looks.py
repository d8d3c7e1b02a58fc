"""What a sheet says is told as such; a row that names who looked, and on which day, is that person's look."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from inventory.opening import open_record
from inventory.parts import judgements
from inventory.store.connection.engine import record_url
from inventory.store.connection.migration import downgrade
from tests.contradictions.test_every_door import item, sound
from tui.data.card import card_of

HEADER = "kind,maker,part number,serial,match code,condition,place,seen by,seen on\n"
SENSOR = "pressure sensor,Ostrell,HV 204 118,71-1,K,2,shelf A,"


@pytest.fixture
def read(shop: Any, tmp_path: Path) -> Any:
    """Reads the text of a sheet, kept up to a day."""

    def read_text(text: str, *words: str, name: str = "parts.csv") -> Any:
        (tmp_path / name).write_text(text, encoding="utf-8")
        return shop.ok("sheet", "read", str(tmp_path / name), *words)

    return read_text


def facts(shop: Any, tag: str) -> dict[str, Any]:
    return {each["table"]: each for each in shop.ok("fact", "list", tag)["facts"] if each["superseded_by"] is None}


def test_a_row_without_a_name_is_what_a_sheet_says_at_every_door(shop: Any, read: Any) -> None:
    read(f"{HEADER}{SENSOR},\n", "--on", "2025-06-01")
    (tag,) = shop.found("71-1")
    where = "written in a sheet: parts.csv, parts, row 2, kept up to 2025-06-01"
    for fact in facts(shop, tag).values():
        assert (fact["how_known"], fact["on"]) == ("written in a sheet", "2025-06-01")
        assert fact["reason"] == "written in parts.csv, parts, row 2, kept up to 2025-06-01"
    assert f"put in shelf A, {where}" in shop.run("part", "show", tag).out
    assert f"condition 2 of 0-3, {where}" in shop.run("fact", "list", tag).out
    assert (item(shop, tag, "--for", "owner")["last_seen"], item(shop, tag)["match_code_read_from"]) == (
        None,
        "a sheet or the word of others",
    )
    record = open_record(shop.target)
    with record.read() as session:
        steps = [str(entry) for section in card_of(session, tag).sections for entry in section.entries]
    record.close()
    assert any(where in step for step in steps)
    assert not any("seen by us" in step for step in steps)


def test_a_row_that_names_who_looked_and_when_is_that_persons_look(shop: Any, read: Any) -> None:
    read(f"{HEADER}{SENSOR},\n", "--on", "2025-06-01")
    answer = read(f"{HEADER}{SENSOR}Bert,2025-03-01\n", "--on", "2025-06-01")
    assert (answer["changed"], answer["remarks"]) == (1, [])
    (tag,) = shop.found("71-1")
    told = shop.ok("fact", "list", tag)["facts"]
    (marking,) = (each for each in told if each["table"] == "marking" and each["by"] == "Bert")
    assert (marking["how_known"], marking["match_code"], marking["serial"]) == ("seen", "K", "71-1")
    assert (marking["on"], marking["reason"]) == ("2025-03-01", "written in parts.csv, parts, row 2")
    assert item(shop, tag)["match_code_read_from"] is None
    assert item(shop, tag, "--for", "owner")["last_seen"]["when"]["by"] == "Bert"
    assert read(f"{HEADER}{SENSOR}Bert,2025-03-01\n")["unchanged"] == 1
    sound(shop)


@pytest.mark.parametrize(("cells", "missing"), [("Bert,", "seen on"), (",2025-03-01", "seen by")])
def test_one_of_both_alone_makes_no_look_and_is_remarked(shop: Any, read: Any, cells: str, missing: str) -> None:
    answer = read(f"{HEADER}{SENSOR}{cells}\n")
    assert answer["remarks"] == [
        f'parts, row 2: "{missing}" is empty, so the row is kept as what a sheet says, not as a look'
    ]
    (tag,) = shop.found("71-1")
    assert {fact["how_known"] for fact in facts(shop, tag).values()} == {"written in a sheet"}


def test_seals_and_runs_name_who_looked_too_in_four_languages(shop: Any, read: Any) -> None:
    tag = shop.part(part_number="HV 204 118")
    read(f"tag,seal,state,gesehen von,gesehen am\n{tag},cap,intact,Bert,2025-03-01\n", name="seals.csv")
    seal = facts(shop, tag)["seal_sighting"]
    assert (seal["by"], seal["how_known"], seal["on"]) == ("Bert", "seen", "2025-03-01")
    runs = "tag,procedure,readings,on{}\n{},hold,0s=50cmHg; 10s=49cmHg,2025-03-0{}{}\n"
    read(runs.format("", tag, 2, ""), name="runs.csv")
    assert facts(shop, tag)["bench_run"]["how_known"] == "written in a sheet"
    assert item(shop, tag)["works"] is None
    assert "as a sheet says, PASS" in shop.run("part", "show", tag).out
    read(runs.format(",mesuré par", tag, 3, ",Bert"), name="runs.csv")
    assert item(shop, tag, "--for", "owner")["works"]["when"]["by"] == "Bert"
    assert read(runs.format(",mesuré par", tag, 3, ",Bert"), name="runs.csv")["unchanged"] == 1


def test_what_is_written_out_names_who_looked_only_where_nobody_else_told(shop: Any, read: Any, tmp_path: Path) -> None:
    seen = shop.part(part_number="HV 204 118", on="2025-01-02")
    read(f"{HEADER}{SENSOR},\n")
    shop.ok("sheet", "write", str(tmp_path / "all.csv"))
    with (tmp_path / "all.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = {row["tag"]: (row["seen by"], row["seen on"]) for row in csv.DictReader(file)}
    assert rows.pop(seen)[1] == "2025-01-02"
    assert set(rows.values()) == {("", "")}
    assert shop.ok("sheet", "read", str(tmp_path / "all.csv"))["unchanged"] == 2


@pytest.mark.parametrize(
    ("kept_up_to", "place"), [("2025-03-01", "shelf B"), ("2025", "shelf B"), ("2025-03-02", "shelf A")]
)
def test_a_sheets_place_against_our_own_move(shop: Any, read: Any, kept_up_to: str, place: str) -> None:
    tag = shop.part(part_number="HV 204 118", serial="71-1", on="2025-01-02")
    shop.ok("place", "add", "shelf B", "--on", "2025-01-02")
    shop.ok("place", "put", tag, "shelf B", "--on", "2025-03-01")
    rows = f"tag,place\n{tag},shelf A\n"
    assert read(rows, "--on", kept_up_to)["changed"] == 1
    assert shop.ok("part", "show", tag)["place"] == place
    assert read(rows, "--on", kept_up_to)["unchanged"] == 1
    sound(shop)


def test_a_record_of_an_older_revision_follows_the_rule_once_it_is_opened(
    shop: Any, read: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    tag = shop.part(part_number="HV 204 118", serial="71-1", on="2025-01-02")
    shop.ok("place", "add", "shelf B", "--on", "2025-01-02")
    shop.ok("place", "put", tag, "shelf B", "--on", "2025-03-01")
    with monkeypatch.context() as patch:
        patch.setattr(judgements, "moves_that_count", lambda moves, _fittings: list(moves))
        read(f"tag,place\n{tag},shelf A\n", "--on", "2025-03-01")
        assert shop.ok("part", "show", tag)["place"] == "shelf A"
    downgrade(record_url(shop.target), "0004")

    assert shop.ok("part", "show", tag)["place"] == "shelf B"
    sound(shop)


def test_a_sheets_letter_against_ours_leaves_ours_on_the_card(shop: Any, read: Any) -> None:
    tag = shop.part(part_number="HV 204 118", match_code="K", on="2025-01-02")
    read(f"tag,match code\n{tag},C\n")
    card = shop.text("part", "show", tag)
    assert "match code: K, read from the part itself" in card
    assert "our own reading counts: K" in card
    listed = item(shop, tag)
    assert (listed["match_code"], listed["match_code_read_from"]) == ("K", None)


def test_the_browsers_card_tells_a_sheets_seal_and_run_as_such(shop: Any, read: Any) -> None:
    tag = shop.part(part_number="HV 204 118")
    read(f"tag,seal,state\n{tag},cap,intact\n", "--on", "2025-03-01", name="seals.csv")
    read(f"tag,procedure,readings\n{tag},hold,0s=50cmHg; 10s=49cmHg\n", "--on", "2025-03-01", name="runs.csv")
    record = open_record(shop.target)
    with record.read() as session:
        trust = {entry.name: entry.says for entry in card_of(session, tag).sections[1].entries}
    record.close()
    assert trust["Seals"].startswith("cap intact, 1 Mar 2025, as a sheet says")
    assert any(says.startswith("as a sheet says, PASS") for says in trust.values())


def test_a_hold_that_only_a_sheet_tells_moves_p_less_than_one_that_somebody_made(shop: Any, read: Any) -> None:
    tag = shop.part(part_number="HV 204 118", serial="71-1", on="2025-01-02")
    hold = f'tag,procedure,readings,on\n{tag},hold,"0s=50cmHg; 10s=48cmHg",2025-03-01\n'
    before = shop.ok("evidence", tag)["p_serviceable"]
    read(hold, name="runs.csv")
    told = shop.ok("evidence", tag)
    assert "hold: pass, as a sheet says" in str(told)
    shop.ok("bench", "run", "hold", tag, "--reading", "0s=50cmHg", "--reading", "10s=48cmHg", "--on", "2025-03-02")
    assert before < told["p_serviceable"] < 0.6 < shop.ok("evidence", tag)["p_serviceable"]


FULL = (
    "kind,maker,part number,serial,match code,seal,seal state,condition,place,acquired on,acquired from,price,value,"
    "value basis,value on,notes,seen by,seen on\n"
    "pressure sensor,Ostrell,HV 204 118,71-1,K,lid,intact,2,shelf A,2015,Odo Fimber,450 EUR,900 EUR,market,2019,good,{}\n"
    "control unit,Halvard,HV 310 002,5512,K,lid,intact,1,shelf A,2015,Odo Fimber,300 EUR,700 EUR,market,2019,good,{}\n"
)


@pytest.mark.parametrize("look", [False, True])
def test_no_door_says_more_of_an_old_sheet_than_the_sheet_can(shop: Any, read: Any, tmp_path: Path, look: bool) -> None:
    read(FULL.replace("{}", "Bert,2018-05-04" if look else ","), "--on", "2019-03-01")
    tag, unit = shop.found("71-1")[0], shop.found("5512")[0]
    written = facts(shop, tag).values()
    listed = item(shop, tag, "--for", "owner")
    sold = shop.ok("sale-sheet", "draw", tag, "-o", str(tmp_path / "sold.pdf"))
    record = open_record(shop.target)
    with record.read() as session:
        card = str(card_of(session, tag))
    record.close()
    doors = [
        card,
        str(listed),
        str(sold),
        *(shop.text(*words, tag) for words in (("part", "show"), ("part", "history"), ("evidence", "of"))),
        *(shop.text("pairs", name) for name in ("candidates", "plan")),
        shop.text("condition-list", "draw", "--for", "owner"),
    ]
    said = "\n".join(doors).casefold()
    assert "seen by us" not in said and "looked over" not in said and "confirmed: " not in said
    assert listed["value"]["when"]["how_known"] == "written in a sheet"
    assert listed["came"] == "not known"
    last, how = listed["last_seen"], listed["condition"]["when"]["how_known"]
    if look:
        assert (last["when"]["by"], last["when"]["on"], how) == ("Bert", "2018-05-04", "seen")
        assert all("parts.csv, parts, row 2" in str(fact["reason"]) for fact in written)
    else:
        assert (last, how) == (None, "written in a sheet")
        assert f"{tag} with {unit}  POSSIBLE" in doors[6]
        assert all(f"{name}, as a sheet says" in doors[3] for name in ("intact", "2 of 0-3", "shelf A"))
        assert "not by our own look" in doors[5]
        assert {fact["how_known"] for fact in written} == {"written in a sheet"}
    assert shop.ok("sheet", "read", str(tmp_path / "parts.csv"))["unchanged"] == 2


def test_cells_that_were_not_read_are_counted_on_the_front_and_whose_comes_first(
    shop: Any, read: Any, tmp_path: Path
) -> None:
    read("kind,serial,whose,value\nrelay,RX-71,Schwager?,80 EUR\nrelay,RX-72,own,about a hundred EUR\n")
    (tag,) = shop.found("RX-71")

    drawn = shop.ok("condition-list", "draw", "--basis", "not stated", "-o", str(tmp_path / "list.json"))

    first = drawn["gaps"][0]
    assert (first["tag"], first["says"], first["rank"]) == (tag, "whose it is, is not known", 1)
    assert (drawn["totals"], drawn["other_totals"]) == ({}, {})
    assert [gap["says"] for gap in drawn["gaps"] if gap["sort"] == "not read"] == [
        'a cell under "whose" could not be read',
        'a cell under "value" could not be read',
    ]
    assert "Schwager" not in (tmp_path / "list.json").read_text()
    assert 'not read, under "whose": Schwager?' in shop.text("part", "show", tag)
    shop.ok("condition-list", "draw", "-o", str(tmp_path / "list.xlsx"))
    front = [line[:2] for line in load_workbook(tmp_path / "list.xlsx")["Front"].iter_rows(values_only=True)]
    assert ("cells of sheets not read, among the gaps", 2) in front
