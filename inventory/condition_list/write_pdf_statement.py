"""Draws the last pages: how the figures came about, how to check the list, statement and signatures."""

from __future__ import annotations

from inventory.condition_list.fingerprint import CHECK
from inventory.condition_list.pages import ANCHOR, ENTRIES, check_rows
from inventory.condition_list.values import ConditionList
from inventory.condition_list.words import HOW_TO_CHECK, NOT_KNOWN, statement
from inventory.given_out.anchors import FITS
from inventory.printed.write_paper import LEAST, Paper
from inventory.printed.write_table import labelled

__all__ = ["draw_figures", "draw_statement"]

_INSIDE = "This file holds the list as data too: its attachment condition-list.json."
_LINE = 9.0  # the height of a line to write on (mm)


def draw_figures(paper: Paper, drawn: ConditionList) -> None:
    """Rules, rates, edition; how to check."""
    paper.heading("How the figures came about, and how to check them")
    for number, reason in enumerate(drawn.reasons, 1):
        source = f" ({reason.source}; {reason.standing})" if reason.source else ""
        says = ". ".join(_sentence(text) for text in (f"{reason.says}{source}", reason.rule) if text)
        labelled(paper, [(str(number), f"{says}.")], 8)
    rates = drawn.converted.rates if drawn.converted else ()
    said = [f"1 {rate.from_currency} = {rate.rate} {rate.to_currency}, {rate.source}, {rate.on}" for rate in rates]
    pairs = [
        ("Rates", "; ".join(said) or "no amount was converted"),
        ("Reference data", f"edition {drawn.edition or NOT_KNOWN}{f'; {drawn.limits}' if drawn.limits else ''}"),
    ]
    labelled(paper, pairs)
    paper.heading(CHECK, 11, level=1)
    if drawn.unverified:
        labelled(paper, check_rows(drawn), 34)
        return
    *lines, _ = (each for each in check_rows(drawn) if each[0] not in (ANCHOR, ENTRIES))
    labelled(paper, [("Fingerprint", _in_groups(drawn.fingerprint)), *lines], 34)
    if drawn.state.anchor is not None:
        anchor = drawn.state.anchor
        labelled(paper, [(ANCHOR, f"{_in_groups(anchor.text)} {ENTRIES}: {anchor.size}"), ("Record", FITS)], 34)
    paper.words(f"{HOW_TO_CHECK} {_INSIDE}", LEAST, lines=0)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def draw_statement(paper: Paper, drawn: ConditionList) -> None:
    """The statement with lines to sign, on one page."""
    front = drawn.front
    said = statement(drawn.known_on, hearsay=drawn.has_marks_told)
    if missing := paper.missing_sentence():
        said = f"{said} {missing}"
    paper.heading("Statement", below=paper.height(said, 10, paper.epw) + 3 * (_LINE + 6) + 6)
    paper.words(said, 10, lines=0)
    paper.ln(4)
    preparer = front.preparer or drawn.prepared_by
    for title, name in (
        ("Prepared by", ", ".join(filter(None, (preparer, front.capacity)))),
        ("Owner", front.owner),
        ("Checked by (optional)", front.checked_by),
    ):
        _signature(paper, title, name or "")


def _signature(paper: Paper, title: str, name: str) -> None:
    """A line for name and capacity, one for the day, one to sign on."""
    y, x = paper.y + _LINE, paper.l_margin
    paper.set_line_width(0.2)
    for words, wide, filled in (
        (f"{title}: name, capacity", 82.0, name),
        ("Date", 30.0, ""),
        ("Signature", 62.0, ""),
    ):
        if filled:
            paper.set_xy(x, y - paper.line_height(10) - 0.4)
            paper.words(filled, 10, width=wide)
        paper.line(x, y, x + wide, y)
        paper.set_xy(x, y + 0.4)
        paper.words(words, LEAST, width=wide)
        x += wide + 4
    paper.set_xy(paper.l_margin, y + 6)


def _in_groups(digits: str) -> str:
    return " ".join(digits[start : start + 4] for start in range(0, len(digits), 4))
