"""Files that mean harm, or that somebody broke: each small enough to be mailed, none fit to be believed."""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Callable, Iterator
from io import BytesIO
from random import Random

import xlsxwriter

__all__ = ["HOSTILE", "book_with", "repacked"]

_SPREADSHEET = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
_OPEN = (
    '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2"><office:body>'
    '<office:spreadsheet><table:table table:name="parts">'
)
_HEAD = ("Type", "Make", "P/N")


def plain_book() -> bytes:
    """A small workbook of sound make."""
    held = BytesIO()
    book = xlsxwriter.Workbook(held, {"in_memory": True})
    sheet = book.add_worksheet("parts")
    for row, cells in enumerate([_HEAD, ("relay", "Ostrell", "0012"), ("injector", "Tolvranne", "HV 204")]):
        for column, text in enumerate(cells):
            sheet.write_string(row, column, text)
    book.close()
    return held.getvalue()


def repacked(book: bytes, changed: dict[str, bytes | Iterator[bytes]], *, method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip with some of its parts put in place of others, or beside them."""
    held = BytesIO()
    with zipfile.ZipFile(BytesIO(book)) as old, zipfile.ZipFile(held, "w", method) as new:
        for name in [*(each for each in old.namelist() if each not in changed), *changed]:
            with new.open(name, "w", force_zip64=True) as part:
                content = changed.get(name)
                for piece in (
                    [old.read(name)] if content is None else [content] if isinstance(content, bytes) else content
                ):
                    part.write(piece)
    return held.getvalue()


def book_with(sheet_data: bytes | Iterator[bytes], **parts: bytes) -> bytes:
    """A workbook whose one sheet holds this XML between its rows."""

    def pieces() -> Iterator[bytes]:
        yield f"<worksheet {_SPREADSHEET}><sheetData>".encode()
        yield from [sheet_data] if isinstance(sheet_data, bytes) else sheet_data
        yield b"</sheetData></worksheet>"

    return repacked(plain_book(), {"xl/worksheets/sheet1.xml": pieces(), **parts})


def ods_with(content: str | Iterator[bytes], *, before: str = "") -> bytes:
    held = BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        with book.open("content.xml", "w") as part:
            part.write((before + _OPEN).encode())
            for piece in [content.encode()] if isinstance(content, str) else content:
                part.write(piece)
            part.write(b"</table:table></office:spreadsheet></office:body></office:document-content>")
    return held.getvalue()


def _noise(count: int) -> str:
    """So many letters that hardly pack."""
    return Random(7).randbytes(count // 2).hex()


def _zeros() -> bytes:
    return book_with(b"\0" * 2**20 for _ in range(200))


def _blanks() -> bytes:
    return book_with(b" " * 2**20 for _ in range(200))


def _lying_directory() -> bytes:
    """The directory says that the sheet has ten bytes; what is packed goes on for 400 MB."""
    book = bytearray(book_with(b"<row><c><v>1</v></c></row>" * 40_000 for _ in range(400)))
    size = struct.pack("<L", 10)
    at = book.rfind(b"xl/worksheets/sheet1.xml") - 46
    assert book[at : at + 4] == b"PK\x01\x02"
    book[at + 24 : at + 28] = size
    return bytes(book)


def _entities(depth: int = 9) -> str:
    lines = [f'<!ENTITY a{each} "{f"&a{each - 1};" * 10}">' for each in range(1, depth)]
    return f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a0 "relay relay relay">{"".join(lines)}]>'


def _entities_book() -> bytes:
    sheet = f'{_entities()}<worksheet {_SPREADSHEET}><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>&a8;</t></is>'
    return repacked(plain_book(), {"xl/worksheets/sheet1.xml": f"{sheet}</c></row></sheetData></worksheet>".encode()})


def _cell(reference: str, text: str = "x") -> str:
    return f'<c r="{reference}" t="inlineStr"><is><t>{text}</t></is></c>'


def _far_corner() -> bytes:
    return book_with(f'<row r="1">{_cell("A1")}</row><row r="1048576">{_cell("XFD1048576")}</row>'.encode())


def _million_columns() -> bytes:
    letters = [chr(65 + place) for place in range(26)]
    names = [a + b + c + d for a in letters for b in letters for c in letters for d in letters]
    cells = "".join(f'<c r="{name}1"><v>1</v></c>' for name in names)
    return book_with(f'<row r="1">{cells}</row>'.encode())


def _odd_spelling() -> bytes:
    return book_with(b"<row r='1'><c\nr = 'A1'><v>1</v></c></row><row\tr='900000'><c\tr='ZZZ900000'><v>2</v></c></row>")


def _repeated_string() -> bytes:
    """One text of 30,000 characters, used in a hundred thousand cells: 3 GB of text from a file of some hundred KB."""
    strings = f"<sst {_SPREADSHEET}><si><t>relay</t></si><si><t>{'x' * 30_000}</t></si></sst>".encode()
    rows = (b'<row><c t="s"><v>1</v></c></row>' * 1000 for _ in range(100))
    return book_with(rows, **{"xl/sharedStrings.xml": strings})


def _inline_text() -> bytes:
    """200 MB of text in cells that are each short enough."""
    random = Random(5)
    cells = (random.randbytes(1000).hex() * 5 for _ in range(20_000))
    return book_with(f'<row><c t="inlineStr"><is><t>{text}</t></is></c></row>'.encode() for text in cells)


def _tiny_cells() -> bytes:
    return book_with(b"<row>" + b"<c><v>1</v></c>" * 20 + b"</row>" for _ in range(500_000))


def _joined_cells() -> bytes:
    sheet = f'<worksheet {_SPREADSHEET}><sheetData><row r="1"><c r="A1"><v>1</v></c></row></sheetData><mergeCells>'
    cells = "".join(f'<mergeCell ref="A{row}:XFD{row + 900_000}"/>' for row in range(1, 100_001))
    return repacked(plain_book(), {"xl/worksheets/sheet1.xml": f"{sheet}{cells}</mergeCells></worksheet>".encode()})


def _long_cell() -> bytes:
    return book_with(f'<row r="1">{_cell("A1", _noise(10_000_000))}</row>'.encode())


def _ods_columns() -> bytes:
    return ods_with(
        '<table:table-row><table:table-cell table:number-columns-repeated="1000000000" office:value-type="string">'
        "<text:p>relay</text:p></table:table-cell></table:table-row>"
    )


def _ods_rows() -> bytes:
    return ods_with(
        '<table:table-row table:number-rows-repeated="1000000000"><table:table-cell office:value-type="string">'
        "<text:p>relay</text:p></table:table-cell></table:table-row>"
    )


def _ods_long_cell() -> bytes:
    text = _noise(10_000_000)
    return ods_with(f"<table:table-row><table:table-cell><text:p>{text}</text:p></table:table-cell></table:table-row>")


def _ods_long_tag() -> bytes:
    return ods_with(piece for piece in (b'<table:table-row x="', _noise(20 * 2**20).encode(), b'"/>'))


def _csv_row(cell: bytes, count: int) -> bytes:
    return b"Type,Make,P/N\r\n" + b",".join([cell] * count)


def _csv_open_quotes() -> bytes:
    return b"Type,Make\r\n" + b'"a\n",' * 8_000_000


#: What each file is, how it is made, and the code with which it is refused (None: it is read).
HOSTILE: dict[str, tuple[Callable[[], bytes], str | None]] = {
    "a zip bomb of noughts": (_zeros, "not-a-spreadsheet"),
    "a zip bomb of blanks": (_blanks, "not-a-spreadsheet"),
    "a zip whose directory lies": (_lying_directory, "not-a-spreadsheet"),
    "entities in a workbook": (_entities_book, "not-a-spreadsheet"),
    "entities in an ods": (lambda: ods_with("", before=_entities()), "not-a-spreadsheet"),
    "an external entity": (
        lambda: ods_with("", before='<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'),
        "not-a-spreadsheet",
    ),
    "a cell in the far corner": (_far_corner, "sheet-too-large"),
    "a million columns": (_million_columns, "sheet-too-large"),
    "references spelled oddly": (_odd_spelling, "sheet-too-large"),
    "one long text in many cells": (_repeated_string, "sheet-too-large"),
    "much text in short cells": (_inline_text, "sheet-too-large"),
    "ten million tiny cells": (_tiny_cells, "sheet-too-large"),
    "a hundred thousand joined cells": (_joined_cells, "sheet-too-large"),
    "10 MB in one cell of a workbook": (_long_cell, "sheet-too-large"),
    "10 MB in one cell of a csv": (lambda: b'Type,Make\r\nrelay,"' + b"x" * 10_000_000 + b'"\r\n', "sheet-too-large"),
    "10 MB in one cell of an ods": (_ods_long_cell, "sheet-too-large"),
    "a thousand million columns in an ods": (_ods_columns, "sheet-too-large"),
    "a thousand million rows in an ods": (_ods_rows, "sheet-too-large"),
    "a tag of 20 MB in an ods": (_ods_long_tag, "sheet-too-large"),
    "sixteen million cells in one row of a csv": (lambda: _csv_row(b"ab", 16_000_000), "sheet-too-large"),
    "a million columns in a csv": (lambda: _csv_row(b"a", 1_000_000), "sheet-too-large"),
    "quotation marks left open in a csv": (_csv_open_quotes, "sheet-too-large"),
    "49 MB of rows in a csv": (lambda: b"Type;P/N\r\n" + b"relay;12\r\n" * 4_900_000, "sheet-too-large"),
    "a file of more than 64 MB": (lambda: b"Type;P/N\r\n" * 7_000_000, "sheet-too-large"),
}
