"""Finds the tables in the sheets of a file, and which of their rows are data."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache, partial
from typing import NamedTuple

from inventory.errors import Refused
from inventory.sheets.columns.catalogue import ABOUT, EXAMPLE_ROW, LISTS, PARTS, SheetKind, header_key, words
from inventory.sheets.columns.cell_format import UNKNOWN, CellFormat, format_of
from inventory.sheets.columns.header_cells import settled_by_cells
from inventory.sheets.columns.header_match import Heading
from inventory.sheets.columns.header_rows import HeaderRows, find_header_rows
from inventory.sheets.columns.own_sheets import own_kind
from inventory.sheets.columns.pairs import in_two
from inventory.sheets.columns.quantities import by_quantity
from inventory.sheets.columns.questions import SheetQuestion, answered
from inventory.sheets.columns.sheet_layout import SheetLayout, unnamed
from inventory.sheets.columns.tables_in import Block, filled_down, tables_in
from inventory.sheets.columns.titles import with_titles
from inventory.sheets.columns.whole_tables import (
    HIDDEN,
    READ,
    hidden_tabs,
    older_left_out,
    says_what,
    unknown_table,
    with_day,
    with_kind,
)
from inventory.sheets.readers.tables import Row, Table
from inventory.store.days.clock import today

__all__ = ["Answers", "LaidOut", "SheetLayout", "lay_out", "unnamed"]

#: Words beside a total that say what was added up.
_COUNTED = frozenset({"parts", "items", "pieces", "teile", "stück", "pièces", "pezzi"})
#: A row of more cells is no title ("Stand:", "3/2021").
_TITLE_CELLS = 2


@dataclass(frozen=True)
class Answers:
    """What the user said about a file: header keys to columns, whether hidden sheets are read too, how days and figures
    are written, the currency of amounts without one, and by the key of a question (`columns.questions`) the answer.
    `strict`: a cell that cannot be read refuses its row.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    hidden: bool = False
    cell_format: CellFormat = UNKNOWN
    currency: str | None = None
    said: Mapping[str, str] = field(default_factory=dict)
    strict: bool = False


class LaidOut(NamedTuple):
    """The tables of a file that can be read, remarks for the user, and what the file leaves open."""

    sheets: list[SheetLayout]
    remarks: list[str]
    questions: list[SheetQuestion]


def lay_out(tables: Sequence[Table], answers: Answers, kinds: Collection[str] = ()) -> LaidOut:
    """The tables that can be read; remarks: what cannot be read, and what the user should know; what is asked.

    `kinds`: the names of the kinds of parts, by which a doubtful header is known before anything is asked of its rows.
    Raises `Refused` if everything readable is hidden.
    """
    laid = LaidOut([], [remark for table in tables for remark in table.remarks], [])
    hidden = []
    too = answers.hidden or answers.said.get(HIDDEN) == READ
    for table in tables:
        if table.name in (ABOUT, LISTS) or not any(any(row.cells) for row in table.rows):
            continue
        if table.hidden and not too:
            hidden.append(f'"{table.name}"')
        else:
            _lay_out_sheet(table, answers, kinds, laid)
    if hidden and not laid.sheets:
        raise Refused(
            "only-hidden-sheets",
            f"All sheets that can be read are hidden: {', '.join(hidden)}",
            hint="to read hidden sheets too: --hidden",
        )
    if hidden:
        laid.remarks.extend(f"The sheet {name} is hidden and was not read: to read it, --hidden" for name in hidden)
        laid.questions.append(hidden_tabs(hidden))
    kept, questions = older_left_out(laid.sheets, _each_once(laid.questions), answers.said)
    return LaidOut(kept, laid.remarks, questions)


def _each_once(questions: Sequence[SheetQuestion]) -> list[SheetQuestion]:
    """The questions, those about several tables once, with the rows of all of them."""
    found: dict[str, SheetQuestion] = {}
    for each in questions:
        rows = found[each.key].rows if each.key in found else ()
        found[each.key] = replace(each, rows=(*rows, *each.rows))
    return list(found.values())


