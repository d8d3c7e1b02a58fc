"""Every table of a list as cells: schedule and items, and what stands behind them, a sheet of the workbook each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from inventory.condition_list.cells import Cell, Column, day_cell, day_cells, money
from inventory.condition_list.item_values import Item
from inventory.condition_list.schedule import SCHEDULE, schedule_rows
from inventory.condition_list.table import columns, row_of
from inventory.condition_list.words import DASH, NOT_KNOWN, VERDICTS
from inventory.given_out.anchors import NOT_GIVEN

if TYPE_CHECKING:
    from inventory.condition_list.values import ConditionList

__all__ = ["ANCHOR", "ENTRIES", "check_rows", "tables_of"]

#: The lines with the record's anchor, which the fingerprint does not cover.
ANCHOR, ENTRIES = "Record's anchor", "after so many entries"

_ITEM = (Column("No.", 5), Column("Tag", 10), Column("What", 16))

_TESTS_AND_SEALS = (
    *_ITEM,
    Column("Test or seal", 18),
    Column("Found", 11),
    Column("In words", 46),
    Column("On", 10.5, begins=True),
    Column("Earliest", 10.5),
    Column("Latest", 10.5),
    Column("Recorded on", 10.5),
    Column("By", 13),
    Column("How known", 13),
    Column("Fact", 17),
)
_VALUES = (
    *_ITEM,
    Column("Amount", 13),
    Column("Currency", 9),
    Column("Basis", 13),
    Column("Shown as the item's value", 9),
    Column("Tax", 9),
    Column("For the pair with", 10),
    Column("Stated by", 24, begins=True),
    Column("In what capacity", 16),
    Column("Standing", 18),
    Column("Paper", 13),
    Column("On", 10.5, begins=True),
    Column("Earliest", 10.5),
    Column("Latest", 10.5),
    Column("Recorded on", 10.5),
    Column("Older than 3 years", 9),
    Column("Fact", 14),
)
_EVIDENCE = (
    Column("No.", 5),
    Column("Document", 14),
    Column("Shows", 16),
    Column("Picture", 8),
    Column("Date", 10.5),
    Column("Attached by", 14),
    Column("Pages or size", 13),
    Column("First 16 signs of its SHA-256", 20),
    Column("Items no.", 22),
)
_GAPS = (*_ITEM, Column("Rank", 10), Column("Not known", 50), Column("Why it matters", 32))
_NOT_SHOWN = (*_ITEM, Column("Whose", 14), Column("Where", 24), Column("Nothing says that it was here by the day", 52))
_CHANGES = (
    Column("Tag", 10),
    Column("Came, went, changed", 14),
    Column("What", 22),
    Column("Was", 37),
    Column("Is", 37),
)
_LATER = (
    Column("Tag", 10),
    Column("Item no.", 8),
    Column("Happened", 14),
    Column("What it says", 60),
    Column("So on", 14),
    Column("Recorded on", 12),
)


def tables_of(drawn: ConditionList) -> Iterator[tuple[str, Sequence[Column], Iterable[Sequence[Cell]]]]:
    """Every table of the workbook: its name, columns and rows. The fingerprint covers their cells."""
    audience = drawn.options.audience
    yield "Schedule", SCHEDULE, schedule_rows(drawn)
    yield "Items", columns(audience), (row_of(item, drawn.basis, audience) for item in drawn.items)
    for name, titles, rows in (
        ("Tests and seals", _TESTS_AND_SEALS, _test_rows(drawn)),
        ("Values", _VALUES, _value_rows(drawn)),
        ("Evidence", _EVIDENCE, _evidence_rows(drawn)),
        ("Gaps", _GAPS, _gap_rows(drawn)),
        ("Not shown here", _NOT_SHOWN, _not_shown_rows(drawn)),
        ("Changes", _CHANGES, _change_rows(drawn)),
        ("Recorded later", _LATER, _later_rows(drawn)),
    ):
        yield name, titles, _or_none(rows, len(titles))


def _or_none(rows: Iterable[list[Cell]], width: int) -> Iterator[list[Cell]]:
    """The rows; if there are none, one that says so."""
    found = False
    for row in rows:
        found = True
        yield row
    if not found:
        yield ["none", *[DASH] * (width - 1)]


def check_rows(drawn: ConditionList) -> list[tuple[str, str]]:
    """The lines to check a list by, as label and text; they are in every file."""
    state = drawn.state
    if state.problems:
        return [(state.mark, NOT_GIVEN)]
    anchor = [(ANCHOR, state.anchor.text), (ENTRIES, str(state.anchor.size))] if state.anchor else []
    return [*drawn.check.items(), ("Fingerprint", drawn.fingerprint), *anchor]


def _test_rows(drawn: ConditionList) -> Iterator[list[Cell]]:
    """One row for each run and each look at a seal, item by item."""
    for item in drawn.items:
        found = [(f"test: {run.procedure}", VERDICTS[run.verdict], run.sentence, run.when) for run in item.runs]
        found += [
            (f"seal: {seal.seal}", seal.state, "with a paper" if seal.document else "no paper", seal.when)
            for seal in item.seals
        ]
        for what, result, says, when in found:
            days = *day_cells(when), day_cell(when.recorded_on)
            yield [*_head(item), what, result, says, *days, when.by, when.how_known, when.fact]


def _value_rows(drawn: ConditionList) -> Iterator[list[Cell]]:
    """One row for each stated value, on any basis, item by item."""
    for item in drawn.items:
        for value in item.values:
            yield [
                *_head(item),
                money(value),
                value.currency,
                value.basis,
                "yes" if value == item.value else "no",
                value.tax or NOT_KNOWN,
                value.with_tag or DASH,
                value.source or NOT_KNOWN,
                value.capacity or NOT_KNOWN,
                value.standing,
                value.document or "none",
                *day_cells(value.when),
                day_cell(value.when.recorded_on),
                "yes" if value.stale else "no",
                value.when.fact,
            ]


def _evidence_rows(drawn: ConditionList) -> Iterator[list[Cell]]:
    """One row for each picture and paper."""
    for each in drawn.evidence:
        items = ", ".join(map(str, each.items))
        picture = "yes" if each.picture else "no"
        yield [each.number, each.id, each.kind, picture, day_cell(each.on), each.by, each.extent, each.digest16, items]


def _gap_rows(drawn: ConditionList) -> Iterator[list[Cell]]:
    """The gaps that matter first, one row each; then all others, one row for each item."""
    kinds = {item.number: item.kind for item in drawn.items}
    for rank, gap in enumerate(drawn.top_gaps, 1):
        yield [gap.item, gap.tag, kinds[gap.item] or NOT_KNOWN, rank, gap.says, gap.why or DASH]
    said: dict[int, list[str]] = defaultdict(list)
    for gap in drawn.gaps[len(drawn.top_gaps) :]:
        said[gap.item].append(gap.says)
    for item in drawn.items:
        if said[item.number]:
            yield [*_head(item), "after these", "; ".join(said[item.number]), DASH]


def _not_shown_rows(drawn: ConditionList) -> Iterator[list[Cell]]:
    """The items of which nothing says that they were here by the day."""
    for item in drawn.items:
        if item.not_shown_here:
            counts = "counts all the same" if item.counted_in_total else f"not counted: {item.heading}"
            yield [*_head(item), item.holder, item.where.says, f"it is an item of this list; {counts}"]


def _change_rows(drawn: ConditionList) -> Iterator[list[Cell]]:
    """What came, went and changed since an earlier list."""
    if drawn.changes is None:
        yield [DASH, DASH, "no earlier list is compared", DASH, DASH]
        return
    since = f"since list no. {drawn.changes.since}"
    for happened, tags in (("came", drawn.changes.came), ("went", drawn.changes.went)):
        for tag in tags:
            yield [tag, happened, since, DASH, DASH]
    for each in drawn.changes.changed:
        yield [each.tag, "changed", each.what, each.was or NOT_KNOWN, each.now or NOT_KNOWN]


def _later_rows(drawn: ConditionList) -> Iterator[list[Cell]]:
    """What was recorded, corrected or taken back after the day of the list."""
    for each in drawn.later:
        number: Cell = each.item if each.item is not None else "not listed"
        yield [each.tag, number, each.happened, each.says, day_cell(each.so_on), day_cell(each.recorded_on)]


def _head(item: Item) -> list[Cell]:
    return [item.number, item.tag, item.kind or NOT_KNOWN]
