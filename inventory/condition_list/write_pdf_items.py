"""Draws the items: two pictures left, the labelled lines right, two or three a page, none split over pages.

An item without pictures has its lines over the whole width.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from inventory.condition_list.item_lines import TO_NOTE, item_lines, item_name
from inventory.condition_list.load_pictures import PictureOf, SmallPicture
from inventory.condition_list.values import ConditionList, Evidence, Item
from inventory.printed.write_paper import LEAST, Paper

__all__ = ["CutText", "OnItem", "draw_items"]

#: Called with how many items are drawn, and how many there are.
OnItem: TypeAlias = Callable[[int, int], None]

#: The picture of the whole and that of the marks (mm): greatest width and height, and pixels of the longer side.
_WHOLE, _WHOLE_PIXELS = (60.0, 46.0), 420
_MARKING, _MARKING_PIXELS = (30.0, 30.0), 330
_LEFT, _LABEL = 64.0, 25.0  # from the margin to the lines; from there to their texts
#: Lines of a text at most: as many as the first of these lets the item stand on half a page, else the last.
_MOST_LINES = (9, 6, 4)
_HALF_PAGE = 122.0
#: What the second picture shows, the first of these that there is.
_SECOND = ("marking", "damage", "seal")
_WITHOUT = "Pictures are drawn only where the list is made from the record."


@dataclass(frozen=True)
class CutText:
    """A text that was too long for its item; it stands in full in an annex."""

    item: int
    tag: str
    label: str
    text: str


@dataclass(frozen=True)
class _Line:
    label: str
    lines: Sequence[str]


def draw_items(
    paper: Paper, drawn: ConditionList, picture_of: PictureOf | None, on_item: OnItem | None = None
) -> list[CutText]:
    """Every item from a new page on; gives the texts that were too long for it. `on_item`: told of each."""
    cut: list[CutText] = []
    if not drawn.items:
        return cut
    numbers = {entry.id: entry.number for entry in drawn.evidence}
    paper.add_page()
    paper.heading("Items", below=80)
    if picture_of is None:
        paper.words(_WITHOUT, LEAST)
    for done, item in enumerate(drawn.items):
        if on_item is not None:
            on_item(done, len(drawn.items))
        cut += _item(paper, item, drawn.basis, numbers, picture_of)
    return cut


def _item(paper: Paper, item: Item, basis: str, numbers: dict[str, int], picture_of: PictureOf | None) -> list[CutText]:
    pictures = _Pictures(paper, item, numbers, picture_of)
    left = _LEFT if item.has_picture else 0.0
    lines, cut = _fitted(paper, item, item_lines(item, basis), paper.epw - left - _LABEL)
    high = paper.line_height(LEAST)
    heading = paper.lines_of(f"{item.number}   {item.tag}   {item_name(item)}", 11, paper.epw, 2)
    wanted = max(sum(len(line.lines) for line in lines) * high + len(lines) * 0.6, pictures.height)
    paper.keep(wanted + len(heading) * paper.line_height(11) + 4)
    paper.start_section(paper.printable(f"{item.number}  {item.tag}  {item_name(item)}"[:80]), 1, strict=False)
    paper.write_lines(heading, 11, paper.epw, bold=True)
    top = paper.y + 1
    pictures.draw(top)
    y = top
    for line in lines:
        paper.set_xy(paper.l_margin + left, y)
        paper.words(line.label, LEAST, width=_LABEL, bold=True)
        paper.set_xy(paper.l_margin + left + _LABEL, y)
        y += paper.write_lines(line.lines, LEAST, paper.epw - left - _LABEL) + 0.6
    paper.set_xy(paper.l_margin, top + wanted + 1.5)
    paper.set_line_width(0.1)
    paper.line(paper.l_margin, paper.y, paper.w - paper.r_margin, paper.y)
    paper.ln(1.5)
    return cut


def _fitted(
    paper: Paper, item: Item, texts: Sequence[tuple[str, str]], across: float
) -> tuple[list[_Line], list[CutText]]:
    """The lines of the texts, and what was cut so that the item fits half a page where that is possible."""
    whole = [paper.lines_of(text, LEAST, across) for _, text in texts]
    high = paper.line_height(LEAST)
    most = next(
        (most for most in _MOST_LINES if sum(min(len(lines), most + 1) for lines in whole) * high < _HALF_PAGE),
        _MOST_LINES[-1],
    )
    found, cut = [], []
    for (label, text), lines in zip(texts, whole, strict=True):
        if len(lines) > most + 1:
            annex = "Remarks and gaps" if label == TO_NOTE else "Texts in full"
            lines = [*paper.lines_of(text, LEAST, across, most), f"(in full under {annex})"]
            cut += [] if label == TO_NOTE else [CutText(item.number, item.tag, label, text)]
        found.append(_Line(label, lines))
    return found, cut


class _Pictures:
    """The pictures of an item with their captions; measured when made, then drawn."""

    def __init__(self, paper: Paper, item: Item, numbers: dict[str, int], picture_of: PictureOf | None) -> None:
        self._paper, self._numbers = paper, numbers
        shown = [each for each in item.evidence if each.picture]
        first = _last(shown, "whole") or _last([each for each in shown if each.shows not in _SECOND], None)
        second = next((found for shows in _SECOND if (found := _last(shown, shows))), None)
        self.height = 0.0
        self._drawn: list[tuple[Evidence | None, SmallPicture, tuple[float, float], list[str]]] = []
        if not shown:
            return
        for evidence, (box, pixels), missing in (
            (first, (_WHOLE, _WHOLE_PIXELS), "No picture of the whole."),
            (second, (_MARKING, _MARKING_PIXELS), "No picture of a marking."),
        ):
            self._drawn.append(self._measured(evidence, box, pixels, missing, picture_of))
        self.height = sum(size[1] + len(lines) * paper.line_height(LEAST) + 1.5 for _, _, size, lines in self._drawn)

    def _measured(
        self,
        evidence: Evidence | None,
        box: tuple[float, float],
        pixels: int,
        missing: str,
        picture_of: PictureOf | None,
    ) -> tuple[Evidence | None, SmallPicture, tuple[float, float], list[str]]:
        across = _WHOLE[0]
        if evidence is None or picture_of is None:
            caption = missing if evidence is None else self._caption(evidence, SmallPicture())
            return None, SmallPicture(), (0, 0), self._paper.lines_of(caption, LEAST, across, 4)
        small = picture_of(evidence.document, pixels)
        lines = self._paper.lines_of(self._caption(evidence, small), LEAST, across, 4)
        if small.problem:
            return evidence, small, (box[0], 22.0), lines
        wide = min(box[0], box[1] * small.ratio)
        return evidence, small, (wide, wide / small.ratio), lines

    def _caption(self, evidence: Evidence, small: SmallPicture) -> str:
        number = self._numbers.get(evidence.document)
        named = f"Evidence {number}" if number else evidence.document
        if small.taken_on:
            source = "camera's clock" if small.taken_from == "camera" else small.taken_from or "source not known"
            return f"{named}, {evidence.shows}: {small.taken_on} ({source})"
        return f"{named}, {evidence.shows}: {evidence.when.on} (day stated)"

    def draw(self, top: float) -> None:
        """Draw them one below the other."""
        paper, y = self._paper, top
        for evidence, small, (wide, high), caption in self._drawn:
            if evidence is not None and small.problem:
                paper.set_line_width(0.2)
                paper.rect(paper.l_margin, y, wide, high)
                paper.set_xy(paper.l_margin + 1.5, y + 1.5)
                paper.words(f"Not drawn: {small.problem}.", LEAST, width=wide - 3, lines=4)
            elif evidence is not None:
                paper.image(io.BytesIO(small.held), paper.l_margin, y, w=wide, h=high)
            paper.set_xy(paper.l_margin, y + high + 0.4)
            y += high + 1.5 + paper.write_lines(caption, LEAST, _WHOLE[0])


def _last(shown: Sequence[Evidence], shows: str | None) -> Evidence | None:
    """The last picture that shows this; None: whatever it shows."""
    found = [each for each in shown if shows is None or each.shows == shows]
    return found[-1] if found else None
