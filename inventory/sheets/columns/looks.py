"""What the looks of cells say, once the columns of a table are known: currencies, shown digits, comments, marks.

A currency goes to its amount, digits are read as they are shown, a comment becomes a note, and colours and strikes are
asked about and kept under `marks in the sheet`. Headers, totals, stripes and whole columns are design, not marks. Pure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from inventory.sheets.columns.catalogue import ABOUT, COMMENTS, MARKS, PARTS, WRONG, header_key
from inventory.sheets.columns.header_match import Heading
from inventory.sheets.columns.layout import SheetLayout, unnamed
from inventory.sheets.columns.questions import Choice, SheetQuestion, answered, key_of
from inventory.sheets.readers.cell_text import Figure, percent_of
from inventory.sheets.readers.looks import Looked, LookedFigure, cell_name, colour_name, look_of
from inventory.sheets.readers.tables import Row, Table

__all__ = ["read_looks"]

#: Columns whose numbers are counts or categories: they are read as numbers, however they are shown.
_COUNTED = frozenset({"condition", "count", "order", "quantity"})
#: A colour is a stripe if it is on so many of the odd rows and on hardly any even one, or the other way round; how many
#: rows there must be to say so, and to say that a colour is on all rows or a whole column.
_STRIPED, _STRIPED_ROWS, _WHOLE_ROWS = 0.7, 8, 3
_TEXT, _STRUCK = "text ", "struck"
#: So many colours are asked about one by one; of more, all shades of a name together, and of more names, all at once.
_MOST_COLOURS = 12
_EVERY_COLOUR = "all"
_SHOWN = 3


@dataclass
class _Marked:
    """The rows of one table that have some mark: by the place of a row, the columns that have it; all rows in full."""

    rows: dict[int, list[int]] = field(default_factory=dict)
    whole: set[int] = field(default_factory=set)


def read_looks(
    tables: Sequence[Table], sheets: Sequence[SheetLayout], said: Mapping[str, str]
) -> tuple[list[SheetLayout], list[SheetQuestion], list[str]]:
    """The tables with what their cells' looks say; what is asked about marks; remarks. `said`: answers by key."""
    if not any(table.looked for table in tables):
        return list(sheets), [], []
    remarks: list[str] = []
    found = [_marks(sheet, remarks) for sheet in sheets]
    names = _names({mark for marks in found for mark in marks if mark != _STRUCK})
    questions = list(_questions(sheets, found, names))
    words: dict[str, str] = {}
    for each in questions:
        meant = answered(said, each)
        words[each.key] = "" if meant == "nothing" else meant
    asked = _asked(names)
    read: list[SheetLayout] = []
    for sheet, marks in zip(sheets, found, strict=True):
        struck = key_of(_STRUCK, sheet.name)
        out = marks[_STRUCK].whole if words.get(struck) == "left out" and _STRUCK in marks else set()
        if out:
            rows = "1 row that is" if len(out) == 1 else f"{len(out)} rows that are"
            remarks.append(f"{sheet.name}: {rows} struck through left out, as you said")
        said_of = _words_of_rows(sheet, marks, words, names, asked)
        read.append(_with_looks(sheet, said_of, out))
    return read, questions, [*remarks, *_untold(tables, sheets)]


def _marks(sheet: SheetLayout, remarks: list[str]) -> dict[str, _Marked]:
    """The marks of a table by what they are: a colour, "text " and a colour, struck through; design left out."""
    found: dict[str, _Marked] = {}
    if any(header_key(each.header) == header_key(WRONG) for each in sheet.headings):
        return found  # a workbook of refused rows: its colours are ours
    filled: dict[int, int] = {}
    for place, row in enumerate(sheet.rows):
        full = [column for column, cell in enumerate(row.cells) if cell]
        for column in full:
            filled[column] = filled.get(column, 0) + 1
        for mark, columns in _marks_of(row).items():
            marked = found.setdefault(mark, _Marked())
            marked.rows[place] = columns
            if 2 * len(columns) >= len(full):
                marked.whole.add(place)
    odd = sum(row.number % 2 for row in sheet.rows)
    for mark in list(found):
        if why := _design(found[mark], mark, sheet.rows, odd, filled):
            remarks.append(f"{sheet.name}: {_named(mark)} {why} was taken for design, not for a mark")
        if not found[mark].rows:
            del found[mark]
    return found


def _marks_of(row: Row) -> dict[str, list[int]]:
    """The marks of a row, and the columns that have each."""
    found: dict[str, list[int]] = {}
    for column, cell in enumerate(row.cells):
        look = look_of(cell)
        if look.fill:
            found.setdefault(look.fill, []).append(column)
        if look.ink and cell:
            found.setdefault(_TEXT + look.ink, []).append(column)
        if look.struck and cell:
            found.setdefault(_STRUCK, []).append(column)
    return found


