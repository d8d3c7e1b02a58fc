"""What is wrong in a sheet, said so that it can be mended."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.errors import Refused

__all__ = ["CellProblem", "Problem", "problem_of"]

_TAIL = ". Nothing was changed"


@dataclass(frozen=True)
class CellProblem:
    """Why a cell (or with no column, a row) cannot be taken, and what to do; `code` is that of the refusal, if any."""

    column: str
    value: str
    problem: str
    hint: str | None = None
    code: str = ""

    def at(self, sheet: str, row: int) -> Problem:
        """The same, with its place in the file."""
        return Problem(sheet, row, self.column, self.value, self.problem, self.hint, self.code)


@dataclass(frozen=True)
class Problem:
    """A problem with its place: the sheet's name in the file and the number a spreadsheet shows beside the row."""

    sheet: str
    row: int
    column: str
    value: str
    problem: str
    hint: str | None = None
    code: str = ""

    def as_dict(self) -> dict[str, str | int | None]:
        """The object that stands in `problems`."""
        return {name: value for name, value in vars(self).items() if name != "code"}


def problem_of(refusal: Refused, column: str = "", value: str = "") -> CellProblem:
    """A refusal as a problem of a cell; that nothing was changed is said once for the file."""
    return CellProblem(column, value, refusal.message.replace(_TAIL, ""), refusal.hint, refusal.code)
