"""Writes a removal with what was looked at as the part came off."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy.orm import Session

from inventory.documents.actions import take_in
from inventory.parts.actions import condition_rows
from inventory.seals.actions import meant_seal, sighting
from inventory.store.days.dates import When
from inventory.store.facts import Act, make_fact
from inventory.store.tables import Base
from inventory.store.words.text import clean
from inventory.teardown.coming_off import LOGGED_BESIDE, ComingOff
from inventory.teardown.queries import OpenStripDown
from inventory.teardown.tables import Removal

__all__ = ["removal_rows"]


def removal_rows(
    session: Session,
    act: Act,
    part_id: int,
    strip_down: OpenStripDown,
    coming_off: ComingOff,
    position_id: int | None,
    sequence: int,
    when: When,
    override: str | None,
) -> tuple[Removal, list[Base]]:
    """The removal of a part, and what goes with it: its condition, seals, note and pictures.

    `position_id`: None if nobody said where it sat. `sequence`: its number in the run of the hand. `override`: why it
    came off a car that it is not on by the record.
    """
    removal = make_fact(
        Removal,
        act,
        part_id,
        when,
        how_known=coming_off.how_known,
        car_id=strip_down.car_id,
        strip_down_id=strip_down.id,
        position_id=position_id,
        sequence=sequence,
        reason=clean(override or "") or None,
        axis=coming_off.axis,
        fasteners=_joined(coming_off.fasteners),
        connections=_joined(coming_off.connections),
        mounts=_joined(coming_off.mounts),
        **{name: clean(getattr(coming_off, name) or "") or None for name in LOGGED_BESIDE},
    )
    return removal, _condition_and_seals(session, act, part_id, coming_off, when)


def _joined(several: Sequence[str]) -> str | None:
    return "; ".join(clean(each) for each in several if clean(each)) or None


def _condition_and_seals(session: Session, act: Act, part_id: int, coming_off: ComingOff, when: When) -> list[Base]:
    rows = condition_rows(act, part_id, when, coming_off.condition, coming_off.damage, coming_off.note)
    for seal, state in coming_off.seals:
        rows.append(sighting(act, part_id, meant_seal(session, part_id, seal), state, when))
    for picture in coming_off.pictures:
        rows += take_in(session, act, part_id, picture, shows="whole", when=when)[1]
    return rows