def _design(marked: _Marked, mark: str, rows: Sequence[Row], odd: int, filled: Mapping[int, int]) -> str:
    """Take out what is design: a colour on every second row, on all rows, on a whole column; says which.

    `odd`: how many of the rows have odd numbers.
    """
    if mark == _STRUCK or len(rows) < _WHOLE_ROWS:
        return ""
    if len(marked.whole) == len(rows):
        marked.rows.clear()
        return "on all rows"
    if len(rows) >= _STRIPED_ROWS and _striped(marked.whole, rows, odd):
        marked.rows.clear()
        return "on every second row"
    having: dict[int, int] = {}
    for place, columns in marked.rows.items():
        for column in columns:
            if rows[place].cells[column] or column not in filled:
                having[column] = having.get(column, 0) + 1
    whole = {column for column, times in having.items() if times >= max(_WHOLE_ROWS, filled.get(column, 0))}
    if not whole:
        return ""
    for place in list(marked.rows):
        marked.rows[place] = [column for column in marked.rows[place] if column not in whole]
        if not marked.rows[place]:
            del marked.rows[place]
    marked.whole &= marked.rows.keys()
    return "on a whole column" if whole & filled.keys() else ""


def _striped(whole: set[int], rows: Sequence[Row], every_odd: int) -> bool:
    """Whether these rows are every second one, as far as other colours leave them."""
    odd = sum(rows[place].number % 2 for place in whole)
    most, of = (odd, every_odd) if 2 * odd > len(whole) else (len(whole) - odd, len(rows) - every_odd)
    return bool(whole) and most >= 0.95 * len(whole) and most >= _STRIPED * of


def _named(mark: str) -> str:
    return f"{colour_name(mark.removeprefix(_TEXT))} text" if mark.startswith(_TEXT) else colour_name(mark)


def _names(colours: Iterable[str]) -> dict[str, str]:
    """A plain name for each colour; a few colours of one name get their figures too."""
    names = {mark: _named(mark) for mark in sorted(colours)}
    if len(names) > _MOST_COLOURS:
        return names
    often = list(names.values())
    return {
        mark: name if often.count(name) == 1 else f"{name} ({mark.removeprefix(_TEXT)})" for mark, name in names.items()
    }


def _asked(names: Mapping[str, str]) -> dict[str, str]:
    """What the question about each colour is about: itself, its name, or all colours of the file."""
    if len(names) <= _MOST_COLOURS:
        return {mark: mark for mark in names}
    some = set(names.values())
    return {mark: name if len(some) <= _MOST_COLOURS else _EVERY_COLOUR for mark, name in names.items()}


def _questions(
    sheets: Sequence[SheetLayout], found: Sequence[Mapping[str, _Marked]], names: Mapping[str, str]
) -> Iterator[SheetQuestion]:
    """One question for each colour of the file, and one for the rows of each table that are struck through."""
    parts = [(sheet, marks) for sheet, marks in zip(sheets, found, strict=True) if sheet.kind is PARTS]
    rows_of: dict[str, list[tuple[SheetLayout, Row]]] = {}
    asked = _asked(names)
    for sheet, marks in parts:
        for mark, marked in marks.items():
            if mark != _STRUCK:
                rows_of.setdefault(asked[mark], []).extend((sheet, sheet.rows[place]) for place in marked.rows)
    for about in dict.fromkeys(asked.values()):
        if rows := rows_of.get(about):
            every = about == _EVERY_COLOUR
            says = f"{len(names)} colours" if every else names.get(about, about)
            keep = "keep the name of each" if every else f'keep the mark "{says}"; or type what it means'
            choices = (Choice("mark", keep), Choice("nothing", "they mean nothing" if every else "it means nothing"))
            typed = "" if every else "text"
            yield SheetQuestion(key_of("colour", about), says, choices, _places(rows), "mark", typed, _lines(rows))
    for sheet, marks in parts:
        if _STRUCK in marks and marks[_STRUCK].whole:
            rows = [(sheet, sheet.rows[place]) for place in sorted(marks[_STRUCK].whole)]
            choices = (Choice("read", "read them, marked as struck through"), Choice("left out", "leave them out"))
            yield SheetQuestion(
                key_of(_STRUCK, sheet.name), "struck through", choices, _places(rows), "read", shown=_lines(rows)
            )


def _places(rows: Sequence[tuple[SheetLayout, Row]]) -> tuple[tuple[str, int], ...]:
    return tuple(dict.fromkeys((sheet.name, row.number) for sheet, row in rows))


def _lines(rows: Sequence[tuple[SheetLayout, Row]]) -> tuple[str, ...]:
    lines = []
    for sheet, row in rows[:_SHOWN]:
        cells = [_plain(sheet, place, cell) for place, cell in enumerate(row.cells) if cell]
        lines.append(f"{sheet.name}, row {row.number}: {', '.join(cells)}")
    return tuple(lines)


