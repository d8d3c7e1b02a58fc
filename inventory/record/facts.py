"""Facts about the record itself: withdrawals, wrong clocks, saved answers for sheets."""

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
        not_correctable=("A withdrawal cannot be corrected, only taken back", "matchmark fact withdraw"),
    ),
    FactKind(
        WrongClock,
        "wrong clock",
        ("record",),
        says=lambda values: f"entries from {values['from_at']} to {values['until_at']}: written with a wrong clock",
        not_correctable=(
            "A statement about a clock cannot be corrected: take it back and state it again",
            "matchmark clock wrong",
        ),
    ),
    FactKind(
        SheetMapping,
        "way of reading sheets",
        ("record",),
        says=lambda values: f"saved answers for sheets with the headers {', '.join(json.loads(values['answers']))}",
        not_correctable=(
            "Saved answers for sheets cannot be corrected: save them again or take them back",
            "matchmark sheet read FILE --keep-answers",
        ),
    ),
)
