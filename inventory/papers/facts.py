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
        says=lambda values: (
            f"passport of record {values['from_record'][:8]} read, its label there: {values['their_tag']}"
        ),
        section=Section("passports", "Passports read", "From"),
        searched=("their_tag",),
        not_correctable=("A passport that was read cannot be corrected", "read it again"),
        travels="no",
    ),
)
