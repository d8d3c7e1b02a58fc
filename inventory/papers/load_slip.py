"""Reads what a slip says: a part that was left here or went out, its state, and whether it came back the same."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy.orm import Session

from inventory.documents.queries import DocumentView, documents_of
from inventory.errors import Refused
from inventory.facts.how_known import is_own
from inventory.facts.views import FactView, facts_of
from inventory.history.lanes import Event, lane_of
from inventory.history.load_history import Absence, part_history
from inventory.parts.queries import part_row
from inventory.parts.tables import Assessment, ObjectDescription
from inventory.provenance.tables import Provenance
from inventory.seals.tables import SealSighting

__all__ = ["IN", "OUT", "Slip", "load_slip"]

IN, OUT = "left here", "gone out"
_WAYS = {"left here by a customer": IN, "lent in": IN, "sent out": OUT, "lent out": OUT}


@dataclass(frozen=True)
class Slip:
    """A slip: `sort` left here or gone out, with whom, on which day (EDTF), why, and when it is due (EDTF).

    `marks`, `state`: label and text, each as last read and seen here. `absence`: the part came back meanwhile, and what
    was compared. `returned`: what was left here went back, when and to whom. `fact`: the id of the fact of its coming
    or going.
    """

    tag: str
    what: str
    sort: str
    how: str
    party: str
    on: str
    told: str | None
    why: str | None
    due: str | None
    marks: tuple[tuple[str, str], ...]
    state: tuple[tuple[str, str], ...]
    pictures: tuple[DocumentView, ...]
    absence: Absence | None
    returned: str | None
    fact: str
    part_id: int

    def as_dict(self) -> dict[str, Any]:
        """The JSON of the slip."""
        told = {name: value for name, value in vars(self).items() if name not in ("part_id", "pictures", "absence")}
        return told | {
            "marks": [list(each) for each in self.marks],
            "state": [list(each) for each in self.state],
            "pictures": [asdict(each) for each in self.pictures],
            "absence": self.absence.as_dict() if self.absence else None,
        }


def load_slip(session: Session, tag: str) -> Slip:
    """The slip of the last time that a part was left here or went out. Raises `Refused` if it never did."""
    part = part_row(session, tag)
    history = part_history(session, part.tag)
    passages = [event for event in lane_of(history.lanes, "custody").events if event.what in _WAYS]
    if not passages:
        raise Refused(
            "no-slip",
            f"Nothing says that {part.tag} was left here or went out",
            hint=f'write that first: matchmark provenance note {part.tag} --how "sent out" --party NAME --due DAY',
        )
    event = passages[-1]
    later = [each for each in lane_of(history.lanes, "custody").events if each.what == "returned"]
    returned = (
        next((each for each in later if each.earliest >= event.earliest), None) if _WAYS[event.what] == IN else None
    )
    (fact,) = [each for each in facts_of(session, part.id, [Provenance]) if each.id == event.fact]
    absence = next((each for each in history.absences if each.went.fact == event.fact and each.back), None)
    return Slip(
        tag=part.tag,
        what=" ".join(word for word in (part.kind, part.maker, part.part_number) if word),
        sort=_WAYS[event.what],
        how=event.what,
        party=_party(event, fact),
        on=event.on,
        told=event.told,
        why=fact.values.get("text"),
        due=fact.values.get("due"),
        marks=_marks(part),
        state=_state(session, part.id),
        pictures=tuple(each for each in documents_of(session, part.id) if each.media_type.startswith("image/")),
        absence=absence,
        returned=f"{returned.says}, {returned.when}" if returned else None,
        fact=event.fact,
        part_id=part.id,
    )


def _party(event: Event, fact: FactView) -> str:
    return str(fact.values.get("party") or "not known") if event.what in _WAYS else "not known"


def _marks(part: Any) -> tuple[tuple[str, str], ...]:
    serial = part.serial or (f"none: {part.serial_state}" if part.serial_state else "not known")
    letter = part.match_code or part.match_code_state or "not known"
    told = (("Maker's number", part.part_number), ("Serial", serial), ("Match code", letter), ("Marks", part.marks))
    return tuple((label, text or "not known") for label, text in told)


def _state(session: Session, part_id: int) -> tuple[tuple[str, str], ...]:
    """The last own look at how it looks, at each seal, and at what it can be known by."""
    tables: list[type[Any]] = [Assessment, SealSighting, ObjectDescription]
    looks = [fact for fact in facts_of(session, part_id, tables) if is_own(fact)]
    last: dict[str, str] = {}
    for fact in looks:
        name = f"Seal {fact.values['seal']}" if fact.table == SealSighting.__tablename__ else _LABELS[fact.table]
        said = fact.values["state"] if fact.table == SealSighting.__tablename__ else fact.says
        last.pop(name, None)
        last[name] = f"{said} ({fact.on})"
    return tuple(last.items()) or (("Looks", "not assessed"),)


_LABELS = {Assessment.__tablename__: "Looks", ObjectDescription.__tablename__: "Known by"}
