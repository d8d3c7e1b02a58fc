"""The template: an empty workbook with headers, an example, lists to choose from, and what each column means."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

from inventory.bench.conditions import CONDITIONS
from inventory.cars.actions import AXES
from inventory.errors import Misused
from inventory.parts.markings import READ_FROM
from inventory.provenance.actions import ATTRIBUTIONS, HOW, LANES, WHOSE
from inventory.reference.data import Reference
from inventory.seals.states import STATES
from inventory.sheets.columns.catalogue import ABOUT, EXAMPLE_ROW, LISTS, PARTS, SHEETS, SheetKind, words
from inventory.sheets.writers.page import Cell, Page
from inventory.sheets.writers.workbook import write_workbook
from inventory.worth.money import BASES

__all__ = ["write_template"]

_EXAMPLE = {
    "tag": EXAMPLE_ROW,
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
}


def write_template(path: Path, reference: Reference, *, over: bool = False) -> None:
    """Write the template, which offers the kinds of `reference`; an existing file is replaced only with `over`."""
    if path.suffix.casefold() != ".xlsx":
        raise Misused("sheet-kind", f"{path.name}: the template is a workbook", hint="name it t.xlsx")
    lists = _lists(reference)
    meanings = _meanings()
    pages = [
        Page(sheet.name, sheet.columns, _example(sheet), _choices(sheet, lists), notes=meanings[sheet.name])
        for sheet in SHEETS
    ]
    longest = max(len(each) for each in lists.values())
    rows: list[list[Cell]] = [
        [each[place] if place < len(each) else None for each in lists.values()] for place in range(longest)
    ]
    write_workbook(path, [*pages, _about(), Page(LISTS, [f"choices: {name}" for name in lists], rows)], over=over)


def _lists(reference: Reference) -> dict[str, tuple[str, ...]]:
    return {
        "kinds": tuple(kind.name for kind in reference.kinds),
        "seal states": STATES,
        "bases": BASES,
        "owners": WHOSE,
        "currencies": tuple(words("currencies")),
        "ways": HOW,
        "lanes": LANES,
        "attributions": ATTRIBUTIONS,
        "conditions": ("0", "1", "2", "3"),
        "read from": READ_FROM,
        "yes or no": ("yes", "no"),
        "axes": AXES,
    }


_CHOSEN = {
    "kind": "kinds",
    "seal state": "seal states",
    "state": "seal states",
    "value basis": "bases",
    "basis": "bases",
    "whose": "owners",
    "price currency": "currencies",
    "value currency": "currencies",
    "currency": "currencies",
    "how": "ways",
    "lane": "lanes",
    "attribution": "attributions",
    "condition": "conditions",
    "match code read from": "read from",
    "fits": "yes or no",
    "axis": "axes",
}


def _choices(sheet: SheetKind, lists: dict[str, tuple[str, ...]]) -> dict[str, str]:
    """For each column with a list to choose from the range of that list."""
    found = {}
    for column in sheet.columns:
        if column in _CHOSEN:
            name = _CHOSEN[column]
            letter = chr(ord("A") + list(lists).index(name))
            found[column] = f"'{LISTS}'!${letter}$2:${letter}${len(lists[name]) + 1}"
    return found


def _example(sheet: SheetKind) -> list[list[Cell]]:
    return [[_EXAMPLE.get(column) for column in sheet.columns]] if sheet is PARTS else []


def _texts() -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("inventory.sheets.writers") / "meanings.toml").read_text(encoding="utf-8"))


def _meanings() -> dict[str, dict[str, str]]:
    """What each column of each sheet means."""
    texts = _texts()
    facts = {**{each.name: each.help for each in CONDITIONS}, **texts["facts"]}
    return {
        sheet.name: {column: (texts["parts"] if sheet is PARTS else facts)[column] for column in sheet.columns}
        for sheet in SHEETS
    }


def _about() -> Page:
    """The page on what each column means; the rules for all columns come first."""
    rows: list[list[Cell]] = [["", "", rule, None] for rule in _texts()["rules"].values()]
    for name, meanings in _meanings().items():
        examples = _EXAMPLE if name == PARTS.name else {}
        rows += [[name, column, meaning, examples.get(column)] for column, meaning in meanings.items()]
    return Page(ABOUT, ["sheet", "column", "what it means", "for example"], rows, prose=True)
