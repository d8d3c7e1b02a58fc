"""What goes with a sensor that is sent out: the number and code of the control unit it is to be set for."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from inventory.pairing.candidate import SENSOR_KIND
from inventory.pairing.codes import reading
from inventory.pairing.queries import mates
from inventory.parts.judgements import AWAY
from inventory.parts.queries import part_row

__all__ = ["GoesWith", "goes_with"]


@dataclass(frozen=True)
class GoesWith:
    """The paper's lines: of what sensor, and which control unit belongs to it (None: none is known for sure enough)."""

    sensor: str
    unit: str | None = None
    part_number: str = ""
    match_code: str = ""
    grade: str = ""

    @property
    def says(self) -> str:
        """What is written on the paper."""
        if self.unit is None:
            return (
                "Belongs to: no control unit on record is known to go with it. Read the number and code of the one it "
                "is to run with, and write them here before it leaves"
            )
        code = f"code {self.match_code}" if self.match_code else "code not clearly read"
        return f"Belongs to: control unit {self.part_number or 'number not read'}, {code} ({self.unit}, {self.grade})"

    def as_dict(self) -> dict[str, object]:
        """The object that stands in JSON."""
        return {
            "unit": self.unit,
            "part_number": self.part_number or None,
            "match_code": self.match_code or None,
            "grade": self.grade or None,
        }


def goes_with(session: Session, tag: str, how: str) -> GoesWith | None:
    """What the paper says that goes with a sensor leaving the bench; None for whatever needs no such paper.

    The best candidate, where it is confirmed or probable: a mere possibility is no order to a specialist.
    """
    part = part_row(session, tag)
    if how not in AWAY or part.kind != SENSOR_KIND:
        return None
    best = next((pair for pair in mates(session, part.tag) if pair.grade in ("confirmed", "probable")), None)
    if best is None:
        return GoesWith(part.tag)
    unit = best.unit_half
    code = unit.match_code if reading(unit).clear else ""
    return GoesWith(part.tag, unit.tag, unit.part_number, code, best.grade)
