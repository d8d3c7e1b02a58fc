"""Reads a written condition list: the lines to check by, and what they stand for. No file is trusted."""

from __future__ import annotations

import json
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from inventory.condition_list.fingerprint import (
    CHECK,
    FORM,
    FRONT,
    FRONT_TITLES,
    SUMS,
    content_digest,
    fingerprint_of,
    front_covered,
    table_digest,
)
from inventory.condition_list.pages import ANCHOR, ENTRIES
from inventory.errors import Refused
from inventory.given_out.anchors import Anchor
from inventory.sheets.readers.files import read_tables
from inventory.sheets.readers.limits import open_zip, unpacked_parts
from inventory.sheets.readers.tables import Table
from inventory.store.files import read_at_most

__all__ = ["ListFile", "read_list"]

_MOST = 64 * 2**20
_FINGERPRINT, _CONTENT, _ITEMS = "Fingerprint", "Content", "Items"
#: The lines that stand for no table.
_NO_TABLES = frozenset({"Form", "As of", "As known on", "Options", "Edition", "Facts", _CONTENT})
_FORMULA = re.compile(rb"<(?:\w+:)?f[ />]")
_HIDDEN_ROW = re.compile(rb"<(?:\w+:)?row [^>]*hidden=\"(?:1|true)\"")
_SHEET = re.compile(rb"<(?:\w+:)?sheet [^>]*>")
_LINK = re.compile(rb"<(?:\w+:)?Relationship [^>]*>")
_DIGEST = re.compile("[0-9a-f]{64}")
_ATTRIBUTE = re.compile(rb"([\w:]+)=\"([^\"]*)\"")


@dataclass(frozen=True)
class ListFile:
    """A list as its file has it: the lines, titles and rows of its tables, its JSON if the file has that.

    `notes`: what is unusual about the file; `wrong`: what no list that was written has. `anchor`: the record's, as the
    file tells it; the fingerprint does not cover it.
    """

    lines: Mapping[str, str]
    fingerprint: str
    tables: Mapping[str, tuple[list[str], list[list[str]]]] = field(default_factory=dict)
    content: Mapping[str, Any] | None = None
    notes: tuple[str, ...] = ()
    wrong: tuple[str, ...] = ()
    anchor: Anchor | None = None

    @property
    def altered(self) -> list[str]:
        """The names of what does not fit its line."""
        known_on = self.lines["As known on"]
        found = [
            name
            for name, (titles, rows) in self.tables.items()
            if name in self.lines and table_digest(name, titles, rows, known_on) != self.lines[name]
        ]
        if self.content is not None and content_digest(self.content) != self.lines[_CONTENT]:
            found.append(_CONTENT)
        return found

    @property
    def of_lines(self) -> str:
        """The fingerprint that the lines of the file have."""
        return fingerprint_of(self.lines)


def read_list(path: Path) -> ListFile:
    """Read a list as xlsx, pdf, csv or json, also one saved again. Raises `Refused` for other files."""
    start = read_at_most(path, _MOST)[:64].lstrip(b"\xef\xbb\xbf \r\n\t")
    if start.startswith(b"%PDF"):
        from inventory.checking.read_pdf import embedded_json

        return _of_json(path, embedded_json(path))
    if start.startswith(b"{"):
        return _read_json(path)
    tables = {table.name: table for table in read_tables(path)}
    if CHECK in tables:
        return _read_workbook(path, tables, is_zip=start.startswith(b"PK"))
    for table in tables.values():
        rows = [row.cells for row in table.rows if row.cells[0] == CHECK]
        if rows:
            lines = _lines(cells[1:] for cells in rows)
            _refuse_other_forms(path, lines)
            of_items = [row.cells for row in table.rows if row.cells[0] != CHECK]
            return _list_file(lines, {_ITEMS: of_items})
    raise _no_lines(path)


def _read_json(path: Path) -> ListFile:
    try:
        content = json.loads(path.read_bytes())
    except (ValueError, RecursionError):
        raise _no_lines(path) from None
    return _of_json(path, content)


def _of_json(path: Path, content: Any) -> ListFile:
    try:
        lines = {str(label): str(text) for label, text in content["check"].items()}
        said = str(content["fingerprint"])
        content_digest(content)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise _no_lines(path) from None
    _refuse_other_forms(path, lines)
    return ListFile(lines, said, content=content, anchor=_anchor(content.get("anchor"), content.get("anchor_size")))


