"""Draws the plan, and the strip-down as it was logged, to be printed: one line a part, then step by step."""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping, Sequence

from inventory.printed.write_paper import LEAST, Paper
from inventory.refit.jobs import JobLine
from inventory.refit.plan import ON, RefitPlan, Step
from inventory.refit.words import around, circle_words, details_of, state_words
from inventory.store.days.date_words import day_words

__all__ = ["plan_paper", "strip_down_paper"]

_WORD = 24.0  # the width of the word before a text (mm)
_INDENT = 7.0
_GAP = 2.5
_HEADING = 12.0
#: One line a part: the widths of number, tag, part and position, place and bag, state (mm).
_COLUMNS = (8.0, 17.0, 80.0, 32.0, 38.0)
#: A small picture: its height and greatest width (mm), and its longest side (pixels).
_HIGH, _WIDE, _PIXELS = 32.0, 56.0, 640


def plan_paper(plan: RefitPlan, day: str) -> Paper:
    """The plan on A4: what to know first, one line a part, then step by step."""
    paper = Paper(f"Refit: {plan.car}", day)
    paper.add_page()
    for care in plan.care:
        paper.words(care, 10, bold=True, lines=0)
    for first, *more in map(circle_words, plan.circles):
        _titled(paper, first, more)
    _title(paper, "One line a part")
    numbers = {step.position: step.order for step in plan.steps}
    for line in plan.lines:
        if isinstance(line, JobLine):
            _row(paper, line.done is not None, ("", "job", line.says, "", ""))
        else:
            _row(paper, line.state == ON, _columns(line, _state(line, numbers)))
    paper.add_page()
    _title(paper, "Step by step")
    for line in plan.lines:
        if isinstance(line, JobLine):
            _block(paper, f"Job: {line.says}", (), (), ticked=line.done is not None)
        else:
            heading = f"{line.order}  {_named(line)}: {_state(line, numbers)}"
            _block(paper, heading, line.care, details_of(line), ticked=line.state == ON)
    for title, said in around(plan):
        _titled(paper, title, said)
    return paper


def strip_down_paper(
    car: str,
    day: str,
    steps: Sequence[tuple[Step, Sequence[str]]],
    stays: Iterable[str],
    pictures: Mapping[str, bytes],
) -> Paper:
    """The strip-down on A4 as it was logged. `steps`: each with the digests of its pictures, whose bytes are given."""
    from inventory.documents.picture import small_if_shown

    paper = Paper(f"Strip-down as logged: {car}", day)
    paper.add_page()
    _title(paper, "One line a part, in the order of coming off")
    for step, _ in steps:
        _row(paper, False, _columns(step, day_words(step.came_off or "")))
    if kept := list(stays):
        _titled(paper, "Stays on the car", kept)
    paper.add_page()
    _title(paper, "Part by part")
    for step, digests in steps:
        made = [small_if_shown(pictures.get(each), _PIXELS) for each in digests]
        small = [each for each in made if each is not None]
        _block(paper, f"{step.order}  {_named(step)}", (), details_of(step), pictures=small)
    return paper


def _named(step: Step) -> str:
    return f"{' '.join(filter(None, (step.tag, step.part))) or 'no part'}, {step.position}"


def _state(step: Step, numbers: Mapping[str, int]) -> str:
    return f"on, {day_words(step.on)}" if step.state == ON and step.on else state_words(step, numbers)


def _columns(step: Step, last: str) -> tuple[str, ...]:
    lies = ", ".join(filter(None, (step.place, step.bag and f"bag {step.bag}")))
    part = ", ".join(filter(None, (step.part or "no part", step.position)))
    return (str(step.order), step.tag or "", part, lies, last)


def _title(paper: Paper, text: str) -> None:
    if paper.y + 25 > paper.page_break_trigger:
        paper.add_page()
    paper.ln(_GAP)
    paper.words(text, _HEADING, bold=True)
    paper.ln(1)


def _titled(paper: Paper, title: str, lines: Iterable[str]) -> None:
    _title(paper, title)
    for line in lines:
        paper.words(line, 10, lines=0)


def _row(paper: Paper, ticked: bool, texts: Sequence[str]) -> None:
    """One line with a box; at most two lines of type."""
    high = max(paper.height(text, LEAST, width - 2, 2) for text, width in zip(texts, _COLUMNS, strict=True))
    if paper.y + high > paper.page_break_trigger:
        paper.add_page()
    top, x = paper.y, paper.l_margin + _INDENT
    _box(paper, top, ticked)
    for place, (text, width) in enumerate(zip(texts, _COLUMNS, strict=True)):
        paper.set_xy(x, top)
        paper.words(text, LEAST, width=width - 2, lines=2, bold=place == 1)
        x += width
    paper.set_xy(paper.l_margin, top + high + 1)


def _block(
    paper: Paper,
    heading: str,
    care: Sequence[str],
    details: Sequence[tuple[str, str]],
    *,
    ticked: bool = False,
    pictures: Sequence[tuple[io.BytesIO, float]] = (),
) -> None:
    """A step: its care line, a box and the heading, the details; kept on one page where it fits one."""
    width = paper.epw - _INDENT
    high = sum(paper.height(line, 10, width) for line in care) + paper.height(heading, 11, width)
    high += sum(paper.height(text, LEAST, width - _WORD) for _, text in details) + (_HIGH + 2 if pictures else 0)
    if paper.y + high > paper.page_break_trigger and high < paper.eph - 20:
        paper.add_page()
    for line in care:
        paper.set_x(paper.l_margin + _INDENT)
        paper.words(line, 10, bold=True, lines=0)
    _box(paper, paper.y, ticked)
    paper.set_x(paper.l_margin + _INDENT)
    paper.words(heading, 11, bold=True, lines=0)
    for word, text in details:
        if paper.y + paper.height(text, LEAST, width - _WORD) > paper.page_break_trigger:
            paper.add_page()
        top = paper.y
        paper.set_x(paper.l_margin + _INDENT)
        paper.words(word, LEAST, width=_WORD)
        paper.set_xy(paper.l_margin + _INDENT + _WORD, top)
        paper.words(text, LEAST, lines=0)
    _pictures(paper, pictures)
    paper.set_xy(paper.l_margin, paper.y + _GAP)


def _pictures(paper: Paper, pictures: Sequence[tuple[io.BytesIO, float]]) -> None:
    """Small pictures side by side. Each with its width for its height."""
    x = paper.l_margin + _INDENT
    for place, (held, ratio) in enumerate(pictures):
        wide = min(_WIDE, _HIGH * ratio)
        if place == 0 or x + wide > paper.w - paper.r_margin:
            paper.ln(1 if place == 0 else _HIGH + 2)
            x = paper.l_margin + _INDENT
            if paper.y + _HIGH > paper.page_break_trigger:
                paper.add_page()
        paper.image(held, x, paper.y, w=wide)
        x += wide + 2
    if pictures:
        paper.set_y(paper.y + _HIGH + 1)


def _box(paper: Paper, y: float, ticked: bool) -> None:
    paper.box(paper.l_margin, y + 0.5)
    if ticked:
        paper.line(paper.l_margin, y + 0.5, paper.l_margin + 3.5, y + 4)
        paper.line(paper.l_margin, y + 4, paper.l_margin + 3.5, y + 0.5)
