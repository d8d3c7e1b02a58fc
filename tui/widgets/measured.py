"""A run being typed, as lines: the steps until the first reading, the readings, the conditions. Pure."""

from __future__ import annotations

from textual.content import Content

from tui.data.bench import Instructions
from tui.measuring import Measuring
from tui.safe import plain, shown

__all__ = ["measured_lines"]


def measured_lines(sheet: Instructions, run: Measuring, width: int) -> list[Content]:
    """The lines, each at most `width` cells wide."""
    lines = list(shown(f"{sheet.title}: {sheet.shows}").wrap(width))
    if not run.readings:
        for place, step in enumerate(sheet.steps, 1):
            lines += shown(f"{place}. {step}", "$text-muted").wrap(width)
    lines += [Content(""), *_listed("read", _readings(run), width)]
    noted = [f"{name} {'; '.join(words)}" for name, words in run.beside.items()]
    lines += _listed("noted", noted or ["nothing"], width)
    if run.stage == "beside":
        lines += _listed("more", [f"{place} {each.name}" for place, each in enumerate(sheet.beside, 1)], width)
    return lines


def _readings(run: Measuring) -> list[str]:
    if run.names:
        held = dict(each.split("=", 1) for each in run.readings)
        return [f"{name} {held.get(name, '?' if name == run.open_name else '-')}" for name, _ in run.names]
    return list(run.readings) or ["nothing yet"]


def _listed(name: str, words: list[str], width: int) -> list[Content]:
    """Words after a name, wrapped and indented."""
    lead = f"{name:<8}"
    rows, row = [], ""
    for word in map(plain, words):
        if row and len(row) + len(word) + 3 > width - len(lead):
            rows.append(row)
            row = ""
        row = f"{row}   {word}" if row else word
    rows.append(row)
    return [Content(f"{lead if place == 0 else ' ' * len(lead)}{each}") for place, each in enumerate(rows)]
