"""Finds parts whose serial is on the workshop's own list of stolen parts.

A serial is compared without blanks, dots and dashes; kind and number only where the list names them. Date codes are
never compared: hundreds of units share one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.contradictions.looks import Contradiction, by_age, look_from
from inventory.parts.tables import Marking, Part
from inventory.provenance.tables import StolenSerial
from inventory.store.facts import AsOf, as_of
from inventory.store.many import among
from inventory.store.words.text import squeeze

__all__ = ["STOLEN", "is_meant", "load_stolen", "stolen_serials"]

STOLEN = "listed as stolen"


def stolen_serials(session: Session, when: AsOf) -> list[StolenSerial]:
    """The list of stolen parts, oldest first."""
    return list(session.scalars(as_of(select(StolenSerial), StolenSerial, when).order_by(StolenSerial.id)))


def is_meant(listed: StolenSerial, kind: str | None, number: str | None, serial: str | None) -> bool:
    """Whether an entry of the list speaks of a part of this kind, number and serial."""
    if not serial or squeeze(listed.serial) != squeeze(serial):
        return False
    kinds_agree = listed.kind in (None, kind) or kind is None
    numbers_agree = not listed.part_number or not number or squeeze(listed.part_number) == squeeze(number)
    return kinds_agree and numbers_agree


def load_stolen(
    session: Session, keys: Sequence[int] | None, when: AsOf, **_of_others: object
) -> dict[int, tuple[Contradiction, ...]]:
    """The remark on parts, or on all (None), whose serial is on the list of stolen parts, by key."""
    every = stolen_serials(session, when)
    if not every:
        return {}
    squeezed = sorted({squeeze(each.serial) for each in every})
    parts = select(Part).where(among(Part.serial_squeezed, squeezed))
    found: dict[int, list[Contradiction]] = defaultdict(list)
    for part in session.scalars(parts):
        if keys is not None and part.id not in keys:
            continue
        for listed in every:
            if is_meant(listed, part.kind, part.part_number, part.serial):
                marking = _marking(session, part, when)
                if marking is not None:
                    found[part.id].append(_remark(listed, marking))
    return {key: tuple(remarks) for key, remarks in found.items()}


def _marking(session: Session, part: Part, when: AsOf) -> Any:
    """The last reading of its serial."""
    read = as_of(select(Marking), Marking, when).where(Marking.thing_id == part.id, Marking.serial.is_not(None))
    return session.scalars(read.order_by(Marking.counts_from.desc(), Marking.ranked.desc())).first()


def _remark(listed: StolenSerial, marking: Marking) -> Contradiction:
    source = ", ".join(word for word in (listed.source, listed.reference) if word) or "no source noted"
    looks = by_age(
        (
            look_from(listed, "stolen_serial", "", f"listed by {source}", None),
            look_from(marking, "marking", "", f"serial {marking.serial} read", None),
        )
    )
    return Contradiction(STOLEN, looks, "ask the police or whoever listed it before it is sold or fitted", remark=True)
