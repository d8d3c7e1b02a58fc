"""What `matchmark sheet read` prints: what headers stand for, the counts, what changes, what is wrong."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from time import monotonic
from typing import TYPE_CHECKING

from inventory.cli.streams import sentence
from inventory.store.words.text import clean

if TYPE_CHECKING:
    from inventory.sheets.plan.problems import Problem
    from inventory.sheets.progress import OnProgress
    from inventory.sheets.report import Report

__all__ = ["progress_on_one_line", "report_text"]

#: How many rows with the same problem are named.
_NAMED = 6
#: A read that takes less (seconds) shows no progress; after that the line is written again at this interval at most.
_LONG_S, _EVERY_S = 1.0, 0.25


def report_text(report: Report, trial: bool) -> str:
    """The counts, the changes with old and new, and what is wrong; a trial also shows the headers and new rows."""
    many = "" if report.rows_read == 1 else "s"
    lines = [f"{report.rows_read} row{many} read: {_counts(report)}" + (". Nothing was written" if trial else "")]
    if trial:
        lines += _headers(report)
    shown = ("added", "changed") if trial else ("changed",)
    rows = [row for row in report.rows if row.verdict in shown] if not report.held or trial else []
    for row in rows:
        changes = "; ".join(f"{each.column} {each.old or '(empty)'} -> {each.new}" for each in row.changes)
        lines.append(f"  {row.sheet.name} {row.row.number}  {row.verdict}  {row.what}: {changes}")
    lines += _wrong(report.problems)
    lines += [f"  {sentence(says)}" for says in report.to_look_at]
    return "\n".join(lines)


def _headers(report: Report) -> Iterator[str]:
    """Each header, its similarity (0 to 100), and the column it stands for."""
    for sheet in report.sheets:
        yield f"  {sheet.name}, read as {sheet.kind.name}: header, similarity (of 100), column"
        for each in (each for each in sheet.headings if each.header):
            taken = each.column or (f"in doubt: {each.doubt}?" if each.doubt else "kept under its own name")
            yield f"    {each.header}  {each.score or '-'}  {taken}"


def _wrong(problems: list[Problem]) -> Iterator[str]:
    """What is wrong; a problem of several rows is listed once, with the first of these rows."""
    rows: dict[tuple[str, str, str, str, str | None], list[int]] = {}
    for each in problems:
        rows.setdefault((each.sheet, each.column, each.value, each.problem, each.hint), []).append(each.row)
    for (sheet, column, value, problem, hint), numbers in rows.items():
        where = ", ".join(map(str, numbers[:_NAMED]))
        more = f" and {len(numbers) - _NAMED} more" if len(numbers) > _NAMED else ""
        quoted = f' "{value}"' if value else ""
        todo = f" ({hint})" if hint else ""
        yield f"  {sheet} {where}{more}  {column}{quoted}: {problem}{todo}"


def _counts(report: Report) -> str:
    counts = {name: getattr(report, name) for name in ("added", "changed", "unchanged", "refused", "held")}
    return ", ".join(f"{count} {name}" for name, count in counts.items() if count or name in ("added", "changed"))


def progress_on_one_line(name: str, counted: str = "rows") -> OnProgress:
    """Shows the progress of a long read on one line of stderr, which is overwritten and removed at the end."""
    from inventory.sheets.progress import progress_line

    first = monotonic()
    began: dict[str, float] = {}
    last = [first]

    def show(step: str, done: int, total: int | None) -> None:
        now = monotonic()
        began.setdefault(step, now)
        finished = total is not None and done >= total
        if now - first < _LONG_S or (now - last[0] < _EVERY_S and not finished):
            return
        last[0] = now
        words = "" if finished else f"{name}, {progress_line(step, done, total, now - began[step], counted)}"
        sys.stderr.write(f"\r\x1b[K{clean(words)}")
        sys.stderr.flush()

    return show
