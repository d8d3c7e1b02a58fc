"""The kinds of facts about counts."""

from __future__ import annotations

from typing import Any

from inventory.counting.tables import CountLine, Stocktake
from inventory.facts.declare import FactKind, Section, Values

__all__ = ["FACTS"]


def _counted(fact: Any) -> str:
    return "counted" if fact.found in ("here", "elsewhere") else ""


def _line_says(values: Values) -> str:
    place = f", {values['place']}" if values.get("place") else ""
    return f"{values['occasion']}: {values['found']}{place}"


def _count_says(values: Values) -> str:
    found = f"{values['here']} here, {values['not_here']} not here, {values['elsewhere']} elsewhere"
    return f"count {values['number']}: {found}"


FACTS = (
    FactKind(
        Stocktake,
        "count",
        ("record",),
        says=_count_says,
        not_correctable=("A count that is closed cannot be corrected", "count again"),
    ),
    FactKind(
        CountLine,
        "counted",
        ("part",),
        says=_line_says,
        section=Section("counts", "Counted", "Where"),
        seen_how=_counted,
        not_correctable=("What a count found cannot be corrected, only taken back", "matchmark fact withdraw"),
        travels="no",
    ),
)
