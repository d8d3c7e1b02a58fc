"""The lines of the view In."""

from __future__ import annotations

from textual.content import Content

from tui.data import sheets as desk
from tui.safe import crop, shown

__all__ = ["counts_of", "drawn"]

_WORDS = {"refused": "cannot", "changed": "changes", "added": "new", "unchanged": "as is", "look": "look"}


def counts_of(report: desk.Report) -> tuple[tuple[int, str], ...]:
    """How many rows are new, change something, and stay as they are."""
    return (report.added, "new"), (report.changed, "changed"), (report.unchanged, "as they are")


def drawn(row: object, width: int) -> Content:
    """One line: a file, a header with what it was taken for, a row with what becomes of it, or words."""
    if isinstance(row, desk.Entry):
        return shown(crop(row.name, width))
    if isinstance(row, desk.HeadLine):
        half = min(max(width // 2 - 8, 16), 44)
        taken = "?  " + " or ".join(row.may_be) if row.may_be else row.column or "kept as it is"
        near = f"{row.score:>3}" if row.column or row.may_be else "   "
        return shown(crop(f"{crop(row.header, half)} {near}  {taken}", width))
    if isinstance(row, desk.RowLine):
        return shown(crop(f"{_WORDS[row.verdict]:<8} {row.says}", width))
    return shown(row, "$text-muted")