def _words_of_rows(
    sheet: SheetLayout,
    marks: Mapping[str, _Marked],
    words: Mapping[str, str],
    names: Mapping[str, str],
    asked: Mapping[str, str],
) -> dict[int, str]:
    """What stands under `marks in the sheet` in each row that has any; single cells are named by their headers."""
    said: dict[int, list[str]] = {}
    for mark, marked in marks.items():
        kept = "struck through" if mark == _STRUCK else words.get(key_of("colour", asked[mark]), "mark")
        kept = names[mark] if kept == "mark" else kept
        for place, columns in marked.rows.items() if kept else ():
            cells = "" if place in marked.whole else f" ({', '.join(_header(sheet, each) for each in columns)})"
            said.setdefault(place, []).append(kept + cells)
    return {place: "; ".join(some) for place, some in said.items()}


def _header(sheet: SheetLayout, column: int) -> str:
    return sheet.headings[column].header if column < len(sheet.headings) else unnamed(column + 1)


def _with_looks(sheet: SheetLayout, marks: Mapping[int, str], out: set[int]) -> SheetLayout:
    """A table whose cells are plain texts again; what they looked like stands in its columns."""
    commented = sheet.kind is PARTS and any(look_of(cell).comment for row in sheet.rows for cell in row.cells)
    headings, width = list(sheet.headings), len(sheet.headings)
    columns = [each.column for each in headings]
    notes = columns.index("notes") if "notes" in columns else None
    own = next((place for place, each in enumerate(headings) if header_key(each.header) == header_key(MARKS)), None)
    new_notes, new_marks = commented and notes is None, bool(marks) and sheet.kind is PARTS and own is None
    if new_notes or new_marks:
        width = max(width, max((len(row.cells) for row in sheet.rows), default=0))
        headings += [Heading(unnamed(place + 1)) for place in range(len(headings), width)]
    if new_notes:
        notes = len(headings)
        headings.append(Heading(COMMENTS, "notes", 100))
    if new_marks:
        own = len(headings)
        headings.append(Heading(MARKS))
    rows = []
    for place, row in enumerate(sheet.rows):
        if place in out:
            continue
        cells = [_plain(sheet, column, cell) for column, cell in enumerate(row.cells)]
        if notes is not None and commented and (says := _comments(sheet, row)):
            _add(cells, notes, says)
        if own is not None and place in marks:
            _add(cells, own, marks[place])
        rows.append(row._replace(cells=cells))
    return replace(sheet, headings=headings, rows=rows)


def _add(cells: list[str], place: int, text: str) -> None:
    cells += [""] * (place + 1 - len(cells))
    cells[place] = f"{cells[place]}; {text}" if cells[place] else text


def _comments(sheet: SheetLayout, row: Row) -> str:
    looks = ((_header(sheet, column), look_of(cell).comment) for column, cell in enumerate(row.cells))
    return "; ".join(f"comment at {header}: {comment}" for header, comment in looks if comment)


def _plain(sheet: SheetLayout, place: int, cell: str) -> str:
    """The text of a cell as its column needs it: an amount with its currency, digits as they are shown."""
    if not isinstance(cell, Looked | LookedFigure):
        return cell
    figure, look, text = isinstance(cell, Figure), look_of(cell), str(cell)
    column = sheet.headings[place].column if place < len(sheet.headings) else None
    if not text:
        return text
    if column in sheet.kind.amounts:
        # The point of a number of the file is a decimal point, also with a currency beside it.
        return Figure(f"{text} {look.number.currency}") if look.number.currency else Figure(text) if figure else text
    if column in _COUNTED or column in sheet.kind.days:
        return Figure(text) if figure else text
    if column is None and look.number.currency:
        return f"{text} {look.number.currency}"
    if column is None and look.number.percent:
        return percent_of(text)
    return Figure(text) if figure else look.number.shown(text)


def _untold(tables: Sequence[Table], sheets: Sequence[SheetLayout]) -> Iterator[str]:
    """Remarks on comments that lie on no row of data: at headers, titles, totals, in tables without notes.

    The comments at the headers of our own template explain its columns.
    """
    ours = any(table.name == ABOUT for table in tables)
    in_rows = {(sheet.name, row.number) for sheet in sheets if sheet.kind is PARTS for row in sheet.rows}
    for table in tables:
        for row in table.rows if table.looked else ():
            for place, look in enumerate(map(look_of, row.cells)):
                if look.comment and (table.name, row.number) not in in_rows and not (ours and row.number == 1):
                    text = " ".join(look.comment.split())
                    says = text if len(text) < 80 else f"{text[:77]}..."
                    yield f'{table.name}, {cell_name(row.number, place)}: the comment "{says}" is on no part'
