"""Reads a file into tables of text. The format is recognised from the content, not from the name."""

from __future__ import annotations

import zipfile
from pathlib import Path

from inventory.errors import Refused
from inventory.sheets.readers.limits import DAMAGED, check_size, open_zip
from inventory.sheets.readers.tables import Table, not_a_spreadsheet
from inventory.store.systems import why_not

__all__ = ["read_tables"]

_ZIP, _OLE = b"PK", b"\xd0\xcf\x11\xe0"
_SAVE_AGAIN = "open it in its own program, save it as xlsx, and read that"


def read_tables(path: Path) -> list[Table]:
    """The sheets of a file (xlsx, xlsm, xls, ods, csv, json). Raises `Refused` if it is no spreadsheet or too large."""
    try:
        check_size(path, path.stat().st_size)
        if not path.is_file():
            raise Refused("file-not-readable", f"{path} cannot be read: it is not a file")
        with path.open("rb") as file:
            start = file.read(64)
        if start.startswith(_OLE):
            from inventory.sheets.readers.read_xls import read_xls

            return read_xls(path)
        if start.startswith(_ZIP):
            with open_zip(path) as archive:
                return _read_zip(path, archive)
        from inventory.sheets.readers.read_json import looks_like_json, read_json

        if looks_like_json(start):
            return read_json(path)
        from inventory.sheets.readers.read_csv import read_csv

        return read_csv(path)
    except OSError as problem:
        raise Refused("file-not-readable", f"{path} cannot be read: {why_not(problem)}") from None


def _read_zip(path: Path, archive: zipfile.ZipFile) -> list[Table]:
    names = {name.replace("\\", "/").lstrip("/").casefold() for name in archive.namelist()}
    if "xl/workbook.xml" in names:
        from inventory.sheets.readers.read_xlsx import read_xlsx

        return read_xlsx(path, archive)
    if "xl/workbook.bin" in names:
        raise not_a_spreadsheet(path, "it is a binary workbook (xlsb)", _SAVE_AGAIN)
    if "content.xml" in names:
        from inventory.sheets.readers.read_ods import read_ods

        return read_ods(path, archive)
    raise not_a_spreadsheet(path, DAMAGED)
