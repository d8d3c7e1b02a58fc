"""Thousands of rows may share a serial, as "0000 X": they are told apart by number, and not each held against each."""

from __future__ import annotations

import pytest

from inventory.sheets.plan import duplicates, match
from inventory.sheets.plan.match import Matched, by_tag_or_serial
from inventory.sheets.plan.on_record import Identity
from inventory.sheets.plan.part_cells import PartCells

MANY = 3000


@pytest.fixture
def compared(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How often a row was held against a part."""
    count = [0]
    may_be = match.may_be

    def counted(cells: PartCells, part: Identity) -> bool:
        count[0] += 1
        return may_be(cells, part)

    monkeypatch.setattr(match, "may_be", counted)
    monkeypatch.setattr(duplicates, "may_be", counted)
    return count


def row(number: int, serial: str = "0000 X") -> PartCells:
    return PartCells(kind="relay", maker="Ostrell", part_number=f"HV {number}", serial=serial)


def test_rows_that_share_a_serial_are_told_apart_by_number(compared: list[int]) -> None:
    rows = [row(number) for number in range(MANY)]
    known = [Identity(number + 1, f"T{number}", "relay", "Ostrell", f"HV {number}", "0000 X") for number in range(MANY)]

    assert by_tag_or_serial(rows, known) == [Matched(number + 1) for number in range(MANY)]
    assert by_tag_or_serial(rows, []) == [Matched(None)] * MANY
    found = duplicates.likely_duplicates([row(0, "00O0 X"), *rows], [Matched(None)] * (MANY + 1), known)
    assert {(each.place, each.tag, each.row) for each in found} == {(0, "T0", None), (1, None, 0)}
    assert compared[0] < 10 * MANY


@pytest.mark.parametrize(
    ("rows", "twice"),
    [
        ([row(1), row(2)], []),
        ([row(1), row(1)], [0, 1]),
        ([row(1), PartCells(kind="relay", serial="0000 X"), row(2)], [0, 1, 2]),
        ([row(1), PartCells(kind="injector", serial="0000 X")], []),
        ([row(1), PartCells(kind="relay", maker="Murnebeck", part_number="HV 1", serial="0000 X")], []),
    ],
)
def test_rows_that_may_be_one_part_are_refused(rows: list[PartCells], twice: list[int]) -> None:
    found = by_tag_or_serial(rows, [])

    assert [place for place, each in enumerate(found) if each is not None and each.problem] == twice
