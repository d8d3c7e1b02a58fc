"""Spreadsheets in and out: reads any layout by its headers, and writes all that is known of parts.

readers   files into tables of text
columns   what headers and cells mean
plan      what each row would change, and how it is written
writers   workbooks, ods, csv, json
"""

from __future__ import annotations

from inventory.sheets.actions import read_sheet
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.report import Report, SheetRefused

__all__ = ["CellFormat", "Report", "SheetRefused", "read_sheet"]
