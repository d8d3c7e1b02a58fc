"""How the cells of an xlsx look: a second pass, over the safe copy, since the library that reads cells gives no looks.

Sheets are only gone through if some style of the file says something; of their cells only those are looked at.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from inventory.errors import Refused
from inventory.sheets.readers.limits import unpacked_parts
from inventory.sheets.readers.looks import (
    LONGEST_COMMENT,
    MOST_COMMENTS,
    NO_LOOK,
    Look,
    Looker,
    shortened,
    without_author,
)
from inventory.sheets.readers.tables import Table
from inventory.sheets.readers.xlsx_styles import Styles, Theme, read_part

__all__ = ["add_looks", "sheet_parts"]

_REFERENCE = re.compile(r"([A-Za-z]{1,3})([0-9]{1,7})")
_PIECE = 2**20
_THREAD = "threadedComment"


def sheet_parts(path: Path, copy: zipfile.ZipFile) -> dict[str, str]:
    """The part of each sheet by the sheet's name."""
    ids: list[tuple[str, str]] = []

    def begin(names: list[str], given: dict[str, str]) -> None:
        if names[-1] == "sheet" and len(ids) < 10_000:
            ids.append((given.get("name", ""), next((given[key] for key in given if key.endswith(" id")), "")))

    book = _named(copy, "xl/workbook.xml")
    read_part(path, _pieces(copy, book), begin)
    targets = {key: target for key, _, target in _related(path, copy, book)}
    return {name: targets[key] for name, key in ids if key in targets}


def add_looks(
    path: Path, archive: zipfile.ZipFile, copied: Path, tables: Sequence[Table]
) -> tuple[list[Table], list[str]]:
    """These tables, their cells with their looks. Remarks: what could not be read of them."""
    remarks: list[str] = []
    found: list[Table] = []
    with zipfile.ZipFile(copied) as copy:
        try:
            looks = _styles(path, archive, copy)
            parts = sheet_parts(path, copy)
            for table in tables:
                looked = _look_at(path, archive, copy, table, parts.get(table.name, ""), looks, remarks)
                found.append(replace(table, looked=True) if looked else table)
        except (Refused, KeyError):
            remarks.append("Cell formats, colours and comments could not be read: their part of the file is damaged")
            found += tables[len(found) :]
    return found, remarks


def _styles(path: Path, archive: zipfile.ZipFile, copy: zipfile.ZipFile) -> list[Look]:
    theme = Theme()
    for _, pieces in unpacked_parts(path, archive, [each for each in archive.namelist() if _is_theme(each)][:1]):
        read_part(path, pieces, theme.begin)
    styles = Styles(theme)
    if (part := _named(copy, "xl/styles.xml")) in copy.NameToInfo:
        read_part(path, _pieces(copy, part), styles.begin)
    return styles.looks()


def _is_theme(name: str) -> bool:
    return re.fullmatch(r"/?xl[/\\]theme[/\\]theme\d*\.xml", name, re.IGNORECASE) is not None


def _look_at(
    path: Path,
    archive: zipfile.ZipFile,
    copy: zipfile.ZipFile,
    table: Table,
    part: str,
    looks: list[Look],
    remarks: list[str],
) -> bool:
    """Give the cells of one table their looks and comments, in place; whether there are any."""
    if part not in copy.NameToInfo or not table.rows:
        return False
    looker, any_look = Looker(), False
    wanted = {place: look for place, look in enumerate(looks) if look != NO_LOOK}
    if wanted:
        by_number = {row.number: row.cells for row in table.rows}
        columns: dict[bytes, int] = {}
        for number, column, style, kind in _styled(_pieces(copy, part), list(wanted)):
            cells = by_number.get(number)
            if column not in columns:
                columns[column] = _column(column.decode("ascii"))
            if cells is not None and columns[column] < len(cells):
                place, any_look = columns[column], True
                cells[place] = looker.looked(cells[place], wanted[style], number=kind in (b"", b"n", b"d"))
    comments = _comments(path, archive, copy, part)
    remarks += looker.with_comments(table, comments)
    return any_look or bool(comments)


