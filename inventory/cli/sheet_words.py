"""What `matchmark sheet read` prints: what headers stand for, the counts, what changes, what is wrong."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Sequence
from textwrap import wrap
from time import monotonic
from typing import TYPE_CHECKING

from inventory.cli.streams import sentence
from inventory.store.words.text import clean

if TYPE_CHECKING:
    from inventory.sheets.columns.questions import SheetQuestion
    from inventory.sheets.plan.problems import Problem
    from inventory.sheets.plan.rows import PlanRow
    from inventory.sheets.progress import OnProgress
    from inventory.sheets.report import Report

__all__ = ["progress_on_one_line", "report_text", "shown_remarks"]

#: How many rows with the same problem are named; how many lines of one sort, and how many remarks are shown.
_NAMED, _LINES, _REMARKS = 6, 30, 20
#: How many texts of a column that are kept as they stand are shown.
_TEXTS = 3
_WIDTH = 80
#: Stands for the text of a cell in a sentence that several texts share.
_ANY = '"..."'
_OF_A_ROW = re.compile(r"(.+), row (\d+): (.+)", re.DOTALL)
#: A read that takes less (seconds) shows no progress; after that the line is written again at this interval at most.
_LONG_S, _EVERY_S = 1.0, 0.25


def report_text(report: Report, trial: bool) -> str:
    """The counts, what changes, what is wrong and what is asked; a trial also shows the headers and new rows.

    Lines fit in 80 columns. What a person has to do stands last, where it is read on a screen.
    """
    many = "" if report.rows_read == 1 else "s"
    lines = [f"{report.rows_read} row{many} read: {_counts(report)}" + (". Nothing was written" if trial else "")]
    if trial:
        lines += _headers(report)
        lines += _listed([_new(row) for row in report.rows if row.verdict == "added"], "new rows")
    if trial or not report.held:
        lines += _listed([_change(row) for row in report.rows if row.verdict == "changed"], "changed rows")
    lines += _wrong(report.problems)
    lines += _kept_as_text(report.unread)
    lines += _listed([line for says in report.to_look_at for line in _wrapped(sentence(says))], "lines")
    lines += _questions(report.questions)
    return "\n".join(lines)


def shown_remarks(remarks: Sequence[str]) -> tuple[str, ...]:
    """Remarks, the same of several rows once; the first few, and how many more there are."""
    rows: dict[tuple[str, str], list[str]] = {}
    for remark in remarks:
        found = _OF_A_ROW.fullmatch(remark)
        place, says = (found[1], found[3]) if found else ("", remark)
        rows.setdefault((place, says), []).append(found[2] if found else "")
    said = [f"{place}, row {_numbers(numbers)}: {says}" if place else says for (place, says), numbers in rows.items()]
    more = [f"And {len(said) - _REMARKS} more remarks: --json has them all"] if len(said) > _REMARKS else []
    return (*said[:_REMARKS], *more)


def _headers(report: Report) -> Iterator[str]:
    """Each header, its similarity (0 to 100), and the column it stands for."""
    for sheet in report.sheets:
        yield f"  {sheet.name}, read as {sheet.kind.name}: header, similarity (of 100), column"
        for each in (each for each in sheet.headings if each.header):
            taken = each.column or (f"in doubt: {each.doubt}?" if each.doubt else "kept under its own name")
            yield _cut(f"    {each.header}  {each.score or '-'}  {taken}")


def _new(row: PlanRow) -> str:
    """A new row in one line: what it is about, and where it is; of a row of facts all that it says."""
    said = {each.column: each.new for each in row.changes}
    about = said.get("place") or said.get("car") if said.get("kind") else "; ".join(map(" ".join, said.items()))
    return _cut(f"  {row.sheet.name} {row.row.number}  added  {row.what}{f': {about}' if about else ''}")


def _change(row: PlanRow) -> str:
    changes = "; ".join(f"{each.column} {each.old or '(empty)'} -> {each.new}" for each in row.changes)
    return _cut(f"  {row.sheet.name} {row.row.number}  changed  {row.what}: {changes}")


def _listed(lines: Sequence[str], what: str) -> list[str]:
    """The first lines, and how many more there are."""
    more = [f"  and {len(lines) - _LINES} more {what}: --json has them all"] if len(lines) > _LINES else []
    return [*lines[:_LINES], *more]


def _wrong(problems: Sequence[Problem]) -> Iterator[str]:
    """What is wrong by kind: one that several texts have is told once, with each text and the first of its rows."""
    kinds: dict[tuple[str, str, str], dict[tuple[str, str | None], list[int]]] = {}
    for each in problems:
        plain = each.problem.replace(f'"{each.value}"', _ANY) if each.value else each.problem
        texts = kinds.setdefault((each.sheet, each.column, plain), {})
        texts.setdefault((each.value, each.hint), []).append(each.row)
    for (sheet, column, plain), texts in kinds.items():
        several = len(texts) > 1 and _ANY in plain
        if several:
            rows = sum(map(len, texts.values()))
            yield from _wrapped(f"{sheet}, {rows} rows  {column}: {plain}")
        for (value, hint), numbers in list(texts.items())[:_LINES]:
            quoted = f' "{value}"' if value else ""
            todo = f" ({hint})" if hint else ""
            if several:
                yield from _wrapped(f'"{value}"  {_numbers(list(map(str, numbers)))}{todo}', "    ")
            else:
                says = plain.replace(_ANY, f'"{value}"')
                yield from _wrapped(f"{sheet} {_numbers(list(map(str, numbers)))}  {column}{quoted}: {says}{todo}")
        if len(texts) > _LINES:
            yield f"    and {len(texts) - _LINES} more: --json has them all"


def _kept_as_text(cells: Sequence[Problem]) -> Iterator[str]:
    """The cells that cannot be read and go in as text, by column, most cells first, with the first few texts."""
    columns: dict[str, dict[str, list[Problem]]] = {}
    for each in cells:
        columns.setdefault(each.column, {}).setdefault(each.value, []).append(each)
    if columns:
        yield "Kept as text, nothing dropped:"
    for column, texts in sorted(columns.items(), key=lambda pair: -sum(map(len, pair[1].values()))):
        count = sum(map(len, texts.values()))
        said = [
            f'"{text}" {alike[0].sheet} {alike[0].row}' + (f" and {len(alike) - 1} more" if len(alike) > 1 else "")
            for text, alike in list(texts.items())[:_TEXTS]
        ]
        more = [f"and {len(texts) - _TEXTS} more texts"] if len(texts) > _TEXTS else []
        yield from _wrapped(f"{column}, {count} cell{'' if count == 1 else 's'}: {'; '.join([*said, *more])}")


def _questions(questions: Sequence[SheetQuestion]) -> Iterator[str]:
    """What is asked, numbered as `--answer 1=...` takes it, with what is taken if nobody answers.

    Of very many the first are told, and those for which rows wait.
    """
    if questions:
        yield "To answer, most rows first:"
    told = [(number, each) for number, each in enumerate(questions, 1) if number <= _LINES or not each.taken]
    for number, each in told:
        by_sheet: dict[str, list[str]] = {}
        for sheet, row in each.rows:
            by_sheet.setdefault(sheet, []).append(str(row))
        where = "; ".join(f"{sheet} {_numbers(rows)}" for sheet, rows in by_sheet.items())
        many = "" if len(each.rows) == 1 else "s"
        rows = f": {len(each.rows)} row{many} ({where})" if each.rows else ""
        yield from _wrapped(f"{number}. {each.says}{rows}")
        yield from (_cut(f"       {line}") for line in each.shown)
        said = {choice.key: choice.says for choice in each.choices}
        keys = [key if says == key else f"{key} ({says})" for key, says in said.items()]
        typed = [f"any {each.typed}"] if each.typed else []
        otherwise = f"Without one: {each.taken}" if each.taken else "Without one these rows wait"
        yield from _wrapped(f"answers: {', '.join([*keys, *typed])}. {otherwise}", "     ")
    if left := len(questions) - len(told):
        yield f"  and {left} more that can stay as they are: --json has them all"
    if questions:
        first = questions[0]
        yield f"  For example: --answer 1={first.choices[0].key if first.choices else 'TEXT'}"


def _numbers(rows: Sequence[str]) -> str:
    """The numbers of the first few rows, and how many more there are."""
    more = f" and {len(rows) - _NAMED} more" if len(rows) > _NAMED else ""
    return f"{', '.join(rows[:_NAMED])}{more}"


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    """Text in lines of 80 columns; what goes on is indented further."""
    more = f"{indent}    "
    return wrap(text, _WIDTH, initial_indent=indent, subsequent_indent=more, break_on_hyphens=False)


def _cut(line: str) -> str:
    """A line that fits in 80 columns."""
    plain = line.replace("\n", " / ")
    return plain if len(plain) <= _WIDTH else f"{plain[: _WIDTH - 4].rstrip()} ..."


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
