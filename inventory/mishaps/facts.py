"""The facts about mishaps. A mishap is a reason to test the part again; it is not a verdict."""

from __future__ import annotations

from dataclasses import replace

from inventory.facts.declare import FactKind, Section, Sheet, Values
from inventory.facts.values import text, word
from inventory.mishaps.tables import Mishap

__all__ = ["FACTS", "MISHAPS"]

#: What can happen to a part; shorted means electrically.
MISHAPS = ("dropped", "heated", "wetted", "shorted")


def _says(values: Values) -> str:
    return ": ".join(each for each in (values["mishap"], values["text"]) if each)


_MISHAP = replace(
    word("mishap", "mishap", MISHAPS, needed=True),
    help="dropped, heated, wetted or shorted (electrically)",
    headings=(
        "Missgeschick",
        "Unfall",
        "Schaden durch",
        "accident",
        "what happened",
        "incident",
        "incidente",
        "infortunio",
    ),
)
FACTS = (
    FactKind(
        Mishap,
        "mishap",
        ("part",),
        (_MISHAP, text("text", "fell from the bench onto concrete")),
        says=_says,
        section=Section("mishaps", "Mishaps", "Mishaps"),
        sheet=Sheet("mishaps", ("mishap", "text", "on", "how known", "seen by", "seen on"), frozenset({"mishap"})),
        searched=("mishap", "text"),
        seen_how=lambda fact: str(fact.mishap),
        travels="as such",
    ),
)
"""A part was dropped, heated, wetted or shorted."""