def _styled(pieces: Iterator[bytes], wanted: Sequence[int]) -> Iterator[tuple[int, bytes, int, bytes]]:
    """The cells of a sheet with one of these styles: row, letters of the column, style, type of the value."""
    known = set(wanted)
    styles = b"|".join(b"%d" % each for each in wanted) if len(wanted) <= 40 else rb"\d{1,5}"
    cell = re.compile(
        rb"<(?:\w+:)?c(?=\s)(?=[^<>]*?\ss=[\"'](%b)[\"'])(?=[^<>]*?\sr=[\"']([A-Za-z]{1,3})(\d{1,7})[\"'])"
        rb"(?:(?=[^<>]*?\st=[\"'](\w+)[\"']))?" % styles
    )
    held = b""
    for piece in pieces:
        held += piece
        cut = held.rfind(b"<")
        for style, column, row, kind in cell.findall(held, 0, cut):
            if int(style) in known:
                yield int(row), column, int(style), kind
        held = held[cut:]


def _column(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number - 1


def _comments(path: Path, archive: zipfile.ZipFile, copy: zipfile.ZipFile, part: str) -> dict[tuple[int, int], str]:
    """The comments of a sheet by row and column; a thread goes before the comment that stands for it."""
    related = _related(path, copy, part)
    found: dict[tuple[int, int], str] = {}
    for _, sort, target in related:
        if sort == "comments" and target in copy.NameToInfo:
            found |= _read_comments(path, _pieces(copy, target))
    for _, sort, target in related:
        if sort == _THREAD and target in archive.NameToInfo:
            for _, pieces in unpacked_parts(path, archive, [target]):
                found |= _read_comments(path, pieces)
    return found


def _read_comments(path: Path, pieces: Iterator[bytes]) -> dict[tuple[int, int], str]:
    """Comments by row and column, without the names of their authors."""
    authors: list[str] = []
    texts: dict[str, list[str]] = {}
    at = [("", "")]

    def begin(names: list[str], given: dict[str, str]) -> None:
        if names[-1] in ("comment", _THREAD):
            at[0] = given.get("ref", ""), given.get("authorId", "")
            if len(texts) < MOST_COMMENTS:
                texts.setdefault(at[0][0], []).append("")

    def end(names: list[str], text: str) -> None:
        if names[-1] == "author" and len(authors) < MOST_COMMENTS:
            authors.append(text)
        elif text and names[-1] in ("t", "text") and "rPh" not in names and (here := texts.get(at[0][0])):
            here[-1] = (here[-1] + text)[: LONGEST_COMMENT + 1]
        elif names[-1] == "comment" and (here := texts.get(at[0][0])):
            place = int(at[0][1]) if at[0][1].isdecimal() else -1
            here[-1] = without_author(here[-1], authors[place] if 0 <= place < len(authors) else "")

    read_part(path, pieces, begin, end)
    read = {_REFERENCE.fullmatch(ref): [each.strip() for each in some if each.strip()] for ref, some in texts.items()}
    return {(int(ref[2]), _column(ref[1])): shortened("; ".join(some)) for ref, some in read.items() if ref and some}


def _related(path: Path, copy: zipfile.ZipFile, part: str) -> list[tuple[str, str, str]]:
    """What a part refers to: the id, the sort, and the name of the other part."""
    folder, _, name = part.rpartition("/")
    found: list[tuple[str, str, str]] = []

    def begin(names: list[str], given: dict[str, str]) -> None:
        if names[-1] == "Relationship" and given.get("TargetMode") != "External" and len(found) < 10_000:
            target = posixpath.normpath(posixpath.join("/", folder, given.get("Target", "")))
            found.append((given.get("Id", ""), given.get("Type", "").rpartition("/")[2], target.lstrip("/")))

    rels = f"{folder}/_rels/{name}.rels"
    if rels in copy.NameToInfo:
        read_part(path, _pieces(copy, rels), begin)
    return found


def _named(copy: zipfile.ZipFile, name: str) -> str:
    return next((each for each in copy.namelist() if each.casefold() == name), name)


def _pieces(copy: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    with copy.open(name) as part:
        while piece := part.read(_PIECE):
            yield piece
