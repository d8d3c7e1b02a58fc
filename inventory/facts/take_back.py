"""Taking facts back, and all that one act wrote at once: by further facts, in statements whose number does not grow.

Facts are read as plain rows and changed by `journal.Change`, some thousands of things at a time.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeAlias

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.facts.views import FactView, own_columns, views
from inventory.facts.write import write
from inventory.store.bulk import collector_resting
from inventory.store.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact, split_fact_id, take_place
from inventory.store.images import read_images
from inventory.store.journal import Change
from inventory.store.keys import reserve
from inventory.store.many import among
from inventory.store.tables import FactColumns, JournalEntry, Withdrawal
from inventory.store.text import clean

__all__ = ["PastAct", "given_reason", "last_act", "no_such_fact", "take_back", "withdraw_act"]

#: An act of more facts than `_SMALL` shows the first few of them before it is taken back, a small one all.
_SMALL, _FIRST = 100, 4
#: How many things are worked on at a time, and how many acts are looked back at.
_THINGS_AT_A_TIME = 5000
_ACTS_BACK = 200

#: A fact as its table and its row, by the columns' names.
Fact: TypeAlias = tuple[Any, Any]


@dataclass(frozen=True)
class PastAct:
    """Something a person wrote, of which something still stands: how many facts by table, of how many things.

    `facts` are the first of them, or all where they are few.
    """

    key: str
    what: str
    at: str
    counts: dict[str, int]
    things: int
    facts: list[FactView]


def last_act(session: Session, by: str, keys: Sequence[str]) -> PastAct | None:
    """The last of these acts (keys, oldest first) that this person did and that can still be taken back."""
    wanted = list(dict.fromkeys(reversed(keys)))[:_ACTS_BACK]
    entry, hand = JournalEntry.__table__.c, declared(session).known_hand(session, by)
    query = select(entry.act_key, entry.act, entry.at).where(among(entry.act_key), entry.who_id == hand)
    said = {key: (what, at) for key, what, at in session.connection().execute(query.distinct(), {"keys": wanted})}
    for key in wanted:
        if key in said and (past := _past(session, key, *said[key])):
            return past
    return None


def _past(session: Session, key: str, what: str, at: str) -> PastAct | None:
    """What still stands of an act: counted, and the first few facts read."""
    made = [fact for facts in _made(session, key).values() for fact in facts]
    standing = _that_stand(session, made)
    left = [(model, number) for model, number in made if number in standing[model]]
    if not left:
        return None
    counts = Counter(model.__tablename__ for model, _ in left)
    things = {thing for numbers in standing.values() for thing in numbers.values()}
    shown: dict[Any, list[int]] = defaultdict(list)
    for model, number in left if len(left) <= _SMALL else left[:_FIRST]:
        shown[model].append(number)
    rows = [
        row
        for model, numbers in shown.items()
        for row in session.scalars(select(model).where(among(model.id)), {"keys": numbers})
    ]
    return PastAct(key, what, at, dict(counts), len(things), views(session, rows))


def withdraw_act(session: Session, by: str, act_key: str, reason: str) -> list[str]:
    """Take back everything one act wrote that still stands; superseded facts are restored.

    Names of places and people that it made stay: other things may lean on them. What is itself a taking back is undone.
    Gives the ids of what was written.
    """
    with collector_resting():
        return _withdraw_act(session, by, act_key, given_reason(reason))


def _withdraw_act(session: Session, by: str, act_key: str, why: str) -> list[str]:
    made = _made(session, act_key)
    act = declared(session).begin_act(session, "take back", by, *made)
    written: list[str] = []
    kept = False
    for things in _some(sorted(made)):
        facts = list(_rows_that_stand(session, [fact for thing in things for fact in made[thing]]))
        names = _that_stay(session, facts)
        kept = kept or bool(names)
        written += take_back(
            session, act, [fact for fact in facts if (fact[0], fact[1].id) not in names], why, again=True
        )
    if not written:
        raise _only_names() if kept else Refused("nothing-to-take-back", "There is nothing left to take back")
    return written


def take_back(session: Session, act: Act, facts: Sequence[Fact], reason: str, *, again: bool) -> list[str]:
    """Take facts back by withdrawals; a withdrawal among them is undone. Gives the ids of what was written.

    `again`: superseded facts are restored.
    """
    told = [(model, row) for model, row in facts if model is not Withdrawal]
    _may_go(session, told)
    undone = [row for model, row in facts if model is Withdrawal]
    reinstated = _anew(session, act, _withdrawn(session, undone), reason)
    withdrawals = _withdrawals(session, act, told, reason)
    restored = _anew(session, act, _stood_before(session, told), reason) if again else []
    changes = [
        *(_superseded(act, Withdrawal, old, anew) for old, anew in zip(undone, reinstated, strict=True)),
        *(_superseded(act, model, row, anew) for (model, row), anew in zip(told, withdrawals, strict=True)),
    ]
    if changes:
        write(session, act, [*changes, *reinstated, *withdrawals, *restored])
    return [_id_of(fact) for fact in (*reinstated, *withdrawals)]


def _superseded(act: Act, model: Any, old: Any, anew: FactColumns) -> Change:
    by = {"superseded_by": _id_of(anew), "superseded_on": act.today.isoformat()}
    return Change(model, old.id, old.thing_id, by)


def _id_of(fact: Any) -> str:
    return fact_id(type(fact), fact.id)


def _withdrawals(session: Session, act: Act, told: Sequence[Fact], reason: str) -> list[Withdrawal]:
    """A withdrawal for each fact, with its key, so that the fact can name it."""
    today = when_on(None, act.today)
    found = []
    for (model, row), key in zip(told, _keys(session, Withdrawal, len(told)), strict=True):
        withdrawal = make_fact(Withdrawal, act, row.thing_id, today, id=key, fact=fact_id(model, row.id))
        withdrawal.reason = reason
        found.append(withdrawal)
    return found


def _anew(session: Session, act: Act, olds: Sequence[Fact], reason: str) -> list[FactColumns]:
    """Facts that were written once, anew: each in the place where it stood, with a key."""
    count = Counter(model for model, _ in olds)
    keys = {model: iter(_keys(session, model, many)) for model, many in count.items()}
    found = []
    for model, old in olds:
        values = {name: getattr(old, name) for name in own_columns(model)}
        when = When(old.so_from, old.told or "", date.fromisoformat(old.earliest), date.fromisoformat(old.latest))
        fact = make_fact(model, act, old.thing_id, when, id=next(keys[model]), how_known=old.how_known, **values)
        fact.reason = reason
        take_place(fact, old)
        found.append(fact)
    return found


def _keys(session: Session, model: Any, count: int) -> Iterable[int]:
    return reserve(session, model, count) if count else ()


def _withdrawn(session: Session, withdrawals: Sequence[Any]) -> list[Fact]:
    """The facts that withdrawals took back, in their order."""
    house = declared(session)
    wanted = [(house.table(split[0]), split[1]) if (split := split_fact_id(row.fact)) else None for row in withdrawals]
    held = _rows(session, [fact for fact in wanted if fact is not None and fact[0] is not None])
    for row, fact in zip(withdrawals, wanted, strict=True):
        if fact not in held:
            raise no_such_fact(row.fact)
    return [(fact[0], held[fact]) for fact in wanted if fact is not None]


def no_such_fact(fact: str) -> Refused:
    """That there is no fact of this id."""
    return Refused("no-such-fact", f'There is no fact "{fact}"', hint="to find its id: matchmark fact list TAG")


def _stood_before(session: Session, told: Sequence[Fact]) -> list[Fact]:
    """The facts whose place these took."""
    found: list[Fact] = []
    for model, rows in _by_model(told).items():
        columns = model.__table__.c
        query = select(model.__table__).where(among(columns.thing_id, "things"), among(columns.superseded_by, "facts"))
        keys = {"things": sorted({row.thing_id for row in rows}), "facts": [fact_id(model, row.id) for row in rows]}
        found += [(model, row) for row in session.connection().execute(query.order_by(columns.id), keys)]
    return found


def _made(session: Session, act_key: str) -> dict[int, list[tuple[Any, int]]]:
    """The facts that an act wrote anew, by thing: table and key, as its entries say."""
    entry = JournalEntry.__table__.c
    query = select(entry.thing_id, entry.at, entry.who_id, entry.images, entry.form).where(entry.act_key == act_key)
    house = declared(session)
    found: dict[int, list[tuple[Any, int]]] = defaultdict(list)
    for row in session.connection().execute(query.order_by(entry.thing_id, entry.sequence)).mappings():
        for table, key, image in read_images(dict(row)).made:
            model = house.table(table)
            if model is not None and image["recorded"] == row["at"]:  # the first form holds changed rows as well
                found[row["thing_id"]].append((model, key))
    return found


def _that_stand(session: Session, made: Iterable[tuple[Any, int]]) -> dict[Any, dict[int, int]]:
    """Of these facts those that stand: by table, the keys, each with its thing."""
    keys: dict[Any, list[int]] = defaultdict(list)
    for model, key in made:
        keys[model].append(key)
    found: dict[Any, dict[int, int]] = defaultdict(dict)
    for model, numbers in keys.items():
        columns = model.__table__.c
        query = select(columns.id, columns.thing_id).where(among(columns.id), columns.superseded_by.is_(None))
        found[model] = dict(session.connection().execute(query, {"keys": numbers}).all())
    return found


def _rows_that_stand(session: Session, made: Sequence[tuple[Any, int]]) -> Iterator[Fact]:
    held = _rows(session, made)
    for fact in made:
        if fact in held and held[fact].superseded_by is None:
            yield fact[0], held[fact]


def _rows(session: Session, facts: Iterable[tuple[Any, int]]) -> dict[tuple[Any, int], Any]:
    """Rows of facts by table and key, as they stand now."""
    keys: dict[Any, list[int]] = defaultdict(list)
    for model, key in facts:
        keys[model].append(key)
    found = {}
    for model, numbers in keys.items():
        query = select(model.__table__).where(among(model.__table__.c.id))
        found.update({(model, row.id): row for row in session.connection().execute(query, {"keys": numbers}).all()})
    return found


def _by_model(facts: Iterable[Fact]) -> dict[Any, list[Any]]:
    found: dict[Any, list[Any]] = defaultdict(list)
    for model, row in facts:
        found[model].append(row)
    return found


def _some(things: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(things), _THINGS_AT_A_TIME):
        yield things[start : start + _THINGS_AT_A_TIME]


def _may_go(session: Session, told: Sequence[Fact]) -> None:
    """Refuse to take back what stays, each kind by its own rule, and the last name of a thing."""
    house = declared(session)
    for model, rows in _by_model(told).items():
        house.fact(model).may_go(session, rows)
    if _that_stay(session, told):
        raise _only_names()


def _that_stay(session: Session, facts: Iterable[Fact]) -> set[tuple[Any, int]]:
    """Of facts those that are all that names their thing, by table and key."""
    house = declared(session)
    by_model = _by_model(facts)
    return {(model, key) for model, rows in by_model.items() for key in house.fact(model).stays(session, rows)}


def _only_names() -> Refused:
    return Refused(
        "only-description",
        "This is its only name, so it cannot be taken back",
        hint="correct it instead: matchmark fact correct",
    )


def given_reason(reason: str) -> str:
    """The reason for taking back or correcting, cleaned; none is refused."""
    if not clean(reason):
        raise Refused("reason-missing", "Say why")
    return clean(reason)
