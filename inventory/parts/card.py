"""The card of a part: everything known of it, gathered for `part show` and the browser."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, cast

from sqlalchemy.orm import Session

from inventory.bench.queries import RunView, run_views
from inventory.bench.tables import BenchRun
from inventory.evidence.tables import Claim
from inventory.parts.history import FactView, facts_of
from inventory.parts.queries import PartLine, lines, part_row
from inventory.parts.tables import Assessment, Marking, Note, Work
from inventory.places.tables import Move
from inventory.provenance.tables import Attachment, Provenance
from inventory.seals.tables import SealSighting
from inventory.store.tables import FactColumns
from inventory.teardown.tables import Fitting, Removal
from inventory.worth.tables import Valuation

__all__ = ["Card", "card_of"]

_SECTIONS: dict[type[FactColumns], str] = {
    Marking: "markings",
    Note: "notes",
    SealSighting: "seals",
    Removal: "removals",
    Fitting: "fittings",
    BenchRun: "runs",
    Provenance: "provenance",
    Claim: "claims",
    Work: "work",
    Valuation: "values",
    Attachment: "documents",
    Assessment: "assessments",
    Move: "moves",
}


@dataclass(frozen=True)
class Card:
    """A part's line, and its facts that stand, oldest first, by section; runs with what they prove."""

    line: PartLine
    runs: list[RunView] = field(default_factory=list)
    facts: dict[str, list[FactView]] = field(default_factory=dict)

    def __getitem__(self, section: str) -> list[FactView]:
        """The facts of one section."""
        return self.facts.get(section, [])

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `part show`."""
        names: tuple[str, ...] = (
            "tag",
            "kind",
            "maker",
            "part_number",
            "serial",
            "date_code",
            "match_code",
            "match_code_state",
        )
        names += ("match_code_read_from", "marks", "whose", "seal_state", "condition", "car", "position", "fitted")
        data = {name: getattr(self.line, name) for name in (*names, "place", "gone", "extra")}
        lists = {section: [fact.as_dict() for fact in self[section]] for section in _SECTIONS.values()}
        return {**data, **lists, "runs": [run.as_dict() for run in self.runs]}


def card_of(session: Session, tag: str) -> Card:
    """The card of the part with this tag."""
    part = part_row(session, tag)
    (line,) = lines(session, [part.id])
    facts: dict[str, list[FactView]] = {section: [] for section in _SECTIONS.values()}
    names = {cast("Any", model).__tablename__: section for model, section in _SECTIONS.items()}
    for fact in facts_of(session, part.id, _SECTIONS):
        facts[names[fact.table]].append(fact)
    return Card(line, run_views(session, facts["runs"]), facts)
