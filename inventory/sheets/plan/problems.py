"""What is wrong in a cell or a row, with a hint how to correct it."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.errors import Refused

__all__ = ["CellProblem", "Problem", "problem_of"]


@dataclass(frozen=True)
class CellProblem:
    """Why a cell (or without a column, a row) cannot be read; `code` is the code of the refusal, if there is one."""

    column: str
    value: str
    problem: str
    hint: str | None = None
    code: str = ""

    def at(self, sheet: str, row: int) -> Problem:
        """The same with its place in the file."""
        return Problem(sheet, row, self.column, self.value, self.problem, self.hint, self.code)


@dataclass(frozen=True)
class Problem:
    """A problem with its place: the name of the sheet and the row number that a spreadsheet shows."""

    sheet: str
    row: int
    column: str
    value: str
    problem: str
    hint: str | None = None
    code: str = ""

    def as_dict(self) -> dict[str, str | int | None]:
        """The object in `problems`."""
        return {name: value for name, value in vars(self).items() if name != "code"}


def problem_of(refusal: Refused, column: str = "", value: str = "") -> CellProblem:
    """A refusal as the problem of a cell."""
    return CellProblem(column, value, refusal.message, refusal.hint, refusal.code)
