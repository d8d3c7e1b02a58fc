"""The lines of the view In."""

from __future__ import annotations

from textual.content import Content

from tui.data import sheets as data
from tui.safe import crop, shown

__all__ = ["counts_of", "drawn"]

_WORDS = {"refused": "refused", "changed": "changed", "added": "new", "unchanged": "same", "look": "check"}


def counts_of(report: data.Report) -> tuple[tuple[int, str], ...]:
    """How many rows are new, changed, and unchanged."""
    return (report.added, "new"), (report.changed, "changed"), (report.unchanged, "unchanged")


def drawn(row: object, width: int) -> Content:
    """One line: a file, a header with its column, a row with its verdict, or text."""
    if isinstance(row, data.Entry):
        return shown(crop(row.name, width))
    if isinstance(row, data.HeadLine):
        half = min(max(width // 2 - 8, 16), 44)
        taken = "?  " + " or ".join(row.may_be) if row.may_be else row.column or "kept as it is"
        near = f"{row.score:>3}" if row.column or row.may_be else "   "
        return shown(crop(f"{crop(row.header, half)} {near}  {taken}", width))
    if isinstance(row, data.RowLine):
        return shown(crop(f"{_WORDS[row.verdict]:<8} {row.says}", width))
    return shown(row, "$text-muted")
