"""What can be said of how a part looks. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inventory.errors import Refused
from inventory.store.words.names import one_of

__all__ = ["CATEGORIES", "SAID", "TRADE_CLASSES", "YES_NO", "refuse_assessment"]

CATEGORIES = (0, 1, 2, 3)
YES_NO = ("yes", "no")
#: The trade's classes as they are stated; whether a used part was tested is computed.
TRADE_CLASSES = ("new old stock", "used", "rebuildable core", "scrap")
#: The texts of an assessment.
SAID = ("damage", "missing", "trend", "why", "light", "opened", "unseen", "trade_class")
_FINDINGS = ("damage", "missing", "trend", "trade_class")


def refuse_assessment(columns: Mapping[str, Any], *, corrected: bool = False) -> None:
    """Refuse an assessment with a wrong word, or without a finding; a corrected one may have none left."""
    category = columns.get("category")
    if category not in (None, *CATEGORIES):
        raise Refused("condition-category", f"The condition must be 0, 1, 2 or 3, not {category}")
    one_of("answer to opened", columns.get("opened"), YES_NO, "opened")
    one_of("class of the trade", columns.get("trade_class"), TRADE_CLASSES, "class")
    if category is None and not corrected and not any(columns.get(name) for name in _FINDINGS):
        raise Refused("nothing-said", "Give a condition, a damage, what is missing, the trend or the class")
