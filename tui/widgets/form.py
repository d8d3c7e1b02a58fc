"""The form of one part: each question with its mark, its name, and its answer. Pure."""

from __future__ import annotations

from textual.content import Content

from inventory.teardown.write_second import read_second
from tui.interview import LISTED, READY, Interview
from tui.safe import crop

__all__ = ["EXPLAINED", "form_rows", "label_rows", "row_name"]

_OPEN = {"code": "not looked at"}
_NAMES = 11
#: What the questions mean.
EXPLAINED = {
    "label": "The label must be on the part before the part is in the box. Scan it or type it; Enter alone shows a "
    "label to write by hand.",
    "position": "Where the part was. Type its number, a few letters, or a new name; typing narrows the list. If the "
    "part will not come off, choose its position and type: stays on, and why.",
    "block": "This is what the list of this position says, or what the last part of this kind had. Look at each line; "
    "Enter says that you did and it is so. Up goes to a line that is different.",
    "maker": "What is to be read on the part. Maker and part number go on one line, with a comma between; one of them "
    "alone will do: a maker, or a number with a digit in it.",
    "plugs": "What was plugged on, then a / between spaces, then what it was mounted on: 4-pin plug / 3x grommet. For "
    "mounts alone: / 3x grommet. none: looked, and neither is there.",
    "serial": "Read it on the part. It is never offered: a serial from a list is not a reading. If there is none to "
    "read, say why: il not legible, no none on it, nl not looked at.",
    "code": "The letter that the factory put on two units calibrated together. Only a letter read on the part counts. "
    "If there is none, type: unreadable, label gone or never fitted.",
    "condition": "0 is the best, 3 the worst; then the damage in words, for example: 1 stud bent. nl: not looked at.",
    READY: "Enter logs the part. Up goes to the answers, and to what is asked only if wanted: note, bag, what was "
    "moved or broke, other seals. Or type it here by its name: broken stud.",
    "as one": "A hose and its valve. Scan the label of the part that came off before; they are moved together.",
    "moved": "At the refit it becomes a check: pipes not strained, no leak, the plug still goes on.",
    "at port": "Fuel or oil seen where its hose or pipe went on. none means: looked, and dry.",
    "broken": "Stud, hose, clip: it goes to the list of hardware.",
    "read from": "Only a letter read on the part itself, or on a dated picture, counts as read.",
    "place": "A shelf, bin, box or room. A new name enters a new place.",
    "came": "It says whose the part is: bought and found are your own.",
}


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
        left = [key for key in aside if key in LISTED]
        more = (key for key in reversed(aside) if key not in LISTED and not key.endswith(" seal"))
        wanted = ", ".join((*left, *more))
        rows.append(Content(f". if wanted: {wanted}").stylize("$text-muted"))
    return rows, at if interview.at != READY else max(len(rows) - 1, 0)


def label_rows(label: str) -> list[Content]:
    """The rows that show a label to be written by hand."""
    write = Content("  Write this on the label:")
    return [Content(""), write, Content(""), Content(f"      {' '.join(label)}").stylize("bold")]


def row_name(key: str) -> str:
    """The name of a question's row."""
    return {
        "second": "how",
        "label seal": "case label",
        "sealant seal": "sealant",
        "paint mark seal": "paint mark",
    }.get(key, key)


def _value(interview: Interview, key: str) -> str:
    held = interview.answers.get(key)
    if held is not None and key == "second" and held.value:
        place = read_second(held.value).other_at
        return f"the first at {place}" if place else held.value
    if held is not None:
        return held.value or _OPEN.get(key, "left open")
    if key in interview.offer:
        return interview.offer[key]
    return "?" if key == interview.at else ""
