"""Spreadsheets in and out: any layout in, read by its headers; all that is known of parts out, and back unchanged."""

from __future__ import annotations

from inventory.sheets.actions import read_sheet
from inventory.sheets.report import Report, SheetRefused
from inventory.sheets.ways import Way

__all__ = ["Report", "SheetRefused", "Way", "read_sheet"]
