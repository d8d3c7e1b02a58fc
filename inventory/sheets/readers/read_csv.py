"""Reads csv with any common separator and any common encoding."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from inventory.sheets.readers.cell_text import Interned, without_apostrophe, without_empty_end
from inventory.sheets.readers.limits import MOST_CHARACTERS, Size, too_large
from inventory.sheets.readers.tables import Row, Table, not_a_spreadsheet

__all__ = ["read_csv"]

_SEPARATORS = ",;\t|"
_SAMPLE = 65_536
_CHUNK = 2**20
#: The most characters of one row.
_LONGEST_ROW = 4_000_000
#: Byte order marks at the start of a file, and the encoding that each stands for.
_MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
#: First bytes of files of other kinds, and what to call such a file.
_OTHERS = (
    (b"%PDF", "it is a PDF"),
    (b"\x89PNG", "it is a picture"),
    (b"\xff\xd8\xff", "it is a picture"),
    (b"{\\rtf", "it is a text document"),
    (b"<", "it is a web page or XML"),
    (b"\x1f\x8b", "it is a compressed file"),
    (b"7z\xbc\xaf", "it is a compressed file"),
    (b"Rar!", "it is a compressed file"),
)
_SEP_LINE = re.compile(r'"?sep=(.)"?', re.IGNORECASE)
#: Control characters that are rare in text; tab and line ends are common and not among them.
_CONTROLS = bytes({*range(32), 127} - {9, 10, 13})
_NOT_UTF8 = re.compile("[\udc80-\udcff]")
_NOT_ASCII = re.compile("[^\x00-\x7f\udc80-\udcff]")


def read_csv(path: Path) -> list[Table]:
    """The one table of a csv. Raises `Refused` if the file is something else, damaged or too large."""
    encoding = _encoding(path)
    try:
        with path.open(encoding=encoding, newline="") as file:
            sample = file.read(_SAMPLE)
            separator_line = _SEP_LINE.fullmatch(sample.split("\n", 1)[0].strip("\r"))
            separator = separator_line[1] if separator_line else _separator(sample)
            file.seek(0)
            return [Table("", list(_rows(path, file, separator, 1 if separator_line else 0)))]
    except UnicodeDecodeError:
        raise not_a_spreadsheet(path, "its character encoding is unknown") from None


def _rows(path: Path, file: TextIO, separator: str, skipped: int) -> Iterator[Row]:
    size = Size(path)
    texts = Interned()
    held = [0]
    number = 0
    try:
        for number, record in enumerate(csv.reader(_lines(path, file, held), delimiter=separator), 1):
            held[0] = 0
            if number > skipped and any(record):
                cells = without_empty_end([texts[cell] for cell in map(without_apostrophe, record)])
                size.add(cells)
                yield Row(number, cells)
    except csv.Error:
        what = f"row {number + 1} has a cell of more than {MOST_CHARACTERS} characters (an unclosed quotation mark?)"
        raise too_large(path, what) from None


def _lines(path: Path, file: TextIO, held: list[int]) -> Iterator[str]:
    """The lines of a file. Raises `Refused` if one row is too long; `held` counts the characters since the last row."""
    while line := file.readline(_LONGEST_ROW + 1):
        held[0] += len(line)
        if held[0] > _LONGEST_ROW:
            raise too_large(path, f"one of its rows has more than {_LONGEST_ROW // 10**6} million characters")
        yield line


def _encoding(path: Path) -> str:
    """The encoding of a file: by its byte order mark, else UTF-16 if every other byte is zero, else UTF-8 if it
    decodes, else Windows-1252.
    """
    with path.open("rb") as file:
        start = file.read(_SAMPLE)
        for magic, what in _OTHERS:
            if start.lstrip().startswith(magic):
                raise not_a_spreadsheet(path, what)
        for mark, encoding in _MARKS:
            if start.startswith(mark):
                return encoding
        even, odd = start[::2].count(0), start[1::2].count(0)
        controls = len(start) - len(start.translate(None, _CONTROLS)) - even - odd
        if controls <= len(start) // 8 and max(even, odd) > len(start) // 4 > 4 * min(even, odd):
            return "utf-16-le" if odd > even else "utf-16-be"
        if controls + even + odd > len(start) // 8:
            raise not_a_spreadsheet(path, "it does not contain text")
        file.seek(0)
        return _utf8_or_1252(path, iter(lambda: file.read(_CHUNK), b""))


def _utf8_or_1252(path: Path, pieces: Iterator[bytes]) -> str:
    """UTF-8 or Windows-1252. A damaged UTF-8 file is refused: read as Windows-1252 its letters would be garbled."""
    decoder = codecs.getincrementaldecoder("utf-8")("surrogateescape")
    good = bad = 0
    for piece in pieces:
        text = decoder.decode(piece)
        if not text.isascii():
            good += len(_NOT_ASCII.findall(text))
            bad += len(_NOT_UTF8.findall(text))
    bad += len(decoder.decode(b"", True))
    if bad and good > bad:
        raise not_a_spreadsheet(path, "it is UTF-8 text, and some of its characters are damaged")
    return "cp1252" if bad else "utf-8"


def _separator(text: str) -> str:
    """The separator under which most rows have the same number of cells, more than one."""

    def regular(separator: str) -> tuple[int, int]:
        widths = Counter(_widths(text, separator))
        width, count = max(widths.items(), key=lambda each: (each[1], each[0]), default=(0, 0))
        return count, width

    return max(_SEPARATORS, key=regular)


def _widths(sample: str, separator: str) -> Iterator[int]:
    try:
        for cells in csv.reader(io.StringIO(sample, newline=""), delimiter=separator):
            if len(cells) > 1:
                yield len(cells)
    except csv.Error:
        return
