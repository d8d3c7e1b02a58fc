"""Fourteen invented owners' sheets: how many rows are in after a trial and few answers, and whether any cell is lost.

The truth of each cell stands beside it (`tests.owners.owner`). `KNOWN` is how far each sheet is from the goal of the issue
(nine rows in ten, five answers, nothing lost, wrong or guessed, nothing asked next month): a figure there may only get
better, and a sheet that is not there has reached the goal.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from inventory.card import card_of
from inventory.condition_list.actions import condition_list
from inventory.errors import Refused
from inventory.hardware.queries import stock
from inventory.parts.load_lines import find
from inventory.parts.queries import lines_of
from inventory.sheets import Report, SheetRefused, read_sheet
from inventory.store.record import Record
from inventory.verification import verify
from tests.owners.files import write_owner
from tests.owners.owner import Line, Owner, all_owners
from tests.owners.truth import judge, not_changed, parts_by_row, wanted_total

BY = "Ines"
OWNERS = {owner.name: owner for owner in all_owners()}
#: On PostgreSQL too: a csv, a workbook, a sheet with several parts a row.
BOTH_ENGINES = ("odenwald", "atelier", "yard")
CASES = [(name, "sqlite") for name in OWNERS] + [
    pytest.param(name, "postgres", marks=pytest.mark.postgres) for name in BOTH_ENGINES
]
MOST_ANSWERS = 5
#: A word of fewer characters finds no numbers.
SHORTEST = 3
GOAL = (0,) * 9
#: Rows not in beyond one in ten, cells lost, only kept, wrong, guessed; next month: questions, rows not read, parts too many, stale.
KNOWN: dict[str, tuple[int, ...]] = {}


class Found:
    """What became of one owner's sheets: this month's, and next month's read over it."""

    def __init__(self, owner: Owner, record: Record, folder: Path) -> None:
        self.owner, self.record, self.folder = owner, record, folder
        self.trial = self.read(trial=True, mapping=owner.maps)
        self.report = self.read(said=owner.answers, mapping=owner.maps, keep_answers=True, on=owner.options.get("on"))
        cards = self.cards()
        by_row = parts_by_row(cards)
        self.counts = judge(owner, owner.version(), by_row, self.told())
        self.own_numbers_found = self.found_by_own_number(cards)
        self.totals = self.listed()
        self.later = self.read(next_month=True)
        after = {card["tag"]: card for card in self.cards()}
        self.more = len(after) - len(cards) - sum(line.role == "new" for line in owner.lines) * owner.parts_each
        self.stale = [text for line, tag in _tags(owner, by_row) for text in not_changed(owner, line, after[tag])]

    @property
    def answers(self) -> int:
        return len(self.owner.answers) + len(self.owner.maps) + ("on" in self.owner.options)

    @property
    def asked_again(self) -> list[str]:
        """What next month's version asks, save what the owner left open: there what is taken without an answer counts.

        That a row is gone is news.
        """
        left = {each.key for each in self.report.questions}
        return [each.key for each in self.later.questions if each.key not in left and not each.key.startswith("gone/")]

    def read(self, *, next_month: bool = False, **options: Any) -> Report:
        path = write_owner(self.owner, self.folder, next_month=next_month)
        try:
            return read_sheet(
                self.record, path, BY, rejects=path.with_suffix(".rejects.xlsx"), overwrite=True, **options
            )
        except SheetRefused as refusal:
            return refusal.report
        except Refused as refusal:  # nothing in it could be read
            return Report(remarks=[refusal.message])

    def cards(self) -> list[dict[str, Any]]:
        with self.record.read() as session:
            return [card_of(session, line.tag).as_dict() for line in lines_of(session)]

    def told(self) -> str:
        """What is said beside the cards: by the report, and by the list of hardware."""
        with self.record.read() as session:
            hardware = " ".join(f"{each.item.key} {each} {each.place}" for each in stock(session))
        return json.dumps(self.report.as_dict(), ensure_ascii=False) + hardware

    def listed(self) -> dict[str, str]:
        """The totals of the condition list."""
        with self.record.read() as session:
            return {
                name: f"{Decimal(amount):.2f}"
                for name, amount in condition_list(session, basis="not stated").totals.items()
            }

    def found_by_own_number(self, cards: list[dict[str, Any]]) -> bool:
        numbered = [card for card in cards if len((card["own_numbers"] or [{"number": ""}])[0]["number"]) >= SHORTEST]
        with self.record.read() as session:
            return all(find(session, [card["own_numbers"][0]["number"]]).total for card in numbered[:3])

    @property
    def figures(self) -> tuple[int, ...]:
        """How far from the goal: rows not in beyond one in ten, cells lost, only kept, wrong, guessed; asked, refused, new and stale later."""
        counts = self.counts
        out = max(0, counts.rows - counts.rows_in - counts.rows // 10)
        wrong_total = self.totals != wanted_total(self.owner)
        return (
            out, len(counts.lost), len(counts.kept), len(counts.wrong) + wrong_total, len(counts.guessed),
            len(self.asked_again), self.later.refused + self.later.held, abs(self.more), len(self.stale),
        )  # fmt: skip

    def __str__(self) -> str:
        counts = self.counts
        lines = [
            f"{self.owner.name}: {counts.rows_in} of {counts.rows} rows in, {self.answers} answers, {self.figures}",
            *(f"  out {each}" for each in counts.out),
            *(f"  lost {each}" for each in counts.lost),
            *(f"  kept {each}" for each in counts.kept if "not in" not in each),
            *(f"  wrong {each}" for each in counts.wrong),
            *(f"  guessed {each}" for each in counts.guessed),
            *(f"  stale {each}" for each in self.stale),
            f"  totals {self.totals}, should be {wanted_total(self.owner)}",
            *(f"  open: {each.key} ({len(each.rows)} rows)" for each in self.report.questions),
            *(f"  asked again: {key}" for key in self.asked_again),
            *(
                f"  never asked: {key}"
                for key in self.owner.answers
                if key not in {each.key for each in self.trial.questions}
            ),
            *(f"  problem {each.sheet} {each.row} {each.column}: {each.problem}" for each in self.report.problems[:8]),
            *(
                f"  problem next month {each.sheet} {each.row} {each.column}: {each.problem}"
                for each in self.later.problems[:3]
            ),
            *(
                f"  header {head.header}: {head.column}, in doubt {head.doubt}"
                for sheet in self.report.sheets
                for head in sheet.headings
                if head.doubt or not head.column
            ),
            *(f"  remark {each}" for each in self.report.remarks[:6]),
        ]
        return "\n".join(lines)


def _tags(owner: Owner, by_row: dict[tuple[str, int], list[Any]]) -> Iterator[tuple[Line, str]]:
    for tab in owner.version():
        for line in tab.lines:
            for card in by_row.get((tab.name, line.number), []):
                yield line, card["tag"]


@pytest.mark.parametrize(("name", "engine_name"), CASES, indirect=["engine_name"])
def test_an_owners_sheet(name: str, record: Record, tmp_path: Path) -> None:
    found = Found(OWNERS[name], record, tmp_path)

    print(found)
    assert found.answers <= MOST_ANSWERS
    assert found.own_numbers_found
    assert verify(record).problems == ()
    floor = KNOWN.get(name, GOAL)
    assert all(now <= known for now, known in zip(found.figures, floor, strict=True)), found.figures
