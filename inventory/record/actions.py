"""Actions on clocks: state that entries were written with a wrong clock, so that a right clock can write again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time
from typing import Any

from sqlalchemy import func, literal, select, union_all
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.change import fact_row
from inventory.facts.declare import FactKind, declared
from inventory.facts.write import write
from inventory.people.actions import begin_act
from inventory.store.begin import RECORD_THING
from inventory.store.days import clock
from inventory.store.days.dates import one_day, when_on
from inventory.store.days.moments import MOST_BEHIND, TRUE_DAYS, moments_named, newest_entry, read_moment, shown_in
from inventory.store.days.true_days import true_days
from inventory.store.days.zone import in_zone, zone_of
from inventory.store.facts import fact_id, make_fact
from inventory.store.journal.images import canonical
from inventory.store.many import among
from inventory.store.tables import JournalEntry, LogPlace, WrongClock
from inventory.store.words.text import clean

_AT = JournalEntry.__table__.c.at

__all__ = ["Clocks", "Stated", "clocks", "moments_between", "moments_of_act", "moments_of_entries", "state_wrong"]


@dataclass(frozen=True)
class Stated:
    """A wrong clock: the fact's id, its first and last entry (UTC text), how many entries, why.

    `true_day`: the ISO day on which the first was really written, if stated; `true_until`: the last. `dated`: the facts
    that say of themselves that it was so on the day of that clock, and still count.
    """

    id: str
    since: str
    until: str
    entries: int
    reason: str | None
    true_day: str | None = None
    true_until: str | None = None
    dated: tuple[str, ...] = ()


@dataclass(frozen=True)
class Clocks:
    """The time now and the newest entry (both UTC text), the record's zone, and the wrong clocks."""

    present: str
    newest: str | None
    zone: str | None
    wrong: tuple[Stated, ...]


def clocks(session: Session) -> Clocks:
    """The clock of a record. Writes nothing."""
    stated = select(WrongClock).where(WrongClock.superseded_by.is_(None)).order_by(WrongClock.id)
    wrong = tuple(_stated(session, row) for row in session.scalars(stated))
    return Clocks(clock.stamp(clock.now_for(session)), newest_entry(session), zone_of(session), wrong)


def state_wrong(
    session: Session, by: str, moments: Sequence[str], reason: str, *, true_day: str | None = None
) -> Stated:
    """State that the entries of these moments (UTC text, ascending) were written with a wrong clock.

    `true_day`: the typed day on which the first of them was really written; what was known on a day goes by it. A clock
    that is far behind may write this, at its own time. The entries stay as they are.
    """
    if not clean(reason):
        raise Refused("reason-missing", "Say why", where="--reason")
    if not moments:
        raise Refused(
            "no-entries-there",
            "No entry was written in that time",
            hint="for the newest entry: matchmark clock show",
        )
    act = begin_act(session, "clock wrong", by, RECORD_THING, wrong=moments)
    columns = {"from_at": moments[0], "until_at": moments[-1], "moments": canonical(list(moments))}
    fact = make_fact(WrongClock, act, RECORD_THING, when_on(None, act.today), how_known="stated", **columns)
    fact.true_day = None if true_day is None else one_day(true_day, "--true-day", act.today).isoformat()
    fact.reason = clean(reason)
    write(session, act, [fact])
    session.info.pop(TRUE_DAYS, None)
    return replace(_stated(session, fact), dated=tuple(_dated(session, moments)))


def _dated(session: Session, moments: Sequence[str]) -> list[str]:
    """The facts written at these moments that are about the day of that clock, by their ids."""
    tables: list[Any] = [kind.table for kind in declared(session).facts if _has_own_day(kind)]
    each = [
        select(literal(table.__tablename__), table.id).where(
            among(table.recorded, moments), table.so_from == table.recorded_on, table.superseded_by.is_(None)
        )
        for table in tables
    ]
    return [fact_id(table, key) for table, key in session.execute(union_all(*each))]


