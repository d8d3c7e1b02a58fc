"""Taking back and correcting what was written: by further facts, never by an overwrite."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.bench.tables import Instrument, InstrumentDescription
from inventory.cars.tables import Car, CarDescription
from inventory.errors import Refused
from inventory.parts import current
from inventory.parts.corrected import checked_changes, checked_values, refuse_kept
from inventory.parts.history import SHARED, FactView, views
from inventory.parts.tables import Part
from inventory.places.tables import Place, PlaceDescription
from inventory.provenance.corrected import corrected_person
from inventory.provenance.hands import begin_act, known_hand
from inventory.provenance.tables import ContactDescription
from inventory.store import journal
from inventory.store.dates import When, parse_when, when_on
from inventory.store.facts import Act, as_of, fact_id, make_fact, split_fact_id, take_place
from inventory.store.keys import supersede
from inventory.store.tables import Base, FactColumns, JournalEntry, Withdrawal
from inventory.store.text import clean, fold
from inventory.tables import fact_model
from inventory.teardown.queries import open_strip_downs
from inventory.teardown.tables import Removal, StripDown, StripDownEnd

__all__ = ["PastAct", "correct", "fact_row", "last_act", "withdraw", "withdraw_act"]

#: Facts that describe a thing whose row is kept from them, and what the thing is called in `part` (None: it is not).
_DESCRIBED: dict[type[FactColumns], tuple[type[Base], Any]] = {
    CarDescription: (Car, Part.car_id),
    PlaceDescription: (Place, Part.place_id),
    InstrumentDescription: (Instrument, None),
}


@dataclass(frozen=True)
class PastAct:
    """Something a person wrote, and the facts of it that still stand."""

    key: str
    what: str
    at: str
    facts: list[FactView]


def fact_row(session: Session, fact: str) -> FactColumns:
    """The row of a fact by its id; refused where there is none."""
    split = split_fact_id(fact)
    model = fact_model(split[0]) if split else None
    row = session.get(model, split[1]) if model is not None and split is not None else None
    if row is None:
        raise Refused("no-such-fact", f'There is no fact "{fact}"', hint="its id stands in: matchmark fact list TAG")
    return row


def withdraw(session: Session, by: str, fact: str, reason: str) -> str:
    """Take a fact back. Taking back a withdrawal writes the fact anew. Gives the id of what was written."""
    act = begin_act(session, "fact withdraw", by)
    row = _standing_row(session, fact)
    if isinstance(row, Withdrawal):
        return _reinstate(session, act, row, _reason(reason))
    refuse_kept(row)
    return _withdraw_rows(session, act, [row], _reason(reason))[0]


def withdraw_act(session: Session, by: str, act_key: str, reason: str) -> list[str]:
    """Take back everything one act wrote that still stands; what it took the place of stands again.

    Names of places and people that it made stay: other things may lean on them. What is itself a taking back is undone.
    Gives the ids of what was written.
    """
    journal.lock_things(session, [row.thing_id for row in _standing_of(session, act_key)])
    session.expire_all()  # somebody else may have taken their place while we waited
    rows = _standing_of(session, act_key)
    if not rows:
        raise Refused("nothing-to-take-back", "There is nothing of it left to take back")
    act = begin_act(session, "take back", by)
    withdrawals = [row for row in rows if isinstance(row, Withdrawal)]
    told = [row for row in rows if not isinstance(row, Withdrawal)]
    kept = [row for row in told if _is_last_description(session, row)]
    if len(kept) < len(rows):
        told = [row for row in told if row not in kept]
    back = [_reinstated(session, act, row, _reason(reason)) for row in withdrawals]
    if back:
        _write(session, act, [*withdrawals, *back])
    again = _stood_before(session, act, told, _reason(reason))
    written = _withdraw_rows(session, act, told, _reason(reason), again) if told else []
    return [*(fact_id(type(row).__tablename__, row.id) for row in back), *written]  # type: ignore[attr-defined]


def _stood_before(session: Session, act: Act, rows: list[FactColumns], reason: str) -> list[FactColumns]:
    """Anew the facts whose place these rows took."""
    by_model: dict[Any, list[str]] = {}
    for row in rows:
        by_model.setdefault(type(row), []).append(fact_id(row.__tablename__, row.id))  # type: ignore[attr-defined]
    again: list[FactColumns] = []
    for model, ids in by_model.items():
        for start in range(0, len(ids), 500):
            query = select(model).where(model.superseded_by.in_(ids[start : start + 500]))
            again += [_anew(act, old, reason) for old in session.scalars(query)]
    return again


def correct(session: Session, by: str, fact: str, changes: Mapping[str, str], reason: str) -> str:
    """Write a fact anew with some values changed; it takes the place of the old one. Gives its id."""
    act = begin_act(session, "fact correct", by)
    row = _standing_row(session, fact)
    changed = dict(changes) if isinstance(row, ContactDescription) else checked_changes(row, changes)
    when = when_on(changed.pop("on"), act.today) if "on" in changed else _when(row)
    values, beside = _corrected(session, row, changed)
    if all(getattr(row, name) == value for name, value in values.items()) and when == _when(row):
        raise Refused("nothing-to-correct", "The fact says so already. Nothing was changed")
    anew = make_fact(type(row), act, row.thing_id, when, how_known=row.how_known, **values)
    anew.reason = _reason(reason)
    take_place(anew, row)
    supersede(session, act, row, anew)
    _write(session, act, [row, anew, *beside])
    return fact_id(type(row).__tablename__, anew.id)  # type: ignore[attr-defined]


def _corrected(
    session: Session, row: FactColumns, changed: Mapping[str, str]
) -> tuple[Mapping[str, Any], Sequence[Base]]:
    """The values of a fact with some changed, and what is written beside it."""
    if isinstance(row, ContactDescription):
        return corrected_person(session, row, changed)
    return checked_values(session, row, changed), ()


def last_act(session: Session, by: str, since: str) -> PastAct | None:
    """The last thing this person wrote since a moment (UTC text) that can still be taken back."""
    hand = known_hand(session, by)
    query = select(JournalEntry.act_key, JournalEntry.act, JournalEntry.at).where(
        JournalEntry.who_id == hand, JournalEntry.at >= since, JournalEntry.act != "hand"
    )
    seen: set[str] = set()
    for key, what, at in session.execute(query.order_by(JournalEntry.at.desc()).limit(200)):
        if key not in seen and (rows := _standing_of(session, key)):
            return PastAct(key, what, at, views(session, rows))
        seen.add(key)
    return None


def _reason(reason: str) -> str:
    if not clean(reason):
        raise Refused("reason-missing", "Say why. Nothing was changed")
    return clean(reason)


def _standing_row(session: Session, fact: str) -> FactColumns:
    row = fact_row(session, fact)
    journal.lock_things(session, [row.thing_id])
    session.refresh(row)  # somebody else may have taken its place while we waited
    if row.superseded_by is not None:
        raise Refused(
            "fact-superseded", f"{fact} no longer stands: {row.superseded_by} took its place. Nothing was changed"
        )
    return row


def _standing_of(session: Session, act_key: str) -> list[FactColumns]:
    """The facts an act wrote anew that still stand, by the after-images it left."""
    rows: list[FactColumns] = []
    entries = select(JournalEntry.images, JournalEntry.at).where(JournalEntry.act_key == act_key)
    for images, at in session.execute(entries.order_by(JournalEntry.thing_id)):
        for table, key, image in json.loads(images):
            model = fact_model(table)
            if model is None or image["recorded"] != at:
                continue
            row = session.get(model, key)
            if row is not None and row.superseded_by is None:
                rows.append(row)
    return rows


def _withdraw_rows(
    session: Session, act: Act, rows: list[FactColumns], reason: str, beside: Sequence[FactColumns] = ()
) -> list[str]:
    """Take rows back; `beside` are facts that stand again for it."""
    written: list[FactColumns] = []
    today = When(act.today.isoformat(), "", act.today, act.today)
    for row in rows:
        if isinstance(row, ContactDescription) and row.reason:  # a correction or a removal: the old text may be gone
            refuse_kept(row)
        _keep_last_description(session, row)
        _keep_logged_parts(session, row)
        fact = fact_id(row.__tablename__, row.id)  # type: ignore[attr-defined]
        withdrawal = make_fact(Withdrawal, act, row.thing_id, today, fact=fact)
        withdrawal.reason = reason
        supersede(session, act, row, withdrawal)
        written.append(withdrawal)
    _write(session, act, [*rows, *written, *beside])
    return [fact_id(Withdrawal, withdrawal.id) for withdrawal in written]


def _reinstate(session: Session, act: Act, withdrawal: Withdrawal, reason: str) -> str:
    anew = _reinstated(session, act, withdrawal, reason)
    _write(session, act, [withdrawal, anew])
    return fact_id(type(anew).__tablename__, anew.id)  # type: ignore[attr-defined]


def _reinstated(session: Session, act: Act, withdrawal: Withdrawal, reason: str) -> FactColumns:
    """The fact that was withdrawn, anew, in the place of its withdrawal."""
    anew = _anew(act, fact_row(session, withdrawal.fact), reason)
    supersede(session, act, withdrawal, anew)
    return anew


def _anew(act: Act, old: FactColumns, reason: str) -> FactColumns:
    values = {name: getattr(old, name) for name in old.__table__.c.keys() if name not in SHARED}  # type: ignore[attr-defined]  # noqa: SIM118
    anew = make_fact(type(old), act, old.thing_id, _when(old), how_known=old.how_known, **values)
    anew.reason = reason
    take_place(anew, old)
    return anew


def _when(row: FactColumns) -> When:
    when = parse_when(row.so_from)
    return When(row.so_from, row.told or "", when.earliest, when.latest)


def _write(session: Session, act: Act, rows: list[Any]) -> None:
    """Write facts, and bring up to date what is kept from them: a part's row, a car's or place's row."""
    told = [row for row in rows if type(row) in _DESCRIBED]
    named: list[tuple[Any, Any]] = []
    for fact in told:
        model, refers = _DESCRIBED[type(fact)]
        described = session.get_one(model, fact.thing_id)
        if (described, refers) not in named:
            named.append((described, refers))
            _describe(session, described, type(fact), rows)
    current.record(session, act, [*rows, *(described for described, _ in named)])
    _one_strip_down_a_car(session, rows)
    for described, refers in named:
        if refers is not None:
            current.reindex(session, list(session.scalars(select(Part).where(refers == described.id))))


