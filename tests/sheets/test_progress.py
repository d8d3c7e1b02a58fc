"""How far a long read is: what is told, in which order, and the sentence that people see."""

from __future__ import annotations

import sys
from io import StringIO

import pytest

from inventory.cli import sheet_words
from inventory.sheets import read_sheet
from inventory.sheets.progress import CELLS, PLANNING, READING, WRITING, progress_line
from tests.sheets.conftest import BY, Desk


@pytest.mark.parametrize(
    ("done", "total", "seconds", "says"),
    [
        (0, None, 3.0, "writing"),
        (0, 100_000, 0.0, "writing: 0 of 100,000 rows"),
        (41_200, 100_000, 2.0, "writing: 41,200 of 100,000 rows, 20,600 a second, 3 s left"),
        (1_000, 100_000, 10.0, "writing: 1,000 of 100,000 rows, 100 a second, 16 min left"),
        (100_000, 100_000, 4.0, "writing: 100,000 of 100,000 rows, 25,000 a second, 1 s left"),
    ],
)
def test_rate_and_time_left(done: int, total: int | None, seconds: float, says: str) -> None:
    assert progress_line("writing", done, total, seconds) == says


def test_a_read_tells_progress_line_it_is_step_by_step(desk: Desk) -> None:
    told: list[tuple[str, int, int | None]] = []
    path = desk.csv([["kind", "serial"], *(["relay", f"{number}"] for number in range(4500))])

    read_sheet(desk.record, path, BY, on_progress=lambda *each: told.append(each))

    assert list(dict.fromkeys(what for what, _, _ in told)) == [READING, CELLS, PLANNING, WRITING]
    for step in (CELLS, PLANNING, WRITING):
        counts = [done for what, done, _ in told if what == step]
        assert counts == sorted(counts)
        assert len(counts) > 2
    assert told[-1] == (WRITING, 4500, 4500)


def test_the_line_is_written_over_and_gone_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    moments = iter([0.0, 0.5, 2.0, 2.1, 3.0, 4.0])
    written = StringIO()
    monkeypatch.setattr(sheet_words, "monotonic", lambda: next(moments))
    monkeypatch.setattr(sys, "stderr", written)

    tell = sheet_words.progress_on_one_line("parts.xlsx")
    for done in (0, 2000, 2100, 3000, 10_000):
        tell(WRITING, done, 10_000)

    lines = written.getvalue().split("\r\x1b[K")[1:]
    assert lines == [
        "parts.xlsx, writing: 2,000 of 10,000 rows, 1,333 a second, 6 s left",
        "parts.xlsx, writing: 3,000 of 10,000 rows, 1,200 a second, 6 s left",
        "",
    ]