def _has_own_day(kind: FactKind) -> bool:
    """Whether the day of such a fact is read by people: not of who works here, nor of what cannot be corrected."""
    return kind.not_correctable is None and "contact" not in kind.about


def moments_between(session: Session, since: str | None, until: str | None) -> list[str]:
    """The moments of all entries between two typed moments: a day, or a day and a time, in the record's zone.

    Without `since`: the entries later than now. Without `until`: all later entries.
    """
    zone = zone_of(session)
    at = JournalEntry.at
    if since is None:
        now = clock.now_for(session)
        _refuse_all(session, now, zone)
        query = select(at).where(at > clock.stamp(now))
    else:
        query = select(at).where(at >= clock.stamp(_typed(since, zone, "--from", time.min)))
    if until is not None:
        query = query.where(at <= clock.stamp(_typed(until, zone, "--until", time.max)))
    return list(session.scalars(query.distinct().order_by(at)))


def _refuse_all(session: Session, now: datetime, zone: str | None) -> None:
    """Raise `Refused` where all entries, of more than a day, are later than now: then this clock is likelier wrong."""
    first, last = (read_moment(found) for found in session.execute(select(func.min(_AT), func.max(_AT))).one())
    if first is None or last is None or first <= now or last - first <= MOST_BEHIND:
        return
    raise Refused(
        "clock-behind-all",
        f"It is {shown_in(now, zone)} by this clock, and the whole record, from {shown_in(first, zone)} to "
        f"{shown_in(last, zone)}, is later: this clock is likelier to be the wrong one",
        hint="set it right; if all entries were written with a wrong clock, name the first: "
        f"--from {in_zone(first, zone).date()}",
    )


def moments_of_entries(session: Session, places: str) -> list[str]:
    """The moments of the entries at some places in the log: "12", "12-40". Whoever wrote one wrote all of its act."""
    first, dash, last = clean(places).partition("-")
    if not (first.isdecimal() and (last.isdecimal() if dash else not last)):
        says = f'"{clean(places)}" is no place in the log'
        raise Refused("not-places", says, where="--entries", hint="write 12 or 12-40, as verify says them")
    entry, place = JournalEntry.__table__.c, LogPlace.__table__.c
    same = (entry.thing_id == place.thing_id) & (entry.sequence == place.sequence)
    query = select(entry.at).join_from(LogPlace.__table__, JournalEntry.__table__, same)
    within = place.place.between(int(first[:15]), int((last or first)[:15]))
    return list(session.connection().scalars(query.where(within).distinct().order_by(entry.at)))


def moments_of_act(session: Session, fact: str) -> list[str]:
    """The moment of the act that wrote a fact."""
    row = fact_row(session, fact)
    return [row.recorded]


def _typed(text: str, zone: str | None, option: str, otherwise: time) -> datetime:
    """A typed moment; for a day or minute its first or last microsecond, as `otherwise` says."""
    typed = clean(text)
    try:
        moment = datetime.fromisoformat(typed)
        if len(typed) <= len("2031-05-04"):
            moment = datetime.combine(moment.date(), otherwise)
        elif len(typed) <= len("2031-05-04T09:30"):
            moment = moment.replace(second=otherwise.second, microsecond=otherwise.microsecond)
        return in_zone(moment, zone)
    except (ValueError, OverflowError):
        raise Refused(
            "not-a-moment",
            f'"{typed}" is not a day or a time',
            where=option,
            hint="write 2031-05-04 or 2031-05-04T09:30",
        ) from None


def _stated(session: Session, row: Any) -> Stated:
    entries = select(func.count()).where(among(JournalEntry.at, "moments"))
    many = session.connection().scalar(entries, {"moments": moments_named(row.moments)}) or 0
    found = Stated(fact_id(WrongClock, row.id), row.from_at, row.until_at, many, row.reason)
    if row.true_day is None:
        return found
    last = true_days(session).moments.get(row.until_at)
    return replace(found, true_day=row.true_day, true_until=last[1] if last else None)
