"""One table of a file as it is read: its kind of sheet, its headings, its rows of data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from inventory.sheets.columns.catalogue import NOT_READ, QUANTITY, SheetKind, header_key
from inventory.sheets.columns.cell_format import UNKNOWN, CellFormat
from inventory.sheets.columns.header_match import Heading, numbered
from inventory.sheets.columns.questions import SheetQuestion
from inventory.sheets.readers.tables import Row

__all__ = ["SheetLayout", "unnamed"]


@dataclass(frozen=True)
class SheetLayout:
    """One table of a file: its kind, the name of its sheet, its headings and its rows of data.

    `formats`: how the columns of days and amounts are written. `titles`: the rows above the header; `header`: the cells
    of the header rows. `default_currency`: the currency of amounts without one, if the user named it. `kept_up_to`: the
    day (EDTF) up to which the list was kept, if its tab or title says so. `waits`: the question without whose answer no
    row can be read. `source`: the number of the table in the file; `shares`: several parts come from one of its rows.
    `counting`: the headers of columns that only count the rows. `rearranged`: why the rows may stand otherwise than
    they were written, a clause; "" if nothing says so.
    """

    kind: SheetKind
    name: str
    headings: list[Heading]
    rows: list[Row]
    formats: Mapping[str, CellFormat] = field(default_factory=dict)
    titles: Sequence[list[str]] = ()
    header: Sequence[list[str]] = ()
    default_currency: str | None = None
    kept_up_to: str = ""
    waits: SheetQuestion | None = None
    source: int = 0
    shares: bool = False
    counting: frozenset[str] = frozenset()
    rearranged: str = ""

    @cached_property
    def columns(self) -> tuple[str | None, ...]:
        """For each column of the file, the column it stands for; None: it is kept under its own name, or unused."""
        return tuple(None if heading.column == QUANTITY else heading.column for heading in self.headings)

    @cached_property
    def own_names(self) -> tuple[str | None, ...]:
        """For each column of the file, the name it is kept under; None: it is a known column, or is not read."""
        return _own_names(self.headings)

    def header_currency(self, column: str) -> str | None:
        """The currency named in the header of a column."""
        return next((each.currency for each in self.headings if each.column == column), None)

    def cell_format(self, column: str) -> CellFormat:
        """How the days or amounts of a column are written."""
        return self.formats.get(column, UNKNOWN)

    def values(self, cells: Sequence[str]) -> dict[str, str]:
        """The cells of a row under recognised columns, empty ones left out."""
        pairs = zip(self.columns, cells, strict=False)
        return {column: cell for column, cell in pairs if column is not None and cell and not cell.isspace()}

    def own_values(self, cells: Sequence[str]) -> dict[str, str]:
        """The other cells of a row by the name they are kept under, empty ones left out."""
        pairs = zip(self.own_names, cells, strict=False)
        found = {name: cell for name, cell in pairs if name is not None and cell and not cell.isspace()}
        width = len(self.own_names)
        beyond = enumerate(cells[width:], width + 1)
        return found | {unnamed(place): cell for place, cell in beyond if cell and not cell.isspace()}


def unnamed(number: int) -> str:
    """The name of a column without a header, by its number from 1."""
    return f"column {number}"


def _own_names(headings: Sequence[Heading]) -> tuple[str | None, ...]:
    """The names of columns that are kept as they are; a name that occurs twice is numbered."""
    names = numbered([heading.header for heading in headings])
    not_read = {"", *NOT_READ}
    return tuple(
        None if heading.column not in (None, QUANTITY) or header_key(heading.header) in not_read else name
        for heading, name in zip(headings, names, strict=True)
    )
