"""The invented workshop's sheets hang together: every name that one file uses, another one explains."""

from __future__ import annotations

import csv
from collections import Counter
from datetime import date

import pytest

from demo_db.notebook import strip_down
from demo_db.sources import SHEETS, SHELF_HEADINGS, Row, all_parts, sheet_file, shelf, table
from inventory.store.days.dates import parse_when

LIST_DAY = date(2026, 3, 31)
"""The day of the condition list: nothing in the workshop's papers is later."""

KINDS = {
    "pressure sensor",
    "control unit",
    "injector",
    "cold-start injector",
    "thermo-time switch",
    "coolant temperature sensor",
    "air temperature sensor",
    "throttle switch",
    "trigger contacts",
    "auxiliary air valve",
    "fuel pump",
    "fuel pressure regulator",
    "relay",
    "series resistor",
    "ignition coil",
    "ballast resistor",
    "switching unit",
    "full-load pressure switch",
    "loom",
    "other",
}
CANONICAL = [
    "tag",
    "kind",
    "maker",
    "part number",
    "serial",
    "date code",
    "match code",
    "match code read from",
    "seal",
    "seal state",
    "condition",
    "car",
    "position",
    "place",
    "whose",
    "acquired on",
    "acquired from",
    "price",
    "price currency",
    "value",
    "value currency",
    "value basis",
    "value on",
    "notes",
    "seen by",
    "seen on",
]
BASES = {"agreed", "market", "replacement", "purchase price", "repair cost", "exchange core", "not stated"}
DATE_COLUMNS = {"acquired on", "value on", "seen on", "on", "taken on"}


def name_of(row: Row) -> tuple[str, str, str]:
    return row["maker"], row["part number"], row["serial"]


KNOWN = {name_of(row) for row in all_parts()}


def test_size_and_kinds() -> None:
    assert len(table("cars")) >= 3
    assert len(all_parts()) >= 200
    assert {row["kind"] for row in all_parts()} == KINDS
    assert {row["kind"] for row in table("positions")} <= KINDS


def test_headings() -> None:
    assert list(table("parts")[0]) == CANONICAL
    assert set(SHELF_HEADINGS.values()) <= set(CANONICAL)
    assert set(table("shelf")[0]) - set(SHELF_HEADINGS) == {"Plug"}
    assert list(table("fits")[0]) == ["sensor part number", "unit part number"]


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_row_has_as_many_cells_as_the_head(sheet: str) -> None:
    with sheet_file(sheet) as path, path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.reader(lines, delimiter=";" if sheet == "shelf" else ",", strict=True))
    assert {len(row) for row in rows} == {len(rows[0])}
    assert len(rows) > 1


@pytest.mark.parametrize("sheet", SHEETS)
def test_dates_are_dates_and_past(sheet: str) -> None:
    for row in shelf() if sheet == "shelf" else table(sheet):
        for column in DATE_COLUMNS & set(row):
            if row[column]:
                assert parse_when(row[column]).latest <= LIST_DAY, row


def test_dates_are_vague_in_many_ways() -> None:
    written = [row.get("acquired on", "") for row in all_parts()]
    for form in ("~", "?", "%", "X", "/", "-21", "-22"):
        assert any(form in told for told in written), form


def test_nothing_is_valued_or_read_before_it_came() -> None:
    for row in all_parts():
        if row.get("value on") and row.get("acquired on"):
            assert parse_when(row["acquired on"]).earliest <= parse_when(row["value on"]).latest, row


def test_the_yard_sold_nothing_after_it_closed() -> None:
    closed = next(row["note"] for row in table("contacts") if row["name"] == "Gribbling's yard")
    assert closed == "closed in 2019"
    for row in all_parts():
        if row.get("acquired from") == "Gribbling's yard":
            assert parse_when(row["acquired on"]).latest.year <= 2019, row


def test_numbers_are_not_used_twice() -> None:
    twice = [name for name, count in Counter(name_of(row) for row in all_parts()).items() if count > 1 and name[2]]
    assert twice == []


