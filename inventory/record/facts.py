"""What the record says of itself: that a fact was taken back, that a clock was wrong, how sheets are read."""

from __future__ import annotations

import json

from inventory.facts.declare import FactKind
from inventory.record.tables import SheetMapping
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
    FactKind(
        SheetMapping,
        "way of reading sheets",
        ("record",),
        says=lambda values: f"answers kept for sheets headed {', '.join(json.loads(values['answers']))}",
        fixed=(
            "Saved answers for sheets cannot be corrected: save them again or take them back",
            "matchmark sheet read FILE --keep-answers",
        ),
    ),
)