def _lay_out_sheet(table: Table, answers: Answers, kinds: Collection[str], into: LaidOut) -> None:
    """Append the tables of one sheet, from left to right and from top to bottom."""
    if (own := own_kind(table)) is not None:
        into.sheets.append(_own_sheet(table, own, answers))
        return
    before = len(into.sheets)
    blocks = tables_in(filled_down(table), answers.columns)
    # The name of a sheet says what its first table is; those below it may be something else.
    heads = [
        _header_of(block, answers.columns, "" if place else header_key(table.name), place == 0)
        for place, block in enumerate(blocks)
    ]
    parts = [head for head in heads if head is not None and head.kind is PARTS]
    most = max(parts, key=lambda head: head.count, default=None)
    titles: list[list[str]] = []
    for block, head in zip(blocks, heads, strict=True):
        if head is None or not (head is most or says_what(head, most)):
            asked = unknown_table(table.name or PARTS.name, block, head)
            if asked is None:
                titles += [row.cells for row in block.table.rows]
                if most is not None and (told := _without_head(table.name or PARTS.name, block)):
                    into.remarks.append(told)
                continue
            question, head = asked
            into.questions.append(question)
            if answered(answers.said, question) != READ:
                continue
        lead = [row.cells for row in block.table.rows[: head.first - len(head.lines)]]
        laid = _sheet(table, block.table, head, answers, [*titles, *lead], into)
        for sheet in _parts_of(settled_by_cells(laid, answers.columns, kinds), answers, into):
            into.sheets.append(replace(sheet, formats=_formats(sheet, answers.cell_format, table.counts_from)))
        titles = []
    if len(into.sheets) == before:
        into.remarks.append(f'The sheet "{table.name}" has no known columns and was not read')


def _parts_of(sheet: SheetLayout, answers: Answers, into: LaidOut) -> list[SheetLayout]:
    """A table with what its titles, its tab and the user's answers say about its rows."""
    sheet, asked, remarks = with_titles(replace(sheet, source=len(into.sheets)), answers.said)
    into.remarks.extend(remarks)
    into.questions.extend(asked)
    sheet, day, told = with_day(sheet, answers.said, answers.cell_format, today())
    into.questions.extend(day)
    into.remarks.extend(told)
    found = [sheet]
    for divide in (in_two, partial(_kind_of_all, open_=asked), by_quantity):
        divided = [divide(each, answers.said) for each in found]
        found = [each for sheets, _, _ in divided for each in sheets]
        into.questions.extend(question for _, questions, _ in divided for question in questions)
        into.remarks.extend(remark for _, _, remarks in divided for remark in remarks)
    return found


def _kind_of_all(
    sheet: SheetLayout, said: Mapping[str, str], open_: Sequence[SheetQuestion]
) -> tuple[list[SheetLayout], list[SheetQuestion], list[str]]:
    """A table with its kind, if one is said for all of it; not asked while titles that name kinds may say it."""
    if sheet.waits is not None or any(each.key.endswith("/kinds") and each.key not in said for each in open_):
        return [sheet], [], []
    sheet, questions = with_kind(sheet, said)
    return [sheet], questions, []


def _without_head(tab: str, block: Block) -> str:
    """The sentence on rows that are no titles and stand under no head; "" if there are none."""
    numbers = [str(row.number) for row in block.table.rows if sum(map(bool, row.cells)) > _TITLE_CELLS]
    return f"{tab}, row {', '.join(numbers)}: under no head that is known, so not read" if numbers else ""


def _header_of(block: Block, mapping: Mapping[str, str], sheet_name: str, first: bool) -> HeaderRows | None:
    """The header of a table. In a further one that begins with a row like a head, no other row can be it."""
    if block.head is None:
        return find_header_rows(block.table, mapping, sheet_name)
    last = next(place for place, row in enumerate(block.table.rows, 1) if row.number == block.head)
    found = find_header_rows(replace(block.table, rows=block.table.rows[: last + 1]), mapping, sheet_name)
    return found if found is not None or not first else find_header_rows(block.table, mapping, sheet_name)


