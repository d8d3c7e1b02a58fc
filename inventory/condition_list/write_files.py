"""Writes the condition list to a file, in the format of its name, completely or not at all."""

from __future__ import annotations

import json
from collections.abc import Iterable
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.condition_list.cells import Cell, as_text, disarmed
from inventory.condition_list.fingerprint import CHECK
from inventory.condition_list.pages import check_rows
from inventory.condition_list.table import columns, row_of
from inventory.condition_list.values import ConditionList
from inventory.errors import Refused
from inventory.store.bulk import collector_resting
from inventory.store.files import whole_file
from inventory.store.systems import write_text

if TYPE_CHECKING:
    from inventory.condition_list.load_pictures import PictureOf
    from inventory.condition_list.write_pdf_items import OnItem

__all__ = ["FORMATS", "refuse_other_formats", "write_file", "write_list"]

FORMATS = (".xlsx", ".pdf", ".csv", ".json")


def write_list(
    path: Path, drawn: ConditionList, *, overwrite: bool = False, picture_of: PictureOf | None = None
) -> None:
    """Write a list in the format of the file's name: .xlsx, .pdf, .csv (only the items) or .json.

    `picture_of`: where a pdf takes its pictures from (`load_pictures.pictures_of`); without it none are drawn.
    """
    refuse_other_formats(path)
    with whole_file(path, overwrite=overwrite) as part:
        write_file(part, drawn, picture_of)


def refuse_other_formats(path: Path) -> None:
    """Refuse a file name with another ending than those of `FORMATS`."""
    if path.suffix.lower() not in FORMATS:
        raise Refused(
            "no-such-format",
            f'A list can be written as {", ".join(FORMATS)}, not as "{path.suffix or path.name}"',
            where=str(path),
            hint=f"for example: -o {path.stem or 'list'}.xlsx",
        )


def write_file(
    path: Path, drawn: ConditionList, picture_of: PictureOf | None = None, on_item: OnItem | None = None
) -> None:
    """Write to this file, readable by its owner only: it says what is valuable and where it is.

    `on_item`: told of each item of a pdf, which takes long.
    """
    with collector_resting():
        match path.suffix.lower():
            case ".xlsx":
                from inventory.condition_list.write_workbook import write_workbook

                write_workbook(path, drawn)
            case ".pdf":
                from inventory.condition_list.write_pdf import write_pdf

                write_pdf(path, drawn, picture_of, on_item)
            case ".csv":
                _write_csv(path, drawn)
            case _:
                write_text(path, json.dumps(drawn.as_dict(), ensure_ascii=False, indent=2) + "\n")


def _write_csv(path: Path, drawn: ConditionList) -> None:
    """Write the items as RFC 4180, every field quoted, in UTF-8 with a byte order mark, as spreadsheets expect.

    The lines by which the file is checked stand after the items, as rows whose first field is "How to check".
    """
    audience = drawn.options.audience
    titles: list[Cell] = [column.title for column in columns(audience)]
    rest: list[Cell] = [""] * (len(titles) - 3)
    checks: Iterable[list[Cell]] = ([CHECK, label, text, *rest] for label, text in check_rows(drawn))
    items = (row_of(item, drawn.basis, audience) for item in drawn.items)
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write("\ufeff")
        fields = _Fields()
        marks: list[list[Cell]] = [[drawn.state.mark, "", "", *rest]] if drawn.unverified else []
        for row in chain(marks, [titles], items, checks):
            cells = [fields[cell] if isinstance(cell, str) else str(cell) for cell in row]
            file.write('"' + '","'.join(cells) + '"\r\n')


class _Fields(dict[str, str]):
    """Texts as they stand between the quotes of a csv, each made once: most cells of a list say the same."""

    def __missing__(self, text: str) -> str:
        made = self[text] = disarmed(as_text(text)).replace('"', '""')
        return made
