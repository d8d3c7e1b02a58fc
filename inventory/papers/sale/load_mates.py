"""Reads which parts belong with one that is to be sold: confirmed pairs, and what came off as one with it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.pairing.candidate import PAIRED_KINDS, Candidate
from inventory.pairing.findings.by_test import failed_words
from inventory.pairing.judgements import PairJudgement
from inventory.pairing.queries import mates
from inventory.parts.load_as_one import as_one
from inventory.parts.tables import Part
from inventory.store.days.date_words import day_words
from inventory.store.many import among

__all__ = ["Mate", "mates_of", "pair_words"]

#: How many mates are named.
_MOST_NAMED = 3


@dataclass(frozen=True)
class Mate:
    """A part that belongs with another: what it is, and why."""

    tag: str
    what: str
    why: str

    @property
    def says(self) -> str:
        """Both in a sentence."""
        return f"{self.what}: {self.why}"


def mates_of(session: Session, part: Part) -> tuple[Mate, ...]:
    """The mates of a part: in confirmed pairs (the first few), then those that came off as one with it."""
    found: list[Mate] = []
    if part.kind in PAIRED_KINDS:
        confirmed = [pair for pair in mates(session, part.tag) if pair.grade == "confirmed"]
        for pair in confirmed[:_MOST_NAMED]:
            other = pair.unit if pair.sensor == part.tag else pair.sensor
            found.append(Mate(other, _what(pair, other), pair_words(pair)))
    together = as_one(session).get(part.id, ())
    query = select(Part.tag, Part.kind).where(among(Part.id, together)).order_by(Part.tag)
    known = {mate.tag for mate in found}
    for tag, kind in session.execute(query) if together else ():
        if tag not in known:
            found.append(Mate(tag, kind or "part", "the two came off as one and are kept together"))
    return tuple(found)


def pair_words(pair: PairJudgement) -> str:
    """Why two parts belong together, as a paper says it: never the word of the grade. Failed tests stand beside it."""
    sensor = pair.sensor_candidate
    days = [day_words(day) for day in sorted({seal.at[:10] for seal in sensor.seals_noted if seal.state == "intact"})]
    if sensor.setting is not None:
        says = f"a paper of {day_words(sensor.setting.on)} says that a specialist set the sensor for the control unit"
    elif days:
        says = f"codes read on both, equal; sensor seals intact on {' and '.join(days)}"
    else:
        says = "codes read on both, equal; the sensor never had a seal"
    failed = failed_words(sensor, pair.unit_candidate)
    return f"{says}; but {failed}" if failed else says


def _what(pair: PairJudgement, tag: str) -> str:
    other: Candidate = pair.unit_candidate if pair.unit == tag else pair.sensor_candidate
    return " ".join(filter(None, (other.kind, other.part_number)))
