"""The template: an empty workbook with headers, an example, lists to choose from, and what each column means."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from itertools import zip_longest
from pathlib import Path

from inventory.errors import Misused
from inventory.reference.data import Reference
from inventory.sheets.columns.catalogue import ABOUT, EXAMPLE_ROW, LISTS, PARTS, SHEETS, SheetKind, words
from inventory.sheets.columns.own_sheets import EVERY_SHEET
from inventory.sheets.writers.page import Cell, Page
from inventory.sheets.writers.workbook import write_workbook

__all__ = ["meanings", "write_template"]

_EXAMPLE = {
    "tag": EXAMPLE_ROW,
    "own number": "W-0147",
    "kind": "pressure sensor",
    "maker": "Ostrell",
    "part number": "HV 204 118",
    "serial": "71-40822",
    "date code": "22/71",
    "match code": "K",
    "seal": "cap",
    "seal state": "intact",
    "condition": "2",
    "place": "shelf B2",
    "whose": "own",
    "acquired on": "2019-05",
    "acquired from": "swap meet",
    "price": "310.00",
    "price currency": "EUR",
    "value": "850.00",
    "value currency": "EUR",
    "value basis": "market",
    "value on": "2026-02-01",
    "notes": "one stud bent",
    "seen by": "Anna",
    "seen on": "2026-02-01",
}


def write_template(path: Path, reference: Reference, *, every: bool = False, overwrite: bool = False) -> None:
    """Write the template, which offers the kinds of `reference`; an existing file is replaced only with `overwrite`.

    `every`: with the sheets that people rarely fill in: work, notes, removals, cars, places and all others.
    """
    if path.suffix.casefold() != ".xlsx":
        raise Misused("sheet-kind", f"{path.name} must be a workbook", hint="for example: t.xlsx")
    lists: dict[tuple[str, ...], str] = {}
    sheets = [sheet for sheet in (EVERY_SHEET if every else SHEETS) if not sheet.told]
    pages = [
        Page(
            sheet.name,
            sheet.columns,
            [[_EXAMPLE.get(column) for column in sheet.columns]] if sheet is PARTS else [],
            _choices(sheet, reference, lists),
            notes={column: meaning for column, meaning in meanings(sheet).items() if meaning},
        )
        for sheet in sheets
    ]
    rows: list[list[Cell]] = [list(row) for row in zip_longest(*lists)]
    choices = Page(LISTS, [f"choices: {name}" for name in lists.values()], rows)
    write_workbook(path, [*pages, _about(sheets), choices], overwrite=overwrite)


def _choices(sheet: SheetKind, reference: Reference, lists: dict[tuple[str, ...], str]) -> dict[str, str]:
    """For each column with a list to choose from the range of that list; each list is added to `lists` once."""
    from xlsxwriter.utility import xl_col_to_name  # about 40 ms, needed only where a workbook is written

    offered = {
        column: tuple(words("currencies")) if value.beside else value.words(reference)
        for column, value in sheet.values.items()
    }
    if sheet is PARTS:
        offered["condition"] = ("0", "1", "2", "3")
    found = {}
    for column in (column for column in sheet.columns if offered.get(column)):
        lists.setdefault(offered[column], column)
        letter = xl_col_to_name(list(lists).index(offered[column]))
        found[column] = f"'{LISTS}'!${letter}$2:${letter}${len(offered[column]) + 1}"
    return found


@cache
def _texts() -> dict[str, dict[str, str]]:
    return tomllib.loads((files("inventory.sheets.writers") / "meanings.toml").read_text(encoding="utf-8"))


def meanings(sheet: SheetKind) -> dict[str, str]:
    """What each column of a sheet means: as its value is explained, else as `meanings.toml` says."""
    texts = _texts()["parts" if sheet is PARTS else "facts"]
    helps = {column: value.help for column, value in sheet.values.items()}
    return {column: helps.get(column) or texts.get(column, "") for column in sheet.columns}


def _about(sheets: Sequence[SheetKind]) -> Page:
    """The page on what each column means; the rules for all columns come first."""
    rows: list[list[Cell]] = [["", "", rule, None] for rule in _texts()["rules"].values()]
    for sheet in sheets:
        examples = {column: value.examples[0] for column, value in sheet.values.items() if value.examples}
        if sheet is PARTS:
            examples = _EXAMPLE
        rows += [[sheet.name, column, meaning, examples.get(column)] for column, meaning in meanings(sheet).items()]
    return Page(ABOUT, ["sheet", "column", "what it means", "for example"], rows, prose=True)