def test_tags_are_left_to_the_program() -> None:
    assert {row["tag"] for row in table("parts")} == {""}


def test_words_are_those_of_the_trade() -> None:
    rows = all_parts()
    assert {row["whose"] for row in rows} == {"own", "customer's", "lent in"}  # lent out: see provenance
    assert {row.get("value basis", "") for row in rows} - {""} <= BASES
    assert {row["basis"] for row in table("values")} <= BASES
    assert {row["condition"] for row in rows} <= {"", "0", "1", "2", "3"}
    assert {row["state"] for row in table("seals")} <= {"intact", "disturbed", "missing", "renewed"}
    assert {row.get("value currency", "") for row in rows} == {"", "EUR", "GBP", "SEK"}


def test_amounts_have_a_currency() -> None:
    for row in all_parts():
        for amount in ("price", "value"):
            assert bool(row.get(amount)) == bool(row.get(f"{amount} currency")), row


@pytest.mark.parametrize("sheet", ["letters", "seals", "values", "provenance", "work"])
def test_every_part_referred_to_is_on_a_list(sheet: str) -> None:
    assert {name_of(row) for row in table(sheet)} <= KNOWN


def test_every_number_that_fits_is_known() -> None:
    numbers = {row["kind"]: set[str]() for row in all_parts()}
    for row in all_parts():
        numbers[row["kind"]].add(row["part number"])
    assert {row["sensor part number"] for row in table("fits")} == numbers["pressure sensor"]
    assert {row["unit part number"] for row in table("fits")} == numbers["control unit"]


def test_positions_are_places_on_a_car_of_ours() -> None:
    listed = Counter((row["car"], row["position"]) for row in table("positions"))
    assert set(listed.values()) == {1}
    assert {car for car, _ in listed} == {row["car"] for row in table("cars")}
    for row in [row for row in all_parts() if row.get("position")]:
        assert (row["car"], row["position"]) in listed, row


def test_what_stands_at_a_position_has_its_kind_and_number() -> None:
    belongs = {
        (row["car"], row["position"]): (row["kind"], row["maker"], row["part number"]) for row in table("positions")
    }
    for row in all_parts():
        if row.get("position"):
            assert belongs[row["car"], row["position"]] == (row["kind"], row["maker"], row["part number"]), row


def test_places_and_people_are_described() -> None:
    places = {row["place"] for row in table("places")}
    assert {row.get("place", "") for row in all_parts()} - {""} <= places
    contacts = {row["name"] for row in table("contacts")}
    assert {row["party"] for row in table("provenance") if row["how"] in {"sold", "lent out", "lent in"}} <= contacts


def test_the_pairs_make_a_story() -> None:
    letters = {kind: Counter(row.get("match code", "") for row in all_parts() if row["kind"] == kind) for kind in KINDS}
    sensors, units = letters["pressure sensor"], letters["control unit"]
    assert set(sensors) & set(units) - {""} >= {
        "K",
        "C",
        "E",
        "H",
        "M",
        "T",
        "V",
    }  # equal letters, each with its own doubt
    assert sensors["C"] == 2
    assert units["C"] == 1
    assert units["O or Q"] == 1  # the worn letter, with a sensor O and a sensor Q to choose from
    assert sensors["O"] == sensors["Q"] == 1
    assert sensors[""] > 0 < units[""]
    assert set(units) - set(sensors) >= {"W", "P", "Y"}  # left over
    assert {row["state"] for row in table("letters")} == {"unreadable", "label gone", "not looked at"}


def test_comings_and_goings() -> None:
    told = {(row["how"], row["serial"]) for row in table("provenance")}
    assert {how for how, _ in told} >= {"sold", "lent out", "lent in", "left here by a customer", "came with a car"}
    recent = [row for row in all_parts() if row.get("acquired on", "") >= "2026-03"]
    assert [row["serial"] for row in recent] == ["70-39455"]
    assert strip_down().on <= LIST_DAY.isoformat()
