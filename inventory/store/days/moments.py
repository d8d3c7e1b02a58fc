"""The moment of an act: one for all it writes, fixed once its things are locked.

It is the later of the clock and one microsecond after the newest entry of those things, so within a thing the order of
moments is the order of writing, whatever a clock does. A clock that is more than a day behind the record's newest
entry is refused: either it is wrong, or the clock that wrote that entry was. If the other one was, somebody states
which entries it wrote (`WrongClock`); they are left out when the newest entry is looked for.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

import orjson
from sqlalchemy import func, not_, null, select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.store.connection.engine import is_sqlite
from inventory.store.days import clock
from inventory.store.days.zone import day_of, in_zone, zone_of
from inventory.store.many import among
from inventory.store.tables import JournalEntry, RecordInfo, WrongClock

__all__ = [
    "MOST_BEHIND",
    "STEP",
    "TRUE_DAYS",
    "Moment",
    "clock_behind",
    "fixed",
    "kept_moment_in",
    "moments_named",
    "newest_entry",
    "read_moment",
    "right_rank",
    "shown_in",
    "stated_wrong",
]

#: How far a clock may be behind the newest entry: machines differ by hours where one has its zone wrong.
MOST_BEHIND = timedelta(hours=24)
#: By how much an act comes after the last entry of its things, at least.
STEP = timedelta(microseconds=1)
#: Where a session's `info` keeps what is stated of true days (`days.true_days`): an act may state it anew.
TRUE_DAYS = "true_days"
#: Where it keeps the moments of wrong clocks, as its last act found them.
_WRONG = "wrong_moments"
_WAY_OUT = (
    "if it is this one, set it right; if it is the one that wrote that entry, say so: "
    "matchmark clock wrong --reason WHY"
)


@dataclass(frozen=True)
class Moment:
    """The moment of an act as it is kept (UTC text), and its day in the record's zone."""

    at: str
    day: date


def fixed(session: Session, things: Iterable[int], *, wrong: Collection[str] = ()) -> Moment:
    """The moment of an act that holds these things. Refused where the clock is too far behind.

    `wrong`: the act states that the entries of these moments (UTC text) were written by a wrong clock. It is the one
    act that a clock behind may write, and it is then at that clock's own moment.
    """
    session.info.pop(TRUE_DAYS, None)
    on_server = not is_sqlite(session.get_bind())
    passed_over = [*stated_wrong(session), *wrong]
    session.info[_WRONG] = frozenset(passed_over)
    given = {"keys": list(things), "wrong": passed_over}
    zone, newest, newest_of_things, said = session.connection().execute(_question(on_server), given).one()
    present = clock.now_on_server(said) if on_server else clock.now()
    last, own = read_moment(newest), read_moment(newest_of_things)
    if last is not None and last - present > MOST_BEHIND:
        if not wrong:
            raise Refused("clock-behind", _behind(present, last, zone, on_server=on_server), hint=_WAY_OUT)
        own = None
    moment = present if own is None else max(present, own + STEP)
    return Moment(clock.stamp(moment), day_of(moment, zone))


@cache
def _question(on_server: bool) -> Any:
    """All that a moment is fixed from, in one statement: zone, newest entry, newest of the things, a server's clock."""
    info, entry = RecordInfo.__table__.c, JournalEntry.__table__.c
    return select(
        select(info.zone).order_by(info.id).limit(1).scalar_subquery(),
        _newest().scalar_subquery(),
        select(func.max(entry.at)).where(among(entry.thing_id), not_(among(entry.at, "wrong"))).scalar_subquery(),
        func.clock_timestamp() if on_server else null(),
    )


def _newest() -> Any:
    """The question for the newest entry that was not written by a wrong clock; by the index of moments, from above."""
    at = JournalEntry.__table__.c.at
    return select(at).where(not_(among(at, "wrong"))).order_by(at.desc()).limit(1)


def newest_entry(session: Session) -> str | None:
    """The moment (UTC text) of the newest entry that was not written by a wrong clock."""
    found: str | None = session.connection().scalar(_newest(), {"wrong": stated_wrong(session)})
    return found


def stated_wrong(session: Session) -> list[str]:
    """The moments (UTC text) of all entries that are stated to be written by a wrong clock."""
    stated = select(WrongClock.moments).where(WrongClock.superseded_by.is_(None))
    return [moment for (text,) in session.connection().execute(stated) for moment in moments_named(text)]


def moments_named(text: object) -> list[str]:
    """The moments that a statement names; none where somebody put in what cannot be read."""
    try:
        named = orjson.loads(str(text))
    except orjson.JSONDecodeError:
        return []
    return [moment for moment in named if isinstance(moment, str)] if isinstance(named, list) else []


def right_rank(session: Session, ranked: str, thing_id: int) -> str:
    """The rank of a fact that was ranked by a moment, in the order of writing.

    That of a wrong clock would put it before or after all others of its day: instead it comes just after the last entry
    of its thing, before it, that a right clock wrote. For an act that has begun.
    """
    wrong = session.info.get(_WRONG, ())
    if ranked not in wrong:
        return ranked
    entry = JournalEntry.__table__.c
    chain = select(entry.at).where(entry.thing_id == thing_id).order_by(entry.sequence)
    before: list[str] = []
    for at in session.connection().scalars(chain):
        if at == ranked:
            break
        if at not in wrong:
            before.append(at)
    last = read_moment(max(before)) if before else None
    return ranked if last is None else clock.stamp(last + STEP)


def read_moment(text: object) -> datetime | None:
    """A kept moment; None for empty text, and for text that is not a moment."""
    try:
        moment = datetime.fromisoformat(str(text))
        return moment if moment.tzinfo is not None and moment + STEP else None
    except (ValueError, OverflowError):
        return None


def shown_in(moment: datetime, zone: str | None) -> str:
    """A moment for people, as clocks in the record's zone show it: 3 March 2026 10:12."""
    local = in_zone(moment, zone)
    return f"{local.day} {local:%B %Y %H:%M}"


def kept_moment_in(text: object, zone: str | None) -> str:
    """The same, of a kept moment (UTC text), which somebody may have made unreadable."""
    moment = read_moment(text)
    return "a moment that cannot be read" if moment is None else shown_in(moment, zone)


def clock_behind(session: Session) -> str | None:
    """What is to be said where the clock is so far behind that it may not write: *today* is another day then."""
    last, present = read_moment(newest_entry(session)), clock.now_for(session)
    if last is None or last - present <= MOST_BEHIND:
        return None
    return _behind(present, last, zone_of(session), on_server=not is_sqlite(session.get_bind()))


def _behind(present: datetime, last: datetime, zone: str | None, *, on_server: bool) -> str:
    whose = "The server's clock" if on_server else "This machine's clock"
    says = f"{whose} says {shown_in(present, zone)}, but the newest entry in the record is from {shown_in(last, zone)}"
    return f"{says}. One of the two clocks is wrong"
