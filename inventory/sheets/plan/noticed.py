"""What is noticed while some rows of parts are read: cells that cannot be read, and what the user is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from operator import itemgetter
from typing import Any

from inventory.sheets.columns.catalogue import PARTS
from inventory.sheets.plan.part_cells import READERS
from inventory.sheets.plan.part_columns import TextColumn
from inventory.sheets.plan.problems import CellProblem
from inventory.sheets.readers.tables import Row

__all__ = ["Noticed", "half_a_look", "set_aside_remarks"]

#: The order in which the problems of a row are reported.
_ORDER = {column: place for place, column in enumerate((*READERS, *PARTS.days, *PARTS.amounts))}


class Noticed:
    """What is noticed in some rows: problems of cells, and removed control characters."""

    def __init__(self, sheet_name: str, rows: Sequence[Row]) -> None:
        self._sheet_name, self._rows = sheet_name, rows
        self._wrong: list[tuple[int, int, CellProblem]] = []
        self._removed: list[tuple[int, str]] = []
        self._set_aside: dict[str, list[int]] = {}
        #: Words that were left empty although they may mean something, by the index of the row.
        self.doubtful: list[tuple[int, CellProblem]] = []

    def take(self, column: TextColumn, texts: Sequence[str]) -> list[Any]:
        """The values of the texts of a column. Rows are only searched if something was noticed in the column."""
        values = list(map(column.__getitem__, texts))
        if column.problems:
            for index, text in enumerate(texts):
                if text in column.problems:
                    self.wrong(index, column.problems[text])
        if column.set_aside:
            for index, text in enumerate(texts):
                if text in column.set_aside:
                    self._set_aside.setdefault(column.set_aside[text], []).append(self._rows[index].number)
        if column.doubtful:
            self.doubtful += [
                (index, column.doubtful[text]) for index, text in enumerate(texts) if text in column.doubtful
            ]
        if column.with_controls:
            self._removed += [(index, column.name) for index, text in enumerate(texts) if text in column.with_controls]
        return values

    def remark(self, index: int, says: str) -> None:
        """Note a sentence about a row; "" is none."""
        if says:
            self._set_aside.setdefault(says, []).append(self._rows[index].number)

    def wrong(self, index: int, problem: CellProblem, *, last: bool = False) -> None:
        """Note a problem of a row; `last`: report it after those of all columns."""
        self._wrong.append((index, len(_ORDER) if last else _ORDER[problem.column], problem))

    def problems(self) -> dict[int, list[CellProblem]]:
        """The problems by index of the row, in the order of the columns."""
        by_row: dict[int, list[CellProblem]] = {}
        for index, _, problem in sorted(self._wrong, key=itemgetter(0, 1)):
            by_row.setdefault(index, []).append(problem)
        return by_row

    def remarks(self) -> list[str]:
        """A remark for each cell from which control characters were removed, and for each word that says nothing."""
        controls = [
            f"{self._sheet_name}, row {self._rows[index].number}: control characters were removed from {name}"
            for index, name in sorted(self._removed, key=itemgetter(0))
        ]
        return [*controls, *set_aside_remarks(self._sheet_name, self._set_aside)]


def set_aside_remarks(sheet: str, said: Mapping[str, Sequence[int]]) -> list[str]:
    """A remark for each word that says nothing, with its rows."""
    more = {says: f" and {len(rows) - 1} more" if rows[1:] else "" for says, rows in said.items()}
    return [f"{sheet}, row {rows[0]}{more[says]}: {says}" for says, rows in said.items()]


def half_a_look(by: str | None, on: object) -> str:
    """The sentence on a row that names only who looked, or only the day; "" if it names both or neither."""
    if bool(by) == bool(on):
        return ""
    missing = "seen on" if by else "seen by"
    return f'"{missing}" is empty, so the row is kept as what a sheet says, not as a look'
