"""The kinds of fact that the record has of itself: that a fact was taken back, that a clock was wrong."""

from __future__ import annotations

from inventory.facts.declare import FactKind
from inventory.store.tables import Withdrawal, WrongClock

__all__ = ["FACTS"]

FACTS = (
    FactKind(
        Withdrawal,
        "withdrawal",
        (),
        says=lambda values: f"taken back: {values['fact']}",
        fixed=("A withdrawal cannot be corrected, only taken back", "matchmark fact withdraw"),
    ),
    FactKind(
        WrongClock,
        "wrong clock",
        ("record",),
        says=lambda values: f"entries from {values['from_at']} to {values['until_at']}: by a wrong clock",
        fixed=(
            "What was said about a clock cannot be corrected: take it back and say it again",
            "matchmark clock wrong",
        ),
    ),
)
