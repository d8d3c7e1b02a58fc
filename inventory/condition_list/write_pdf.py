"""Draws the condition list on A4: front, terms, schedule, items with pictures, annexes, statement.

The JSON of the list is embedded as `condition-list.json`. Every text is drawn: what does not fit its line stands in
full on a page of its own.
"""

from __future__ import annotations

from pathlib import Path

import orjson

from inventory.condition_list.load_pictures import PictureOf
from inventory.condition_list.values import ConditionList
from inventory.condition_list.words import CONFIDENTIAL
from inventory.condition_list.write_pdf_annexes import draw_annexes
from inventory.condition_list.write_pdf_front import draw_front, draw_terms
from inventory.condition_list.write_pdf_items import OnItem, draw_items
from inventory.condition_list.write_pdf_schedule import draw_schedule
from inventory.condition_list.write_pdf_statement import draw_figures, draw_statement
from inventory.printed.write_paper import Paper

__all__ = ["EMBEDDED", "list_paper", "write_pdf"]

#: The name of the list's JSON in the PDF.
EMBEDDED = "condition-list.json"


def write_pdf(
    path: Path, drawn: ConditionList, picture_of: PictureOf | None = None, on_item: OnItem | None = None
) -> None:
    """Write the list as a PDF; `picture_of`: the pictures of the record, by document, else none are drawn."""
    path.write_bytes(list_paper(drawn, picture_of, on_item).content())


def list_paper(drawn: ConditionList, picture_of: PictureOf | None = None, on_item: OnItem | None = None) -> Paper:
    """The list, drawn."""
    paper = Paper(drawn.title, f"as of {drawn.as_of}   {CONFIDENTIAL}", foot=drawn.foot)
    fingerprint = drawn.state.mark or f"fingerprint {drawn.fingerprint}"
    paper.set_subject(f"as of {drawn.as_of}, as known on {drawn.known_on}; {fingerprint}")
    paper.add_page()
    draw_front(paper, drawn)
    draw_terms(paper)
    draw_schedule(paper, drawn)
    cut = draw_items(paper, drawn, picture_of, on_item)
    draw_annexes(paper, drawn, cut)
    draw_figures(paper, drawn)
    draw_statement(paper, drawn)
    paper.attach(EMBEDDED, orjson.dumps(drawn.as_dict()), "application/json", "The list as data")
    return paper
