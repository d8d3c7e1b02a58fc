"""The result of a read, as people and scripts get it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from inventory.errors import Refused
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.columns.questions import SheetQuestion, still_open
from inventory.sheets.plan.likely import Duplicate, NearInFile
from inventory.sheets.plan.problems import Problem
from inventory.sheets.plan.rows import Plan, PlanRow

__all__ = ["Report", "SheetRefused", "report_of", "unplanned"]


@dataclass(frozen=True)
class Report:
    """How many rows were added, changed and so on, what is wrong and where, how headers were taken, and remarks.

    `unread`: cells that cannot be read and are kept as text; their rows go in. `questions`: what is still open, most
    rows first. `parts`: how many parts and facts of each verdict; several can come from one row.
    """

    added: int = 0
    changed: int = 0
    unchanged: int = 0
    refused: int = 0
    held: int = 0
    problems: list[Problem] = field(default_factory=list)
    mapping: dict[str, str | None] = field(default_factory=dict)
    sheets: list[SheetLayout] = field(default_factory=list)
    rows: list[PlanRow] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    duplicates: list[Duplicate] = field(default_factory=list)
    near_names: list[NearInFile] = field(default_factory=list)
    questions: list[SheetQuestion] = field(default_factory=list)
    unread: list[Problem] = field(default_factory=list)
    parts: dict[str, int] = field(default_factory=dict)

    @property
    def rows_read(self) -> int:
        """The rows of data: each is exactly one of added, changed, unchanged, refused, held."""
        return self.added + self.changed + self.unchanged + self.refused + self.held

    @property
    def to_look_at(self) -> list[str]:
        """What somebody should look at again: serials and names that may be misspelt ones."""
        return [each.says for each in self.duplicates] + [each.says for each in self.near_names]

    def as_dict(self, *, with_rows: bool = False) -> dict[str, Any]:
        """The JSON of `sheet read`; `with_rows`: with each row, as a trial gives it."""
        counts = ("rows_read", "added", "changed", "unchanged", "refused", "held")
        data: dict[str, Any] = {name: getattr(self, name) for name in counts}
        data["problems"] = [problem.as_dict() for problem in self.problems]
        data["parts"] = self.parts
        data["mapping"] = self.mapping
        data["sheets"] = [_sheet(sheet) for sheet in self.sheets]
        data["remarks"] = self.remarks
        data["likely_duplicates"] = [each.as_dict() for each in self.duplicates]
        data["near_names"] = [each.as_dict() for each in self.near_names]
        data["unread"] = [each.as_dict() for each in self.unread]
        data["questions"] = [each.as_dict() for each in self.questions]
        if with_rows:
            data["rows"] = [row.as_dict() for row in self.rows]
        return data


class SheetRefused(Refused):
    """A file was refused; `report` says how many rows it has and what is wrong."""

    def __init__(self, refusal: Refused, report: Report) -> None:
        """Code, message and hint are those of `refusal`."""
        super().__init__(
            refusal.code, refusal.message, where=refusal.where, hint=refusal.hint, unchanged=refusal.unchanged
        )
        self.exit_status = refusal.exit_status
        self.report = report


def _sheet(sheet: SheetLayout) -> dict[str, Any]:
    columns = [
        {"header": each.header, "column": each.column, "score": each.score, "might_be": each.doubt}
        for each in sheet.headings
        if each.header
    ]
    return {"name": sheet.name, "read_as": sheet.kind.name, "columns": columns}


def report_of(plan: Plan, *, held: bool = False) -> Report:
    """The report of a plan; `held`: the file is refused, so its good rows are held."""
    counts = plan.counts()
    good = {name: counts[name] for name in ("added", "changed", "unchanged")}
    return Report(
        **({"held": sum(good.values())} if held else good),
        refused=counts["refused"],
        problems=plan.problems,
        mapping=plan.mapping(),
        sheets=plan.sheets,
        rows=plan.rows,
        remarks=plan.remarks,
        duplicates=plan.duplicates,
        near_names=plan.near_names,
        parts=dict(plan.parts_counts()),
        questions=still_open(plan.questions, plan.answers.said),
        unread=plan.unread,
    )


def unplanned(sheets: Sequence[SheetLayout], questions: Sequence[SheetQuestion] = ()) -> Report:
    """The report of a file that was refused before its rows were planned; `questions`: what is open."""
    plan, held = Plan(list(sheets)), sum(len(sheet.rows) for sheet in sheets)
    return Report(held=held, mapping=plan.mapping(), sheets=plan.sheets, questions=list(questions))
