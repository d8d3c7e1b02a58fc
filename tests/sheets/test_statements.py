"""A file of ten rows and one of thousands take the same number of SQL statements, whatever their rows say."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inventory.sheets.plan import carry_out
from inventory.sheets.writers.sheets import write_sheets
from inventory.store.journal import entries as journal
from tests.counted import counted
from tests.sheets.conftest import Desk

HEAD = [
    *("kind", "maker", "part number", "serial", "match code", "seal state", "condition", "car", "position", "place"),
    *(
        "acquired on",
        "acquired from",
        "price",
        "price currency",
        "value",
        "value currency",
        "value on",
        "notes",
        "Plug",
    ),
]
FEW, MANY, MOST = 10, 200, 1_500
#: Parts, places and sellers of the two files are not the same.
NAMES = {FEW: "A", MANY: "B", MOST: "D"}


@pytest.fixture(autouse=True)
def _one_lookup(monkeypatch: pytest.MonkeyPatch) -> None:
    """The journal looks the heads of chains up in pieces of its own."""
    monkeypatch.setattr(journal, "_LOOKUP_CHUNK", 100_000, raising=False)


def parts(count: int, *, month: str = "01") -> list[list[str]]:
    """Rows in which nearly every name is a new one, in each month another."""
    more, name = "" if month == "01" else "; more", NAMES.get(count, "C")
    return [
        [
            *("pressure sensor", f"Maker {row % 7}", f"HV {name} {row}", f"{name}{row:05}", "K"),
            *("intact" if month == "01" else "missing", str(row % 4), "Green tourer"),
            *(f"position {name} {row} {month}", f"shelf {name} {row} {month}", f"2019-{month}"),
            *(f"Seller {name} {row} {month}", f"{row + 1}", "EUR", f"{row + 2}{month}", "EUR", "2026-02-01"),
            *(f"note {row}{more}", f"plug {month}"),
        ]
        for row in range(count)
    ]


def unnumbered(count: int, more: int = 0) -> list[list[str]]:
    """Rows without a serial."""
    return [["relay", "Tolvranne", f"12 {NAMES[count]} {row}"] for row in range(count + more)]


def other_sheets(count: int) -> dict[str, list[list[str]]]:
    """Rows for every sheet but that of parts, each about a part, position or number of its own."""
    named, name = ["maker", "part number", "serial"], NAMES[count]
    about = [row[1:4] for row in parts(count)]
    return {
        "seals": [[*named, "seal", "state"], *([*each, "cap", "intact"] for each in about)],
        "values": [[*named, "amount", "currency", "on"], *([*each, "9", "EUR", "2026-02-02"] for each in about)],
        "provenance": [[*named, "how", "party"], *([*each, "found", f"Finder {each[2]}"] for each in about)],
        "runs": [[*named, "procedure", "readings"], *([*each, "hold", "0s=50cmHg; 10s=48cmHg"] for each in about)],
        "positions": [["car", "position", "kind"], *(["Blue coupe", f"{name} {row}", "relay"] for row in range(count))],
        "fits": [["sensor part number", "unit part number"], *([f"S{name}{row}", f"U{name}{row}"] for row in range(count))],
    }  # fmt: skip


def statements(desk: Desk, path: Path, **options: Any) -> int:
    with counted(desk.record) as count:
        desk.read(path, **options)
    return len(count)


def first_read(desk: Desk, count: int) -> int:
    return statements(desk, desk.csv([HEAD, *parts(count)]))


def trial(desk: Desk, count: int) -> int:
    return statements(desk, desk.csv([HEAD, *parts(count)]), trial=True)


def read_again(desk: Desk, count: int) -> int:
    path = desk.csv([HEAD, *parts(count)])
    desk.read(path)
    return statements(desk, path)


def read_next_month(desk: Desk, count: int) -> int:
    desk.read(desk.csv([HEAD, *parts(count)]))
    return statements(desk, desk.csv([HEAD, *parts(count, month="02")], "next.csv"))


def parts_without_serial(desk: Desk, count: int) -> int:
    desk.read(desk.csv([HEAD[:3], *unnumbered(count)]))
    return statements(desk, desk.csv([HEAD[:3], *unnumbered(count, 5)], "next.csv"))


def all_other_sheets(desk: Desk, count: int) -> int:
    desk.read(desk.csv([HEAD, *parts(count)]))
    return statements(desk, desk.book(**other_sheets(count)))


def refused_rows(desk: Desk, count: int) -> int:
    wrong = [["rely", *row[1:]] for row in parts(count)]
    return statements(desk, desk.csv([HEAD, *wrong]), rejects=desk.folder / f"bad {count}.xlsx")


@pytest.mark.parametrize(
    "case",
    [first_read, trial, read_again, read_next_month, parts_without_serial, all_other_sheets, refused_rows],
    ids=lambda case: case.__name__,
)
def test_few_rows_and_many_take_the_same_number(desk: Desk, case: Callable[[Desk, int], int]) -> None:
    desk.read(desk.csv([HEAD, *parts(1)]))  # enters who writes, and looks at the driver for the first time

    assert case(desk, FEW) == case(desk, MANY)


def test_many_rows_take_no_more_than_ten(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(carry_out, "_PARTS_AT_A_TIME", MOST)
    desk.read(desk.csv([HEAD, *parts(1)]))

    assert first_read(desk, MOST) == first_read(desk, FEW)


def test_each_further_chunk_takes_the_same_number(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(carry_out, "_PARTS_AT_A_TIME", 100)
    desk.read(desk.csv([HEAD, *parts(1)]))
    found = []
    for count in (100, 200, 300):
        monkeypatch.setitem(NAMES, count, f"N{count}")
        found.append(first_read(desk, count))

    assert found[2] - found[1] == found[1] - found[0] < 30


def test_writing_takes_the_same_number(desk: Desk) -> None:
    found = []
    for count in (FEW, MANY):
        desk.read(desk.csv([HEAD, *parts(count)]))
        desk.read(desk.book(**other_sheets(count)))
        with counted(desk.record) as counter:
            write_sheets(desk.record, desk.folder / f"{count}.json")
        found.append(len(counter))

    assert found[0] == found[1]
