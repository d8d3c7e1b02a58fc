"""The plan of a read: what each row of a file would change. A trial shows it, a read carries it out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from inventory.facts.declare import FactDraft, FactKind
from inventory.sheets.columns.cells import CUT_BEFORE, cleaned
from inventory.sheets.columns.layout import Answers, SheetLayout
from inventory.sheets.columns.leaving import Leaving
from inventory.sheets.columns.questions import SheetQuestion
from inventory.sheets.plan.differences import Change, differences
from inventory.sheets.plan.likely import Duplicate, NearInFile
from inventory.sheets.plan.on_record import PartState
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.problems import CellProblem, Problem
from inventory.sheets.readers.tables import Row
from inventory.store.days.dates import When
from inventory.store.tables import Base
from inventory.store.words.text import CUT

__all__ = [
    "FactPlan",
    "ListPlan",
    "PartPlan",
    "Plan",
    "PlanRow",
    "TableRead",
    "Verdict",
    "describe",
    "place_in_file",
    "refuse_row",
]

Verdict = Literal["added", "changed", "unchanged", "refused"]
_MOST_CHANGED: tuple[Verdict, ...] = ("unchanged", "changed", "added", "refused")


@dataclass(slots=True)
class PartPlan:
    """What a row writes about a part. `part` is its key, negative for a new part.

    `changed`: the known columns that differ from the record; empty for a new part, of which everything is new.
    `at`: the sheet and row. `day`: up to which day its table was kept, if not that of the file. `bought`: the headers
    of the sheet say that its parts were bought.
    """

    part: int
    cells: PartCells
    state: PartState
    changed: frozenset[str] = frozenset()
    at: str = ""
    day: When | None = None
    bought: bool = False

    @property
    def look(self) -> tuple[str, When] | None:
        """Who looked and on which day, if the row says both."""
        return self.cells.look


@dataclass(frozen=True, slots=True)
class FactPlan:
    """A fact to be written: its kind, what was settled of it, the key of the part (negative if new) or other thing.

    `when`: None for the day of the read. `old` is the key of the fact that it supersedes. `look`: who looked and on
    which day, if the row says both. `at`: the sheet and row. `written_as`: its id in the record that wrote the file.
    `read_now`: the keys of the cells kept as text that the row can be read for by now.
    """

    kind: FactKind
    draft: FactDraft
    part: int
    when: When | None
    how_known: str
    old: int | None = None
    look: tuple[str, When] | None = None
    at: str = ""
    written_as: str = ""
    day: When | None = None
    read_now: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class ListPlan:
    """A fact of a list to be written. `about`: a car and position, or two part numbers.

    `when`: None for the day of the read. `old` is the key of the fact that it supersedes. `at`: the sheet and row.
    """

    sheet: str
    about: tuple[str, str]
    cells: dict[str, str]
    when: When | None = None
    old: int | None = None
    at: str = ""
    day: When | None = None


@dataclass(slots=True)
class PlanRow:
    """One row of data: its place, its verdict, its work, and the problems if it is refused.

    `about` describes a row without a `PartPlan`; `fact_changes` are the changes of a row of facts. `unread`: the cells
    that cannot be read and are kept as text; `beside`: the facts that keep those of a row of facts.
    """

    sheet: SheetLayout
    row: Row
    verdict: Verdict
    work: PartPlan | FactPlan | ListPlan | None = None
    about: str = ""
    fact_changes: tuple[Change, ...] = ()
    problems: tuple[Problem, ...] = ()
    unread: tuple[Problem, ...] = ()
    beside: tuple[FactPlan, ...] = ()

    @property
    def what(self) -> str:
        """What the row is about in a few words: a tag, or what is marked on the part."""
        return describe(self.work.cells, self.work.state) if isinstance(self.work, PartPlan) else self.about

    @property
    def changes(self) -> tuple[Change, ...]:
        """Each change. Those of a part are computed on demand: stored, they would be most of a plan."""
        return differences(self.work.cells, self.work.state) if isinstance(self.work, PartPlan) else self.fact_changes

    def as_dict(self) -> dict[str, Any]:
        """The object in `rows` of a trial."""
        changes = [{"column": each.column, "old": each.old, "new": each.new} for each in self.changes]
        place = {"sheet": self.sheet.name, "row": self.row.number}
        return {**place, "verdict": self.verdict, "what": self.what, "changes": changes}


def place_in_file(sheet: SheetLayout, row: Row) -> str:
    """Where a row is: its sheet and number."""
    return f"{sheet.name}, row {row.number}"


def describe(cells: PartCells, state: PartState) -> str:
    """A part in a few words: its tag, or what is marked on it."""
    if state.tag or cells.tag:
        return state.tag or cells.tag or ""
    return " ".join(word for word in (cells.kind, cells.maker, cells.part_number, cells.serial) if word)


def refuse_row(sheet: SheetLayout, row: Row, about: str, problems: Sequence[CellProblem]) -> PlanRow:
    """A row that cannot be read, and why."""
    placed = tuple(problem.at(sheet.name, row.number) for problem in problems)
    return PlanRow(sheet, row, "refused", about=about, problems=placed)


@dataclass
class TableRead:
    """What became of one table of parts: the keys of the parts that its rows are (negative: new ones).

    `refused`: the parts of rows that are refused; `unmatched`: the kinds of refused rows of which no part is known;
    `last`: the last version of it on record, if there is one (`readings.Reading`).
    """

    sheet: SheetLayout
    parts: list[int] = field(default_factory=list)
    refused: list[int] = field(default_factory=list)
    unmatched: set[str | None] = field(default_factory=set)
    last: Any = None


@dataclass
class Plan:
    """All rows of a file (`file`: its name) in their order, remarks for the user, the answers given, what is asked.

    `elsewhere`: the file is the workbook of another record. `new`: the rows that make things of the file, by their key.
    `renumbered`: the ids of facts in that record, each with the id that the fact has here.
    `day`: up to which day the file was kept; None for the day of the read. `tables`: the tables of parts; `leavings`:
    parts that are said to have left though no row speaks of them (key, how, where it says so).
    """

    sheets: list[SheetLayout] = field(default_factory=list)
    rows: list[PlanRow] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    duplicates: list[Duplicate] = field(default_factory=list)
    near_names: list[NearInFile] = field(default_factory=list)
    file: str = ""
    answers: Answers = field(default_factory=Answers)
    day: When | None = None
    questions: list[SheetQuestion] = field(default_factory=list)
    elsewhere: bool = False
    new: dict[int, list[Base]] = field(default_factory=dict)
    renumbered: dict[str, str] = field(default_factory=dict)
    tables: list[TableRead] = field(default_factory=list)
    leavings: list[tuple[int, Leaving, str]] = field(default_factory=list)

    def values_of(self, sheet: SheetLayout, row: Row) -> dict[str, str]:
        """The cells of a row under recognised columns, cleaned, empty ones left out; removed characters are noted."""
        found = {}
        for column, text in sheet.values(row.cells).items():
            if plain := self._clean(sheet, row, column, text):
                found[column] = plain
        for column, text in sheet.own_values(row.cells).items():
            self._clean(sheet, row, column, text)
        return found

    def _clean(self, sheet: SheetLayout, row: Row, column: str, text: str) -> str:
        value = sheet.kind.values.get(column)
        plain, controls = cleaned(text, lines=value is not None and value.free)
        if controls:
            self.remarks.append(f"{sheet.name}, row {row.number}: control characters were removed from {column}")
        if plain.endswith(CUT):
            self.remarks.append(f"{sheet.name}, row {row.number}: {CUT_BEFORE}")
            return ""
        return plain

    @property
    def problems(self) -> list[Problem]:
        """What is wrong, in the order of the rows."""
        return [problem for row in self.rows for problem in row.problems]

    @property
    def unread(self) -> list[Problem]:
        """The cells that are kept as text, in the order of the rows."""
        return [problem for row in self.rows for problem in row.unread]

    @property
    def refused(self) -> list[PlanRow]:
        """The rows that cannot be read."""
        return [row for row in self.rows if row.verdict == "refused"]

    def counts(self) -> Counter[str]:
        """How many rows of the file of each verdict; a row of several parts is what the most changed of them is."""
        if not any(sheet.shares for sheet in self.sheets):
            return self.parts_counts()
        most: dict[tuple[int, int], Verdict] = {}
        for row in self.rows:
            at = row.sheet.source if row.sheet.shares else -1 - id(row.sheet), row.row.number
            most[at] = max(most.get(at, "unchanged"), row.verdict, key=_MOST_CHANGED.index)
        return Counter(most.values())

    def parts_counts(self) -> Counter[str]:
        """How many parts and facts of each verdict."""
        return Counter([row.verdict for row in self.rows])

    def mapping(self) -> dict[str, str | None]:
        """Each header of the file and the column it was taken for; None: kept under its own name."""
        found: dict[str, str | None] = {}
        for sheet in self.sheets:
            found.update({each.header: each.column for each in sheet.headings if found.get(each.header) is None})
        found.pop("", None)
        return found
