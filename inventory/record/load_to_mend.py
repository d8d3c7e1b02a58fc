"""Which sheets that were read in have rows that still have to be mended, and in which workbook those are."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.record.tables import SheetReading

__all__ = ["ToMend", "to_mend"]


@dataclass(frozen=True)
class ToMend:
    """How many `rows` of a `file` could not be read, and the name of the workbook that has them (`rejects`)."""

    file: str
    rows: int
    rejects: str


def to_mend(session: Session) -> list[ToMend]:
    """The workbooks of refused rows that were not read in since, the latest first.

    When such a workbook is read, what was noted of its sheet is superseded (`sheets.plan.readings`).
    """
    open_now = (SheetReading.superseded_by.is_(None), SheetReading.to_mend > 0, SheetReading.rejects.is_not(None))
    rows = select(SheetReading.file_name, func.sum(SheetReading.to_mend), SheetReading.rejects).where(*open_now)
    rows = rows.group_by(SheetReading.file_name, SheetReading.rejects).order_by(func.max(SheetReading.id).desc())
    return [ToMend(file, int(count), rejects or "") for file, count, rejects in session.execute(rows)]