def _read_workbook(path: Path, tables: Mapping[str, Table], *, is_zip: bool) -> ListFile:
    lines = _lines(row.cells for row in tables[CHECK].rows)
    _refuse_other_forms(path, lines)
    covered = [name for name in lines if name not in _NO_TABLES and name not in (_FINGERPRINT, SUMS, ANCHOR, ENTRIES)]
    wrong = [f"the sheet {name} is missing" for name in covered if name not in tables]
    notes = [f"the sheet {name} is hidden" for name, table in tables.items() if table.hidden]
    if is_zip:
        formulas, hidden = _formulas_and_hidden_rows(path)
        none_in = {*covered} - {FRONT}
        wrong += [f"the sheet {name} has a formula where text or a number was written" for name in formulas & none_in]
        notes += [f"rows of the sheet {name} are hidden; they were compared too" for name in sorted(hidden)]
    rows = {name: [row.cells for row in tables[name].rows] for name in covered if name in tables}
    if FRONT in rows:
        for name, pairs in front_covered(rows[FRONT]).items():
            if name == SUMS and pairs and not any(text for _, text in pairs):
                notes.append("no program has calculated the sums on its front; they were not compared")
            else:
                rows[name] = [list(FRONT_TITLES), *pairs]
    return _list_file(lines, rows, notes, wrong)


def _list_file(
    lines: dict[str, str],
    tables: Mapping[str, list[list[str]]],
    notes: Sequence[str] = (),
    wrong: Sequence[str] = (),
) -> ListFile:
    said = lines.pop(_FINGERPRINT, "")
    anchor, size = lines.pop(ANCHOR, ""), lines.pop(ENTRIES, "")
    found: dict[str, tuple[list[str], list[list[str]]]] = {}
    wrong = list(wrong)
    for name, rows in tables.items():
        titles = rows[0] if rows else []
        if any(len(row) > len(titles) for row in rows):
            wrong.append(f"the table {name} has cells beside it")
        across = len(titles)
        found[name] = titles, [[*row, *[""] * (across - len(row))][:across] for row in rows[1:]]
    return ListFile(lines, said, found, notes=tuple(notes), wrong=tuple(wrong), anchor=_anchor(anchor, size))


def _lines(rows: Any) -> dict[str, str]:
    found: dict[str, str] = {}
    for cells in rows:
        label, text = (*(cell.strip() for cell in cells[:2]), "", "")[:2]
        if label in _NO_TABLES or label == ENTRIES or (label and _DIGEST.fullmatch(text)):
            found.setdefault(label, text)
    return found


def _anchor(text: Any, size: Any) -> Anchor | None:
    """The record's anchor as the file tells it; None where it tells none that can be one."""
    is_one = _DIGEST.fullmatch(str(text)) and re.fullmatch("[0-9]{1,15}", str(size))
    return Anchor(str(text), int(size)) if is_one else None


def _refuse_other_forms(path: Path, lines: Mapping[str, str]) -> None:
    if lines.get("Form") != FORM or not {"As of", "As known on", "Options", _CONTENT} <= lines.keys():
        raise _no_lines(path)


def _no_lines(path: Path) -> Refused:
    return Refused(
        "list-not-checkable",
        f"{path} has no lines to check by: it is no condition list, one of an older version, or not verified",
        where=str(path),
        hint="lists written by this version have them under How to check",
    )


def _formulas_and_hidden_rows(path: Path) -> tuple[set[str], set[str]]:
    """The names of the sheets with formulas, and of those with hidden rows."""
    formulas: set[str] = set()
    hidden: set[str] = set()
    with open_zip(path) as archive:
        names = archive.namelist()
        for name, part in _sheets(path, archive).items():
            if part not in names:
                continue
            held = b""
            for _, pieces in unpacked_parts(path, archive, [part]):
                for piece in pieces:
                    held = held[-300:] + piece
                    formulas |= {name} if _FORMULA.search(held) else set()
                    hidden |= {name} if _HIDDEN_ROW.search(held) else set()
    return formulas, hidden


def _sheets(path: Path, archive: zipfile.ZipFile) -> dict[str, str]:
    """The parts of a workbook with its sheets, by their names."""
    read = {
        name: b"".join(piece for _, pieces in unpacked_parts(path, archive, [name]) for piece in pieces)
        for name in ("xl/workbook.xml", "xl/_rels/workbook.xml.rels")
        if name in archive.namelist()
    }
    links = [dict(_ATTRIBUTE.findall(each)) for each in _LINK.findall(read.get("xl/_rels/workbook.xml.rels", b""))]
    parts = {each.get(b"Id"): each.get(b"Target", b"").decode("utf-8", "replace") for each in links}
    found = {}
    for each in _SHEET.findall(read.get("xl/workbook.xml", b"")):
        said = dict(_ATTRIBUTE.findall(each))
        part = parts.get(said.get(b"r:id"), "")
        found[said.get(b"name", b"").decode("utf-8", "replace")] = (
            part.lstrip("/") if part.startswith("/") else f"xl/{part}"
        )
    return found