def _describe(session: Session, described: Any, model: type[FactColumns], rows: list[Any]) -> None:
    query = as_of(select(model).where(model.thing_id == described.id), model)
    standing = [fact for fact in session.scalars(query) if fact.superseded_by is None]
    standing += [row for row in rows if type(row) is model and row.superseded_by is None and row not in standing]
    columns = [name for name in model.__table__.c.keys() if name not in SHARED]  # type: ignore[attr-defined]  # noqa: SIM118
    for name in columns:
        said = [getattr(fact, name) for fact in standing if getattr(fact, name) is not None]
        setattr(described, name, said[-1] if said else None)
    described.name_folded = fold(described.name)


def _keep_last_description(session: Session, row: FactColumns) -> None:
    if _is_last_description(session, row):
        raise Refused(
            "only-description",
            "This is all that names it, so it cannot be taken back. Nothing was changed",
            hint="correct it instead: matchmark fact correct",
        )


def _is_last_description(session: Session, row: FactColumns) -> bool:
    model = type(row)
    if model not in _DESCRIBED:
        return False
    query = as_of(select(model).where(model.thing_id == row.thing_id), model)
    return len(session.scalars(query).all()) < 2


def _keep_logged_parts(session: Session, row: FactColumns) -> None:
    """A strip-down in which parts were logged is not taken back under them."""
    if isinstance(row, StripDown):
        logged = select(func.count()).where(Removal.strip_down_id == row.id, Removal.superseded_by.is_(None))
        if many := session.scalar(logged):
            raise Refused(
                "strip-down-in-use",
                f"{many} parts were logged in this strip-down, so it cannot be taken back. Nothing was changed",
                hint="take back their removals first, or close it: matchmark teardown close",
            )


def _one_strip_down_a_car(session: Session, rows: list[Any]) -> None:
    """Refuse what would leave a car in two open strip-downs at once."""
    if any(isinstance(row, StripDown | StripDownEnd) for row in rows):
        cars = [each.car for each in open_strip_downs(session)]
        if twice := next((car for car in cars if cars.count(car) > 1), None):
            raise Refused(
                "strip-down-open",
                f'The car "{twice}" would be in two strip-downs at once. Nothing was changed',
                hint="close the later one first: matchmark teardown close",
            )
