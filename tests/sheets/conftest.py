"""A workshop with two cars on either engine, and short ways to make sheets and read them."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from sqlalchemy import func, select

from inventory.card import Card, card_of
from inventory.cars.actions import add_car
from inventory.parts.queries import lines_of
from inventory.sheets import Report, SheetRefused, read_sheet
from inventory.store.record import Record
from inventory.store.tables import JournalEntry
from inventory.verification import verify

BY = "Ines"


class Desk:
    """A record, a folder, and what is done with sheets there."""

    def __init__(self, record: Record, folder: Path) -> None:
        self.record = record
        self.folder = folder

    def csv(self, rows: Sequence[Sequence[str]], name: str = "parts.csv") -> Path:
        path = self.folder / name
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
        return path

    def book(self, name: str = "book.xlsx", **sheets: Sequence[Sequence[Any]]) -> Path:
        book = Workbook()
        book.remove(book.active)  # type: ignore[arg-type]
        for title, rows in sheets.items():
            sheet = book.create_sheet(title)
            for row in rows:
                sheet.append(list(row))
        path = self.folder / name
        book.save(path)
        return path

    def read(self, path: Path, **options: Any) -> Report:
        """Read a file; each row of data has exactly one fate, and the record stays whole."""
        try:
            report = read_sheet(self.record, path, BY, **options)
        except SheetRefused as refusal:
            report = refusal.report
            raise
        finally:
            tables = [(sheet.source if sheet.shares else id(sheet), sheet) for sheet in report.sheets]
            assert report.rows_read == len({(table, row.number) for table, sheet in tables for row in sheet.rows})
        return report

    def refused(self, path: Path, **options: Any) -> SheetRefused:
        """Read a file that must be refused and change nothing."""
        before = self.entries()
        with pytest.raises(SheetRefused) as caught:
            self.read(path, **options)
        assert self.entries() == before
        report = caught.value.report
        assert (report.added, report.changed, report.unchanged) == (0, 0, 0)
        return caught.value

    def again(self, path: Path, **options: Any) -> None:
        """Read a file that must change nothing."""
        before = self.entries()
        report = self.read(path, **options)
        assert [(row.what, row.changes) for row in report.rows if row.verdict != "unchanged"] == []
        assert report.unchanged == report.rows_read > 0
        assert self.entries() == before

    def entries(self) -> int:
        with self.record.read() as session:
            return session.scalar(select(func.count()).select_from(JournalEntry).where(JournalEntry.act != "hand")) or 0

    def tags(self) -> list[str]:
        with self.record.read() as session:
            return [line.tag for line in lines_of(session)]

    def card(self, tag: str | None = None) -> Card:
        """The card of a part, or of the only one."""
        with self.record.read() as session:
            return card_of(session, tag or self.only())

    def only(self) -> str:
        (tag,) = self.tags()
        return tag

    def fits(self) -> bool:
        return bool(verify(self.record).ok)


@pytest.fixture
def desk(record: Record, tmp_path: Path) -> Desk:
    with record.write() as session:
        add_car(session, BY, "Green tourer")
        add_car(session, BY, "Blue coupe")
    return Desk(record, tmp_path)
