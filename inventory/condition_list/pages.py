"""The other sheets of the workbook as tables of cells: tests and seals, values, gaps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from inventory.condition_list.table import COLUMNS, Cell, Column, day_cells, money, row_of
from inventory.condition_list.words import NOT_KNOWN, VERDICTS

if TYPE_CHECKING:
    from inventory.condition_list.values import ConditionList

__all__ = ["GAPS", "TESTS_AND_SEALS", "VALUES", "check_rows", "gap_rows", "tables_of", "test_rows", "value_rows"]

_ITEM = (Column("No.", 5), Column("Tag", 11), Column("What", 20))

TESTS_AND_SEALS = (
    *_ITEM,
    Column("Test or seal", 20),
    Column("Found", 12),
    Column("In words", 50),
    Column("On", 11),
    Column("Earliest", 11),
    Column("Latest", 11),
    Column("By", 16),
    Column("How known", 11),
    Column("Fact", 16),
)
VALUES = (
    *_ITEM,
    Column("Amount", 12),
    Column("Currency", 9),
    Column("Basis", 14),
    Column("On this list's basis", 10),
    Column("Stated by", 24),
    Column("In what capacity", 16),
    Column("Standing", 18),
    Column("Paper", 14),
    Column("On", 11),
    Column("Earliest", 11),
    Column("Latest", 11),
    Column("Older than 3 years", 10),
    Column("Fact", 14),
)
GAPS = (*_ITEM, Column("Not known", 110))


def tables_of(drawn: ConditionList) -> Iterator[tuple[str, list[str], Iterable[list[Cell]]]]:
    """Every table of the workbook: its name, titles and rows. The fingerprint covers their cells."""
    yield "Items", [column.title for column in COLUMNS], (row_of(item, drawn.basis) for item in drawn.items)
    for name, columns, rows in (
        ("Tests and seals", TESTS_AND_SEALS, test_rows(drawn)),
        ("Values", VALUES, value_rows(drawn)),
        ("Gaps", GAPS, gap_rows(drawn)),
    ):
        yield name, [column.title for column in columns], rows


def check_rows(drawn: ConditionList) -> list[tuple[str, str]]:
    """The lines to check a list by, as label and text; they are in every file."""
    return [*drawn.check.items(), ("Fingerprint", drawn.fingerprint)]


def test_rows(drawn: ConditionList) -> list[list[Cell]]:
    """One row for each run and each look at a seal, item by item."""
    rows: list[list[Cell]] = []
    for item in drawn.items:
        head: list[Cell] = [item.number, item.tag, item.kind]
        found = [(f"test: {run.procedure}", VERDICTS[run.verdict], run.sentence, run.when) for run in item.runs]
        found += [
            (f"seal: {seal.seal}", seal.state, "with a paper" if seal.document else "no paper", seal.when)
            for seal in item.seals
        ]
        rows += [
            [*head, what, result, says, *day_cells(when), when.by, when.how_known, when.fact]
            for what, result, says, when in found
        ]
    return rows


def value_rows(drawn: ConditionList) -> list[list[Cell]]:
    """One row for each stated value, on any basis, item by item."""
    return [
        [
            item.number,
            item.tag,
            item.kind,
            money(value),
            value.currency,
            value.basis,
            "yes" if value == item.value else "no",
            value.source or NOT_KNOWN,
            value.capacity or NOT_KNOWN,
            value.standing,
            value.document or "none",
            *day_cells(value.when),
            "yes" if value.stale else "no",
            value.when.fact,
        ]
        for item in drawn.items
        for value in item.values
    ]


def gap_rows(drawn: ConditionList) -> list[list[Cell]]:
    """One row for each item with gaps."""
    said: dict[int, list[str]] = defaultdict(list)
    for gap in drawn.gaps:
        said[gap.item].append(gap.says)
    return [
        [item.number, item.tag, item.kind, "; ".join(said[item.number])] for item in drawn.items if said[item.number]
    ]
