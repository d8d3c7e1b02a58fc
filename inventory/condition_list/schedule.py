"""The schedule of a condition list: one line an item, at most eleven columns, to be read on a screen and on paper."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from inventory.condition_list.cells import Cell, Column, Money, day_cells
from inventory.condition_list.item_values import Item
from inventory.condition_list.table import looks_in_short
from inventory.condition_list.totals import WITH_MATE
from inventory.condition_list.words import DASH, NOT_KNOWN, VERDICTS
from inventory.contradictions.looks import TEST

if TYPE_CHECKING:
    from inventory.condition_list.values import ConditionList

__all__ = ["SCHEDULE", "schedule_rows"]

SCHEDULE = (
    Column("No.", 4.5),
    Column("Tag", 9),
    Column("What", 12),
    Column("Maker and number", 15),
    Column("Serial", 11),
    Column("Whose", 9),
    Column("Where", 15),
    Column("Looks", 11),
    Column("Works", 12),
    Column("Value [not added]", 13.5),
    Column("Valued on", 10),
)


def schedule_rows(drawn: ConditionList) -> Iterator[list[Cell]]:
    """One row for each item; its value is shown with its currency."""
    for item in drawn.items:
        premises = ", ".join(text for text in (item.where.premises, item.where.town) if text)
        yield [
            item.number,
            item.tag,
            item.kind,
            " ".join(text for text in (item.maker, item.part_number) if text) or NOT_KNOWN,
            item.serial_told or NOT_KNOWN,
            item.holder,
            item.where.says if item.where.state != "loose" else premises or "premises not known",
            looks_in_short(item),
            _works_in_short(item),
            Money(item.value, added=item.counted_in_total) if item.value else _no_value(item),
            day_cells(item.value.when)[0] if item.value else DASH,
        ]


def _no_value(item: Item) -> str:
    return "with its mate" if item.heading == WITH_MATE else "none stated"


def _works_in_short(item: Item) -> str:
    run = item.works
    if run is not None:
        return f"{VERDICTS[run.verdict]} {run.procedure} {run.when.on}"
    return "tests differ" if any(each.about.startswith(TEST) for each in item.contradictions) else NOT_KNOWN
