"""Draws what stands behind the items: remarks, gaps, what changed, what came later, evidence, texts in full."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.condition_list.values import Change, ConditionList
from inventory.condition_list.write_pdf_items import CutText
from inventory.printed.write_paper import LEAST, Paper
from inventory.printed.write_table import Column, Table, columns_for, labelled

__all__ = ["draw_annexes", "numbers_in_short"]

_NUMBER, _TAG = Column("No.", 10.0, "R"), Column("Tag", 18.0)


def draw_annexes(paper: Paper, drawn: ConditionList, cut: Sequence[CutText]) -> None:
    """The annexes, from a new page on; a table without rows says so in a sentence."""
    paper.add_page()
    paper.heading("Remarks and gaps")
    _table(
        paper,
        "Remarks",
        (_NUMBER, _TAG, Column("To note", 154)),
        [(str(item.number), item.tag, "; ".join(item.remarks)) for item in drawn.items if item.remarks],
        "No failed test, bad seal, work or contradiction is on record.",
    )
    _table(
        paper,
        "The ten gaps that matter first",
        (_NUMBER, _TAG, Column("Not known", 84), Column("Why it matters", 70)),
        [(str(gap.item), gap.tag, gap.says, gap.why or "–") for gap in drawn.top_gaps],
        "No gap is known.",
    )
    _gaps_by_sort(paper, drawn)
    _table(
        paper,
        "Items of which nothing says that they were here by the day",
        (_NUMBER, _TAG, Column("What", 70), Column("Last seen", 84)),
        [
            (str(item.number), item.tag, item.kind, item.last_seen.when.on if item.last_seen else "not known")
            for item in drawn.items
            if item.not_shown_here
        ],
        "None.",
    )
    _changes(paper, drawn)
    _table(
        paper,
        f"Recorded, corrected or taken back after {drawn.as_of}",
        (
            Column("No.", 10, "R"),
            _TAG,
            Column("What happened", 24),
            Column("What it says", 84),
            Column("So on", 23),
            Column("Recorded", 23),
        ),
        [
            (str(each.item or "–"), each.tag, each.happened, each.says, each.so_on, each.recorded_on)
            for each in drawn.later
        ],
        "Nothing.",
        level=0,
    )
    _evidence(paper, drawn)
    _texts(paper, cut)


def _table(
    paper: Paper,
    title: str,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    without: str,
    *,
    level: int = 1,
) -> None:
    paper.heading(title, 13 if level == 0 else 11, level=level)
    if not rows:
        paper.words(without, LEAST, lines=0)
        return
    table = Table(paper, columns)
    for row in rows:
        table.row(row)
    table.close()


def _gaps_by_sort(paper: Paper, drawn: ConditionList) -> None:
    """The other gaps, one row for each sort with the numbers of the items: a thousand rows would hide the ten."""
    items: dict[str, list[int]] = {}
    for gap in drawn.gaps[len(drawn.top_gaps) :]:
        items.setdefault(gap.sort or gap.says, []).append(gap.item)
    if items:
        rows = [(sort, str(len(found)), numbers_in_short(found)) for sort, found in items.items()]
        columns = (Column("Not known", 70), Column("Items", 14, "R"), Column("Their numbers", 98))
        _table(paper, "The other gaps, by what is not known", columns, rows, "")


def numbers_in_short(numbers: Sequence[int]) -> str:
    """Numbers with those that follow each other as a range: 1-3, 7."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in runs)


def _changes(paper: Paper, drawn: ConditionList) -> None:
    changes = drawn.changes
    if changes is None:
        paper.heading("Changes")
        paper.words("No earlier list was given out, so nothing is compared.", LEAST, lines=0)
        return
    paper.heading(f"Changes since list no. {changes.since}")
    labelled(paper, [("Came", ", ".join(changes.came) or "none"), ("Went", ", ".join(changes.went) or "none")])
    columns = (_TAG, Column("What", 34), Column("Was", 65), Column("Is", 65))
    _table(paper, "Changed", columns, [_changed(each) for each in changes.changed], "Nothing changed.")


def _changed(change: Change) -> tuple[str, ...]:
    return change.tag, change.what, change.was, change.now


def _evidence(paper: Paper, drawn: ConditionList) -> None:
    titles = ("No.", "Shows", "Document", "On", "By", "Extent", "Digest (first 16)", "Items")
    rows = [
        (
            str(entry.number),
            entry.kind,
            entry.id,
            entry.on,
            entry.by,
            entry.extent,
            entry.digest16,
            numbers_in_short(entry.items),
        )
        for entry in drawn.evidence
    ]
    columns = columns_for(
        paper, titles, rows or [titles], right={"No.", "Items"}, firm={"No.", "Document", "On", "Digest (first 16)"}
    )
    _table(paper, "Evidence index", columns, rows, "No picture and no paper is on record.", level=0)


def _texts(paper: Paper, cut: Sequence[CutText]) -> None:
    if not cut:
        return
    columns = (_NUMBER, _TAG, Column("Line", 24), Column("Text", 130))
    _table(
        paper,
        "Texts in full",
        columns,
        [(str(each.item), each.tag, each.label, each.text) for each in cut],
        "",
        level=0,
    )
