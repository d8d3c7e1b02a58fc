"""Draws a paper for others on A4: sections of lines, with pictures beside them, and its fingerprint."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Mapping, Sequence

from inventory.papers.page import Line, Page, Section
from inventory.printed.write_paper import LEAST, Paper
from inventory.store.days.date_words import day_words

__all__ = ["drawn"]

_TITLE, _HEADING, _TEXT = 14.0, 10.5, LEAST
#: The column of pictures, the space beside it, the greatest height of a picture (mm); its longest side (pixels).
_COLUMN, _BESIDE, _HIGH, _PIXELS = 52.0, 5.0, 50.0, 900
_WORD = 27.0  # the width of the word before a text (mm)
#: How many entries of a section stand at most, each with how many lines (0: any), in turn until one page is enough.
_TRIED = ((60, 0), (40, 3), (12, 3), (8, 2), (5, 2), (3, 2))


def drawn(page: Page, pictures: Mapping[str, bytes]) -> Paper:
    """The paper, on one page if that can be done without leaving out a line that must stay.

    `pictures`: their bytes by digest; one that cannot be read is named in its place.
    """
    from inventory.documents.picture import small_if_shown

    small = {digest: small_if_shown(held, _PIXELS) for digest, held in pictures.items()}
    for most in _TRIED:
        paper = _draw(page, small, most)
        if paper.pages_count == 1:
            return paper
    return paper


def _draw(page: Page, pictures: Mapping[str, tuple[io.BytesIO, float] | None], most: tuple[int, int]) -> Paper:
    paper = Paper(f"{page.name}{f', {page.tag}' if page.tag else ''}", day_words(page.day))
    paper.add_page()
    paper.words(page.title, _TITLE, bold=True, lines=2)
    if page.intro:
        paper.words(page.intro, _TEXT, lines=0)
    paper.ln(1.5)
    end = _pictures(paper, page, pictures) if page.pictures else 0.0
    beside = (_COLUMN + _BESIDE) if page.pictures else 0.0
    for section in page.sections:
        _section(paper, section, beside, end, most)
    if page.statement:
        if paper.page == 1:
            paper.set_y(max(paper.y, end))
        paper.ln(1.5)
        paper.line(paper.l_margin, paper.y, paper.w - paper.r_margin, paper.y)
        paper.ln(1)
        for paragraph in page.statement.split("\n\n"):
            paper.words(paragraph, _TEXT, lines=0)
            paper.ln(1)
    for line in page.known_by:
        paper.words(line, _TEXT, lines=0)
    return paper


def _section(paper: Paper, section: Section, beside: float, end: float, most: tuple[int, int]) -> None:
    """The title of a section and its lines; those left out for want of room are counted."""
    if not section.lines and not section.note:
        return
    shown = _chosen(section.lines, most[0])
    paper.keep(12)
    paper.ln(1)
    width = _across(paper, beside, end)
    paper.words(section.title, _HEADING, bold=True, width=width)
    if section.note:
        paper.words(section.note, _TEXT, width=_across(paper, beside, end), lines=0)
    for line in shown:
        _line(paper, line, beside, end, most[1])
    if len(shown) < len(section.lines):
        _line(paper, _left_out([line for line in section.lines if line not in shown]), beside, end, 1)


def _left_out(lines: Sequence[Line]) -> Line:
    """How many lines are left out; of tests also how they came out."""
    counts = Counter(str(line.data["verdict"]) for line in lines if "verdict" in line.data)
    outcomes = f" ({', '.join(f'{many} {verdict}' for verdict, many in counts.items())})" if counts else ""
    return Line(f"{len(lines)} more on record{outcomes}, left out here for want of room")


def _chosen(lines: Sequence[Line], most: int) -> list[Line]:
    """At most so many lines; those that must stay are never left out."""
    free = most - sum(line.keep for line in lines)
    chosen = []
    for line in lines:
        if line.keep or free > 0:
            chosen.append(line)
            free -= not line.keep
    return chosen


def _line(paper: Paper, line: Line, beside: float, end: float, most: int) -> None:
    width = _across(paper, beside, end) - (_WORD if line.word else 0)
    lines = 0 if line.keep else most
    if paper.y + paper.height(line.says, _TEXT, width, lines) > paper.page_break_trigger:
        paper.add_page()
        width = paper.epw - (_WORD if line.word else 0)
    top, beside_it = paper.y, 0.0
    if line.word:
        beside_it = paper.words(line.word, _TEXT, width=_WORD - 1, lines=2)
        paper.set_xy(paper.l_margin + _WORD, top)
    high = paper.words(line.says, _TEXT, width=width, lines=lines)
    paper.set_xy(paper.l_margin, max(paper.y, top + max(high, beside_it)))


def _across(paper: Paper, beside: float, end: float) -> float:
    """The width of text: beside the pictures on the first page, the whole page below them."""
    return paper.epw - (beside if paper.page == 1 and paper.y < end else 0.0)


def _pictures(paper: Paper, page: Page, pictures: Mapping[str, tuple[io.BytesIO, float] | None]) -> float:
    """The pictures in a column at the right; where it ends (mm from the top)."""
    top, left = paper.y, paper.w - paper.r_margin - _COLUMN
    for each in page.pictures:
        made = pictures.get(each.digest)
        caption = each.caption if made is not None else f"{each.caption}: the picture cannot be shown"
        high = 0.0 if made is None else min(_HIGH, _COLUMN / made[1])
        under = paper.height(caption, _TEXT, _COLUMN, 2)
        if paper.y + high + under > paper.page_break_trigger - 40:
            break
        if made is not None:
            paper.image(made[0], left, paper.y, h=high)
        paper.set_xy(left, paper.y + high)
        paper.words(caption, _TEXT, width=_COLUMN, lines=2)
        paper.set_y(paper.y + 1.5)
    end = paper.y
    paper.set_xy(paper.l_margin, top)
    return end
