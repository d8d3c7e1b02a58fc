"""The plan of a read: what each row of a file would do to the record. A trial prints it, a read carries it out."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from inventory.sheets.differences import Change, differences
from inventory.sheets.layout import DataRow, SheetIn
from inventory.sheets.part_cells import PartCells
from inventory.sheets.problems import CellProblem, Problem
from inventory.sheets.queries import PartState
from inventory.store.text import clean

__all__ = ["Duplicate", "FactPlan", "PartPlan", "Plan", "PlanRow", "Verdict", "cleaned"]

Verdict = Literal["added", "changed", "unchanged", "refused"]
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


@dataclass(frozen=True, slots=True)
class PartPlan:
    """What is to be written of a part. `part` is its key, negative for a new one."""

    part: int
    cells: PartCells
    state: PartState
    changed: frozenset[str]


@dataclass(frozen=True, slots=True)
class FactPlan:
    """A fact to be written. `about`: a part's key (negative: a new one), a car and position, or two part numbers.

    `old` is the key of the fact whose place it takes, `told` how the day in `cells` was told.
    """

    sheet: str
    about: int | tuple[str, str]
    cells: dict[str, str]
    old: int | None = None
    told: str | None = None


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One row of data: where it stands, what is to become of it, and what changes in a fact."""

    sheet: SheetIn
    row: DataRow
    verdict: Verdict
    what: str
    fact_changes: tuple[Change, ...] = ()
    work: PartPlan | FactPlan | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def changes(self) -> tuple[Change, ...]:
        """Each change. Those of a part are worked out when they are looked at: kept, they would be most of a plan."""
        return differences(self.work.cells, self.work.state) if isinstance(self.work, PartPlan) else self.fact_changes

    def as_dict(self) -> dict[str, Any]:
        """The object that stands in `rows` of a trial."""
        changes = [{"column": each.column, "old": each.old, "new": each.new} for each in self.changes]
        place = {"sheet": self.sheet.name, "row": self.row.row}
        return {**place, "verdict": self.verdict, "what": self.what, "changes": changes}


@dataclass(frozen=True, slots=True)
class Duplicate:
    """A row whose serial looks like that of a part on record (`tag`), or of another row (its sheet and number)."""

    sheet: str
    row: int
    serial: str
    other_serial: str
    tag: str | None
    other: tuple[str, int] | None

    @property
    def says(self) -> str:
        """The sentence for people, without the full stop."""
        whose = f"{self.tag}'s" if self.tag else "that of {}, row {}:".format(*(self.other or ("", 0)))
        return (
            f'{self.sheet}, row {self.row}: serial "{self.serial}" looks like {whose} "{self.other_serial}"; '
            "look at the part again, it may be the same one"
        )

    def as_dict(self) -> dict[str, Any]:
        """The object that stands in `likely_duplicates`."""
        other = {"sheet": self.other[0], "row": self.other[1]} if self.other else None
        return {
            "sheet": self.sheet,
            "row": self.row,
            "serial": self.serial,
            "looks_like": self.other_serial,
            "tag": self.tag,
            "other": other,
        }


@dataclass
class Plan:
    """All rows of a file in their order, and remarks on what was noticed."""

    sheets: list[SheetIn] = field(default_factory=list)
    rows: list[PlanRow] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    duplicates: list[Duplicate] = field(default_factory=list)

    @property
    def problems(self) -> list[Problem]:
        """What is wrong, in the order of the rows."""
        return [problem for row in self.rows for problem in row.problems]

    @property
    def refused(self) -> list[PlanRow]:
        """The rows that cannot be taken."""
        return [row for row in self.rows if row.verdict == "refused"]

    def counts(self) -> Counter[str]:
        """How many rows of each verdict."""
        return Counter(row.verdict for row in self.rows)

    def mapping(self) -> dict[str, str | None]:
        """Each header of the file and the column it was taken for; None: kept under its own name."""
        found: dict[str, str | None] = {}
        for sheet in self.sheets:
            found.update({each.header: each.column for each in sheet.headings if found.get(each.header) is None})
        return found

    def refuse(self, sheet: SheetIn, row: DataRow, what: str, problems: Sequence[CellProblem]) -> PlanRow:
        """A row that cannot be taken, and why."""
        placed = tuple(problem.at(sheet.name, row.row) for problem in problems)
        return PlanRow(sheet, row, "refused", what, problems=placed)


def cleaned(plan: Plan, sheet: SheetIn, row: DataRow) -> tuple[dict[str, str], dict[str, str]]:
    """The cells of a row that are not empty, without control characters and outer blanks; removals are noted."""
    return dict(_clean(plan, sheet, row, row.values)), dict(_clean(plan, sheet, row, row.extra))


def _clean(plan: Plan, sheet: SheetIn, row: DataRow, cells: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    for column, text in cells.items():
        if text.isprintable() and text[0] != " " != text[-1]:
            yield column, text
            continue
        if _CONTROLS.search(text):
            plan.remarks.append(f"{sheet.name}, row {row.row}: control characters were removed from {column}")
        if kept := clean(text):
            yield (clean(column), kept)
