"""Reading a file into tables of text, by what it holds, not by its name. What the text means is decided elsewhere."""

from __future__ import annotations

import zipfile
from pathlib import Path

from inventory.errors import Refused
from inventory.sheets.formulas import FORMULA_START, without_apostrophe
from inventory.sheets.grid import Merged, Table, no_sheet
from inventory.sheets.guards import DAMAGED, check_size, open_zip

__all__ = ["FORMULA_START", "Merged", "Table", "read_tables", "without_apostrophe"]

_ZIP, _OLE = b"PK", b"\xd0\xcf\x11\xe0"
_SAVE_ANEW = "open it in its own program, save it as xlsx, and read that"


def read_tables(path: Path) -> list[Table]:
    """The sheets of a file (xlsx, xlsm, xls, ods, csv, json); refused, in one sentence, where it is no spreadsheet."""
    try:
        check_size(path, path.stat().st_size)
        if not path.is_file():
            raise Refused("file-not-readable", f"{path} cannot be read: it is no file. Nothing was changed")
        with path.open("rb") as file:
            start = file.read(64)
        if start.startswith(_OLE):
            from inventory.sheets.read_xls import read_xls

            return read_xls(path)
        if start.startswith(_ZIP):
            with open_zip(path) as archive:
                return _zipped(path, archive)
        from inventory.sheets.read_json import looks_like_json, read_json

        if looks_like_json(start):
            return read_json(path)
        from inventory.sheets.read_csv import read_csv

        return read_csv(path)
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        raise Refused("file-not-readable", f"{path} cannot be read: {why}. Nothing was changed") from None


def _zipped(path: Path, archive: zipfile.ZipFile) -> list[Table]:
    names = {name.replace("\\", "/").lstrip("/").casefold() for name in archive.namelist()}
    if "xl/workbook.xml" in names:
        from inventory.sheets.read_xlsx import read_xlsx

        return read_xlsx(path, archive)
    if "xl/workbook.bin" in names:
        raise no_sheet(path, "it is a workbook of the binary kind (xlsb)", _SAVE_ANEW)
    if "content.xml" in names:
        from inventory.sheets.read_ods import read_ods

        return read_ods(path, archive)
    raise no_sheet(path, DAMAGED)
