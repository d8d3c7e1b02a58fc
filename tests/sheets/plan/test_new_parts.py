"""New parts are built straight from their cells; what the general way, by their facts, makes of them is the same."""

from __future__ import annotations

from random import Random

import pytest

from inventory.money import BASES
from inventory.parts.markings import CODE_STATES, READ_FROM
from inventory.provenance.actions import WHOSE
from inventory.seals.states import STATES
from inventory.verification import verify
from tests.sheets.conftest import Desk

#: What may stand in each column; an empty cell most of the time.
CELLS: dict[str, tuple[str, ...]] = {
    "kind": ("relay", "pressure sensor", "Drucksensor", "other"),
    "maker": ("Ostrell", "Östrell & Söhne", "1.5"),
    "part number": ("HV 204-118", "0012", "=7", "ﬁ 9"),
    "date code": ("22/71",),
    "match code": ("K", "k ", *CODE_STATES[1:], "unlesbar"),
    "match code read from": ("part", *READ_FROM),
    "marks": ("dot of yellow paint", "_x0041_"),
    "seal": ("Cap", "label", "intact"),
    "seal state": STATES,
    "condition": ("0", "1", "2", "3"),
    "car": ("Green tourer", "blue  coupe"),
    "position": ("Left wing", "left-wing", "right"),
    "place": ("A1", "a-1", "shelf ß"),
    "whose": WHOSE,
    "acquired on": ("2019-05", "ca. 1998", "03.04.2019"),
    "acquired from": ("Odo Fimber", "odo  fimber"),
    "price": ("310 EUR", "€ 1.250,50"),
    "value": ("850.00 EUR", "0.5 GBP"),
    "value basis": BASES,
    "value on": ("2026-02-01", "1998~"),
    "notes": ("one stud bent", 'a "quoted" note;\n two lines'),
    "Plug": ("grey", "schwarz"),
    "whose was it": ("ours", "own"),
}


def cells(random: Random, serial: int) -> list[str]:
    row = {column: random.choice(texts) if random.random() < 0.5 else "" for column, texts in CELLS.items()}
    row["kind"] = random.choice(CELLS["kind"])
    if not row["car"]:
        row["position"] = ""
    if row["seal"] in ("Cap", "label") and not row["seal state"]:
        row["seal state"] = "intact"
    return [f"S-{serial}" if random.random() < 0.8 else random.choice(("", "none", "unleserlich")), *row.values()]


@pytest.mark.parametrize("seed", range(6))
def test_the_two_ways_agree(desk: Desk, seed: int) -> None:
    random = Random(seed)
    rows = [cells(random, serial) for serial in range(120)]

    report = desk.read(desk.csv([["serial", *CELLS], *rows]))

    assert report.added == len(rows)
    assert verify(desk.record).problems == ()


def test_a_part_that_another_sheet_says_more_about_goes_the_general_way(desk: Desk) -> None:
    named = ["maker", "part number", "serial"]
    about = ["Ostrell", "HV 204 118", "71-40822"]
    book = desk.book(
        seals=[[*named, "seal", "state"], [*about, "label", "disturbed"]],
        parts=[["kind", *named, "seal", "seal state", "whose"], ["relay", *about, "cap", "intact", "lent in"]],
    )

    assert desk.read(book).added == 2

    line = desk.card().line
    assert (line.seal_state, line.whose) == ("disturbed", "lent in")
    assert desk.fits()
    desk.again(book)
