"""When one fact was so, and who says it, in a few words."""

from __future__ import annotations

from inventory.facts.views import FactView
from tui.words import short_day

__all__ = ["told_by"]


def told_by(fact: FactView) -> str:
    """When it was so, who wrote it down, how it is known."""
    known = "" if fact.how_known == "seen" else f", {fact.how_known}"
    return f"{short_day(fact.on)}, {fact.by}{known}"
