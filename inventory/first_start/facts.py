"""The kind of fact for the checks of a first start."""

from __future__ import annotations

from inventory.facts.declare import FactKind, Section, Values
from inventory.facts.values import text, word
from inventory.first_start.tables import CAME_OUT, StartCheck
from inventory.reference.first_start import start_checks

__all__ = ["FACTS"]

_STEPS = tuple(check.name for check in start_checks())


def _says(values: Values) -> str:
    found = f": {values['found']}" if values.get("found") else ""
    return f"{values['step']} {values['came_out']}{found}"


FACTS = (
    FactKind(
        StartCheck,
        "start check",
        ("car",),
        (
            word("step", "check of the first start", _STEPS, needed=True),
            word("came out", "how a check came out", CAME_OUT, needed=True),
            text("found", "dry after 5 min"),
        ),
        says=_says,
        section=Section("start_checks", "First start"),
    ),
)
"""How each check of a car's first start came out."""
