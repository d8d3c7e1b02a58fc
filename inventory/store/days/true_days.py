"""The days on which something was really written, where it is on record that a clock was wrong (`WrongClock.true_day`).

The first of the entries that a statement names was written on the day it states; each other as many days after it as
the clock said. What nobody states of a day stands as it was written.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import orjson
from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.store.days.moments import TRUE_DAYS, moments_named, read_moment
from inventory.store.days.zone import day_of, zone_of
from inventory.store.many import among, among_sql
from inventory.store.tables import JournalEntry, WrongClock

__all__ = ["Mended", "TrueDays", "true_days"]

_AT = JournalEntry.__table__.c.at
_IMAGES = JournalEntry.__table__.c.images


@dataclass(frozen=True)
class Mended:
    """For one day: the moments, and the facts that took others' place, which were written by its end although their
    clock said a later day (`sooner`), and those written after it although their clock did not (`later`).

    `among`: for each, what stands behind a column in SQL text, and its parameter.
    """

    sooner: tuple[str, ...]
    later: tuple[str, ...]
    sooner_facts: tuple[str, ...]
    later_facts: tuple[str, ...]
    among: Mapping[str, tuple[str, Mapping[str, object]]] = field(compare=False)


@dataclass(frozen=True)
class TrueDays:
    """By moment (UTC text), and by fact that took another's place: the ISO day its clock said, and the true one."""

    moments: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    facts: Mapping[str, tuple[str, str]] = field(default_factory=dict)

    def recorded_on(self, fact: Any) -> str:
        """The ISO day on which a fact (a row or a view) was recorded."""
        found = self.moments.get(fact.recorded)
        return str(fact.recorded_on) if found is None else found[1]

    def superseded_on(self, fact: Any) -> str | None:
        """The ISO day on which another fact took the place of this one; None if none did."""
        found = self.facts.get(fact.superseded_by) if fact.superseded_by else None
        said: str | None = fact.superseded_on
        return said if found is None else found[1]

    def mended(self, session: Session, day: date) -> Mended | None:
        """What the end of a day parts otherwise than the clocks say; None where it is nothing."""
        end = day.isoformat()
        found = {
            "sooner": _parted(self.moments, end, sooner=True),
            "later": _parted(self.moments, end, sooner=False),
            "sooner_facts": _parted(self.facts, end, sooner=True),
            "later_facts": _parted(self.facts, end, sooner=False),
        }
        if not any(found.values()):
            return None
        return Mended(
            **found, among={name: among_sql(session, f"as_{name}", keys or ("",)) for name, keys in found.items()}
        )


def _parted(days: Mapping[str, tuple[str, str]], end: str, *, sooner: bool) -> tuple[str, ...]:
    return tuple(key for key, (said, true) in days.items() if (said > end >= true if sooner else true > end >= said))


def true_days(session: Session) -> TrueDays:
    """What is stated of true days; read once in a session."""
    if TRUE_DAYS not in session.info:
        session.info[TRUE_DAYS] = _read(session)
    found: TrueDays = session.info[TRUE_DAYS]
    return found


def _read(session: Session) -> TrueDays:
    stated = select(WrongClock.from_at, WrongClock.moments, WrongClock.true_day).where(
        WrongClock.true_day.is_not(None), WrongClock.superseded_by.is_(None)
    )
    rows = session.connection().execute(stated.order_by(WrongClock.id)).all()
    if not rows:
        return TrueDays()
    zone = zone_of(session)
    moments: dict[str, tuple[str, str]] = {}
    for first, named, true_day in rows:
        for at in (first, *moments_named(named)):
            began, moment = read_moment(first), read_moment(at)
            if began is None or moment is None:
                continue
            said, began_on = day_of(moment, zone), day_of(began, zone)
            try:
                moments[at] = said.isoformat(), (date.fromisoformat(str(true_day)) + (said - began_on)).isoformat()
            except (ValueError, OverflowError):  # a day that somebody made unreadable: verify names it
                continue
    return TrueDays(moments, {fact: moments[at] for at, fact in _successors(session, moments)})


def _successors(session: Session, moments: Iterable[str]) -> Iterable[tuple[str, str]]:
    """The facts that took the place of others at some moments, each with its moment."""
    entries = select(_AT, _IMAGES).where(among(_AT, moments), _IMAGES.like('%"superseded_by":"%'))
    for at, images in session.connection().execute(entries):
        try:
            said = orjson.loads(images)
            written = said if isinstance(said, list) else [*said.get("made", ()), *said.get("changed", ())]
            yield from ((at, image["superseded_by"]) for *_, image in written if image.get("superseded_by"))
        except (orjson.JSONDecodeError, TypeError, ValueError, AttributeError):
            continue
