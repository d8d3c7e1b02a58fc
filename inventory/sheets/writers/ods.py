"""Writes OpenDocument spreadsheets (ods), a row at a time: text stays text, nothing is a formula.

Elements and attributes: OASIS Open Document Format for Office Applications 1.2, part 1, sections 9 (tables) and 19.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import BinaryIO
from xml.sax.saxutils import escape, quoteattr

from inventory.sheets.writers.page import Cell, Page, save, widths, without_controls

__all__ = ["write_ods"]

_MIME = "application/vnd.oasis.opendocument.spreadsheet"
_MANIFEST = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0" manifest:version="1.2">'
    f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{_MIME}"/>'
    '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
)
_SPACES = ("office", "style", "text", "table", "number")
_NAMES = " ".join(f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{"data" if name == "number" else name}'
                  f'{"style" if name == "number" else ""}:1.0"' for name in _SPACES)  # fmt: skip
_FO = 'xmlns:fo="urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0"'
#: Blanks that readers drop: at the start, at the end, after another blank; and tabs.
_BLANKS = re.compile(r"^ +| +$|(?<= ) +|\t")
_CHARACTER_MM = 2.1


def write_ods(path: Path, pages: Sequence[Page], *, overwrite: bool = False) -> None:
    """Write a spreadsheet of several sheets: header in bold, widths by content."""

    def write(file: BinaryIO) -> None:
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=4) as archive:
            archive.writestr("mimetype", _MIME, zipfile.ZIP_STORED)
            archive.writestr("META-INF/manifest.xml", _MANIFEST)
            with archive.open("content.xml", "w", force_zip64=True) as content:
                text = io.TextIOWrapper(content, encoding="utf-8", newline="")
                for piece in _content(pages):
                    text.write(piece)
                text.flush()
                text.detach()

    save(path, write, overwrite=overwrite)


def _content(pages: Sequence[Page]) -> Iterator[str]:
    yield f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {_NAMES} {_FO} office:version="1.2">'
    found = [widths(page.headers, page.rows) for page in pages]
    yield "<office:automatic-styles>"
    for width in sorted({width for each in found for width in each}):
        yield (
            f'<style:style style:name="w{width}" style:family="table-column"><style:table-column-properties '
            f'style:column-width="{width * _CHARACTER_MM:.1f}mm"/></style:style>'
        )
    yield (
        '<style:style style:name="head" style:family="table-cell">'
        '<style:text-properties fo:font-weight="bold"/></style:style>'
        '<number:date-style style:name="iso"><number:year number:style="long"/><number:text>-</number:text>'
        '<number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/>'
        '</number:date-style><style:style style:name="day" style:family="table-cell" style:data-style-name="iso"/>'
        "</office:automatic-styles><office:body><office:spreadsheet>"
    )
    for page, columns in zip(pages, found, strict=True):
        yield f"<table:table table:name={quoteattr(without_controls(page.name))}>"
        yield from (f'<table:table-column table:style-name="w{width}"/>' for width in columns)
        yield _row(page.headers, ' table:style-name="head"')
        for row in page.rows:
            yield _row(row)
        yield "</table:table>"
    yield "</office:spreadsheet></office:body></office:document-content>"


def _row(cells: Sequence[Cell], style: str = "") -> str:
    return f"<table:table-row>{''.join([_cell(cell, style) for cell in cells])}</table:table-row>"


def _cell(value: Cell, style: str) -> str:
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, Decimal):
        return (
            f'<table:table-cell{style} office:value-type="float" office:value="{value}">'
            f"<text:p>{value}</text:p></table:table-cell>"
        )
    if isinstance(value, date):
        day = value.isoformat()
        return (
            f'<table:table-cell table:style-name="day" office:value-type="date" office:date-value="{day}">'
            f"<text:p>{day}</text:p></table:table-cell>"
        )
    lines = "".join(f"<text:p>{_text(line)}</text:p>" for line in without_controls(value).split("\n"))
    return f'<table:table-cell{style} office:value-type="string">{lines}</table:table-cell>'


def _text(line: str) -> str:
    """A line of text; each blank that readers would drop becomes an element."""
    if " " not in line and "\t" not in line:
        return escape(line)
    pieces, at = [], 0
    for found in _BLANKS.finditer(line):
        pieces.append(escape(line[at : found.start()]))
        pieces.append("<text:tab/>" if found[0] == "\t" else f'<text:s text:c="{len(found[0])}"/>')
        at = found.end()
    return "".join([*pieces, escape(line[at:])])
