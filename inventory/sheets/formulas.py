"""Texts that would start a formula: how they are held in a csv, and let go again."""

from __future__ import annotations

import re

__all__ = ["FORMULA_START", "without_apostrophe"]

#: A text that begins so may start a formula in a spreadsheet program (OWASP, CSV injection; full-width signs included).
FORMULA_START = re.compile("'*[=+\\-@\t\r\n\0＝＋－＠]")
_ESCAPED = re.compile("'+[=+\\-@\t\r\n\0＝＋－＠]")


def without_apostrophe(cell: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet program from taking it for a formula."""
    return cell[1:] if cell[:1] == "'" and _ESCAPED.match(cell) else cell
