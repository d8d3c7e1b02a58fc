"""Takes back facts, or everything that an act wrote, by writing withdrawals. Needs a fixed number of statements.

Facts are read as plain rows and changed by `journal.Change`, for some thousands of things at a time.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.facts.views import FactView, views
from inventory.facts.write import write
from inventory.store.bulk import collector_resting
from inventory.store.days.dates import when_on
from inventory.store.facts import Act, act_columns, fact_id, make_fact, split_fact_id
from inventory.store.journal.entries import Change
from inventory.store.journal.images import facts_made
from inventory.store.journal.keys import reserve
from inventory.store.many import among
from inventory.store.tables import FactColumns, JournalEntry, Withdrawal, columns_of
from inventory.store.words.text import clean

__all__ = ["PastAct", "given_reason", "last_act", "no_such_fact", "take_back", "withdraw_act"]

#: Before an act is taken back, its facts are shown: all up to `_SMALL`, else the first `_FIRST`.
_SMALL, _FIRST = 100, 4
#: How many things are processed at a time, and how many past acts are considered.
_THINGS_AT_A_TIME = 5000
_ACTS_BACK = 200

#: A fact: its table, and its row by column names.
Fact: TypeAlias = tuple[Any, Any]


@dataclass(frozen=True)
class PastAct:
    """An act of which some facts still count: their number by table, and the number of things.

    `facts`: the first of them, or all if they are few.
    """

    key: str
    what: str
    at: str
    counts: dict[str, int]
    things: int
    facts: list[FactView]


def last_act(session: Session, by: str, keys: Sequence[str]) -> PastAct | None:
    """The last of these acts (keys, oldest first) that this person did and that can be taken back; or None."""
    with collector_resting():
        return _last_act(session, by, list(dict.fromkeys(reversed(keys)))[:_ACTS_BACK])


def _last_act(session: Session, by: str, wanted: Sequence[str]) -> PastAct | None:
    entry, hand = JournalEntry.__table__.c, declared(session).known_hand(session, by)
    query = select(entry.act_key, entry.act, entry.at).where(among(entry.act_key), entry.who_id == hand)
    acts = {key: (what, at) for key, what, at in session.connection().execute(query.distinct(), {"keys": wanted})}
    for key in wanted:
        if key in acts and (past := _past_act(session, key, *acts[key])):
            return past
    return None


def _past_act(session: Session, key: str, what: str, at: str) -> PastAct | None:
    """The facts of an act that still count: their numbers, and the first few facts."""
    made = [fact for facts in _facts_of_act(session, key).values() for fact in facts]
    standing = _counting(session, made)
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
    """Take back everything an act wrote that still counts; superseded facts are restored.

    Names of places and people that it made stay, since other facts may use them. Withdrawals among its facts are
    undone. Returns the ids of the new facts.
    """
    with collector_resting():
        return _withdraw_act(session, by, act_key, given_reason(reason))


def _withdraw_act(session: Session, by: str, act_key: str, why: str) -> list[str]:
    made = _facts_of_act(session, act_key)
    act = declared(session).begin_act(session, "take back", by, *made)
    written: list[str] = []
    kept = False
    for things in _batches(sorted(made)):
        facts = list(_rows_that_stand(session, [fact for thing in things for fact in made[thing]]))
        names = _only_names_of(session, facts)
        if names:
            kept = True
            facts = [(model, row) for model, row in facts if (model, row.id) not in names]
        written += take_back(session, act, facts, why, restore=True)
    if not written:
        raise _only_names() if kept else Refused("nothing-to-take-back", "There is nothing left to take back")
    return written


def take_back(session: Session, act: Act, facts: Sequence[Fact], reason: str, *, restore: bool) -> list[str]:
    """Take facts back by withdrawals; a withdrawal among them is undone. Returns the ids of the new facts.

    `restore`: restore the facts that they superseded. What a withdrawal among them had brought back is replaced by the
    fact that counts again, as before.
    """
    taken = [(model, row) for model, row in facts if model is not Withdrawal]
    _refuse_protected(session, taken)
    undone = [row for model, row in facts if model is Withdrawal]
    reinstated = _rewritten(session, act, _withdrawn(session, undone), reason)
    again = {
        (type(fact), fact.thing_id, fact.ranked, row.recorded): fact
        for fact, row in zip(reinstated, undone, strict=True)
    }
    brought_back = [(model, row, again.get((model, row.thing_id, row.ranked, row.recorded))) for model, row in taken]
    taken = [(model, row) for model, row, fact in brought_back if fact is None]
    withdrawals = _withdrawals(session, act, taken, reason)
    restored = _rewritten(session, act, _superseded_by(session, taken), reason) if restore else []
    anew: list[Any] = [*reinstated, *withdrawals]
    ids = [fact_id(type(fact), fact.id) for fact in anew]
    today = act.today.isoformat()
    gives_way = [*zip([*((Withdrawal, row) for row in undone), *taken], ids, strict=True)]
    gives_way += [((model, row), fact_id(model, fact.id)) for model, row, fact in brought_back if fact is not None]
    changes = [
        Change(model, row.id, row.thing_id, {"superseded_by": by, "superseded_on": today})
        for (model, row), by in gives_way
    ]
    if changes:
        write(session, act, [*changes, *anew, *restored])
    return ids


def _withdrawals(session: Session, act: Act, taken: Sequence[Fact], reason: str) -> list[Withdrawal]:
    """A withdrawal for each fact, with a key, so that the fact can refer to it."""
    pattern = vars(make_fact(Withdrawal, act, 0, when_on(None, act.today), reason=reason))
    return [
        Withdrawal(**pattern | {"thing_id": row.thing_id, "id": key, "fact": fact_id(model, row.id)})
        for (model, row), key in zip(taken, _keys(session, Withdrawal, len(taken)), strict=True)
    ]


def _rewritten(session: Session, act: Act, olds: Sequence[Fact], reason: str) -> list[FactColumns]:
    """Copies of earlier facts with new keys; each counts from the same day and has the rank of the earlier fact."""
    count = Counter(model for model, _ in olds)
    keys = {model: iter(_keys(session, model, many)) for model, many in count.items()}
    anew = act_columns(act) | {"reason": reason, "superseded_by": None, "superseded_on": None}
    found = []
    for model, old in olds:
        columns = dict(zip(columns_of(model), old, strict=True)) | anew
        found.append(model(**columns | {"id": next(keys[model]), "ranked": old.ranked}))
    return found


def _keys(session: Session, model: Any, count: int) -> Iterable[int]:
    return reserve(session, model, count) if count else ()


def _withdrawn(session: Session, withdrawals: Sequence[Any]) -> list[Fact]:
    """The facts that these withdrawals took back, in the same order."""
    registry = declared(session)
    wanted = [
        (registry.table(split[0]), split[1]) if (split := split_fact_id(row.fact)) else None for row in withdrawals
    ]
    held = _rows(session, [fact for fact in wanted if fact is not None and fact[0] is not None])
    for row, fact in zip(withdrawals, wanted, strict=True):
        if fact not in held:
            raise no_such_fact(row.fact)
    return [(fact[0], held[fact]) for fact in wanted if fact is not None]


def no_such_fact(fact: str) -> Refused:
    """The refusal for an unknown fact id."""
    return Refused("no-such-fact", f'There is no fact "{fact}"', hint="to find its id: matchmark fact list TAG")


def _superseded_by(session: Session, taken: Sequence[Fact]) -> list[Fact]:
    """The facts that these facts superseded."""
    found: list[Fact] = []
    for model, rows in _by_model(taken).items():
        columns = model.__table__.c
        query = select(model.__table__).where(among(columns.thing_id, "things"), among(columns.superseded_by, "facts"))
        keys = {"things": sorted({row.thing_id for row in rows}), "facts": [fact_id(model, row.id) for row in rows]}
        found += [(model, row) for row in session.connection().execute(query.order_by(columns.id), keys)]
    return found


def _facts_of_act(session: Session, act_key: str) -> dict[int, list[tuple[Any, int]]]:
    """The facts that an act wrote, by thing: table and key, from its journal entries."""
    entry = JournalEntry.__table__.c
    query = select(entry.thing_id, entry.at, entry.images, entry.form).where(entry.act_key == act_key)
    registry = declared(session)
    found: dict[int, list[tuple[Any, int]]] = defaultdict(list)
    for row in session.connection().execute(query.order_by(entry.thing_id, entry.sequence)).all():
        for table, key in facts_made(row.images, row.at, row.form):
            if (model := registry.table(table)) is not None:
                found[row.thing_id].append((model, key))
    return found


def _counting(session: Session, made: Iterable[tuple[Any, int]]) -> dict[Any, dict[int, int]]:
    """Of these facts, those that count: by table, their keys, each with its thing."""
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
        row = held.get(fact)
        if row is not None and row.superseded_by is None:
            yield fact[0], row


def _rows(session: Session, facts: Iterable[tuple[Any, int]]) -> dict[tuple[Any, int], Any]:
    """The current rows of facts, by table and key."""
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


def _batches(things: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(things), _THINGS_AT_A_TIME):
        yield things[start : start + _THINGS_AT_A_TIME]


def _refuse_protected(session: Session, taken: Sequence[Fact]) -> None:
    """Refuse to take back facts that their kind protects, and the only name of a thing."""
    registry = declared(session)
    for model, rows in _by_model(taken).items():
        registry.fact(model).check_withdrawal(session, rows)
    if _only_names_of(session, taken):
        raise _only_names()


def _only_names_of(session: Session, facts: Iterable[Fact]) -> set[tuple[Any, int]]:
    """Of these facts, those that are the only name of their thing, by table and key."""
    registry = declared(session)
    by_model = _by_model(facts)
    return {(model, key) for model, rows in by_model.items() for key in registry.fact(model).only_names(session, rows)}


def _only_names() -> Refused:
    return Refused(
        "only-description",
        "This is its only name, so it cannot be taken back",
        hint="correct it instead: matchmark fact correct",
    )


def given_reason(reason: str) -> str:
    """The reason for taking back or correcting, cleaned. Raises `Refused` if it is empty."""
    if not clean(reason):
        raise Refused("reason-missing", "Say why")
    return clean(reason)
