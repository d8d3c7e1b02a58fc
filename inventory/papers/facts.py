"""The kind of fact about a passport that was read in."""

from __future__ import annotations

from inventory.facts.declare import FactKind, Section
from inventory.papers.tables import PassportRead

__all__ = ["FACTS"]

FACTS = (
    FactKind(
        PassportRead,
        "passport read",
        ("part",),
        says=lambda values: f"read from a passport, where its label was {values['their_tag']}",
        section=Section("passports", "Passports read", "From"),
        not_correctable=("A passport that was read cannot be corrected", "read it again"),
    ),
)
