"""The form of one part: each question with its mark, its name, and its answer. Pure."""

from __future__ import annotations

from textual.content import Content

from tui.interview import READY, Interview
from tui.safe import crop

__all__ = ["form_rows", "row_name"]

_OPEN = {"serial": "not legible", "code": "not looked at"}
_NAMES = 11


def form_rows(interview: Interview, width: int) -> tuple[list[Content], int]:
    """The rows, and the index of the open question."""
    rows: list[Content] = []
    at = 0
    aside = interview.aside()
    at_the_end = interview.at == READY or interview.at in aside
    for key in interview.rows():
        if key == "label" or (key in aside and not at_the_end and key not in interview.answers):
            continue
        mark = interview.mark(key)
        if key == interview.at or (mark == ">" and interview.at == "block" and not at):
            at = len(rows)
        text = crop(f"{mark} {row_name(key):<{_NAMES}}{_value(interview, key)}", max(width, 20))
        rows.append(Content(text).stylize("bold" if mark == ">" else "$text-muted" if mark == "." else ""))
    if not at_the_end:
        rows.append(Content(". at the end, if wanted: car side, bag, note").stylize("$text-muted"))
    return rows, at if interview.at != READY else max(len(rows) - 1, 0)


def row_name(key: str) -> str:
    """The name of a question's row."""
    return {"label seal": "case label", "sealant seal": "sealant", "paint mark seal": "paint mark"}.get(key, key)


def _value(interview: Interview, key: str) -> str:
    held = interview.answers.get(key)
    if held is not None:
        return held.value or _OPEN.get(key, "left open")
    if key in interview.offer:
        return interview.offer[key]
    return "?" if key == interview.at else ""