def _sheet(
    table: Table, block: Table, head: HeaderRows, answers: Answers, titles: list[list[str]], into: LaidOut
) -> SheetLayout:
    sheet = SheetLayout(
        head.kind,
        table.name or head.kind.name,
        _own_headings(block, head),
        list(_data_rows(block, head)),
        titles=titles,
        header=head.lines,
        default_currency=answers.currency,
        rearranged=table.rearranged,
    )
    totals = [str(row.number) for row in block.rows[head.first :] if _is_total(_first_text(row.cells) or "")]
    if totals:
        into.remarks.append(f"{sheet.name}, row {', '.join(totals)}: taken for a total, so not read")
    if sheet.rows and _only_amounts(sheet, sheet.rows[-1]):
        number = sheet.rows.pop().number
        into.remarks.append(f"{sheet.name}, row {number}: only amounts, so it was taken for a total and not read")
    return sheet


def _own_headings(block: Table, head: HeaderRows) -> list[Heading]:
    """The headings of a table; the columns left of it are another table's and have none."""
    if any(line[:1] != [""] for line in head.lines):
        return head.headings
    first = min(next((place for place, cell in enumerate(row.cells) if cell), 0) for row in block.rows)
    return [Heading("")] * first + head.headings[first:]


def _own_sheet(table: Table, kind: SheetKind, answers: Answers) -> SheetLayout:
    """A sheet that only the program writes: its headers are ours, and each row is data, a title if it is only told."""
    headers, rows = table.rows[0].cells, [row for row in table.rows[1:] if any(row.cells)]
    headings = [Heading(each, each if each in kind.columns else None, 100) for each in headers]
    if kind.told:
        return SheetLayout(kind, kind.name, headings, [], titles=[row.cells for row in rows])
    sheet = SheetLayout(kind, kind.name, headings, rows, header=[headers], default_currency=answers.currency)
    return replace(sheet, formats=_formats(sheet, answers.cell_format, table.counts_from))


def _formats(sheet: SheetLayout, given: CellFormat, counts_from: int | None) -> dict[str, CellFormat]:
    """How each column of days or amounts is written."""
    return {
        column: format_of((row.cells[place] for row in sheet.rows if place < len(row.cells)), given, counts_from)
        for place, column in enumerate(sheet.columns)
        if column is not None and (column in sheet.kind.amounts or column in sheet.kind.days)
    }


def _data_rows(table: Table, header: HeaderRows) -> Iterator[Row]:
    """The rows below the header that are data: not empty, not a total, not the header again, not an example."""
    columns = [heading.column for heading in header.headings]
    tag = columns.index("tag") if "tag" in columns else None
    for row in table.rows[header.first :]:
        cells = row.cells
        first = cells[0] if cells and cells[0] and not cells[0].isspace() else _first_text(cells)
        if first is None or _is_total(first) or cells in header.lines:
            continue
        if tag is not None and tag < len(cells) and cells[tag].strip().casefold() == EXAMPLE_ROW:
            continue
        yield row


def _first_text(cells: Sequence[str]) -> str | None:
    return next((cell for cell in cells if cell and not cell.isspace()), None)


@cache
def _totals() -> frozenset[str]:
    return frozenset(header_key(word) for word in words("totals"))


@lru_cache(maxsize=4096)
def _is_total(text: str) -> bool:
    """Whether the first cell of a row says that it adds up the others: "Total", "Summe EUR", "Total (12 parts):"."""
    key = header_key(text)
    if key in _totals():
        return True
    beside = {*_COUNTED, *(code.casefold() for code in words("currencies"))}
    plain = [word for word in re.findall(r"[^\W\d_]+", text.casefold()) if word not in beside]
    return bool(plain) and len(plain) < 3 and header_key("".join(plain)) in _totals()


def _only_amounts(sheet: SheetLayout, row: Row) -> bool:
    """Whether a row contains only amounts."""
    values = sheet.values(row.cells)
    return not sheet.own_values(row.cells) and bool(values) and values.keys() <= sheet.kind.amounts.keys()
