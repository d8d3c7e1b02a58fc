"""Reads the facts of all parts as known on a day, for the condition list."""

from __future__ import annotations

import hashlib
from collections import defaultdict, namedtuple
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, runs_of_many
from inventory.cars.tables import Car, CarCover, CarDescription
from inventory.condition_list.evidence_index import with_numbers
from inventory.condition_list.held_on import counting, old_before, on_list, whose_statement
from inventory.condition_list.items import ListedPart, Names, Paper, item_of
from inventory.condition_list.pairs import add_mates
from inventory.condition_list.totals import valued_once
from inventory.condition_list.values import EvidenceEntry, Item
from inventory.contradictions.load_remarks import load_remarks
from inventory.contradictions.load_whereabouts import load_whereabouts, parts_in_doubt
from inventory.contradictions.looks import Contradiction
from inventory.contradictions.tables import Settlement
from inventory.contradictions.whereabouts import Whereabouts
from inventory.documents.tables import Document
from inventory.facts.declare import FactKind, declared
from inventory.facts.order import by_day, timeless
from inventory.facts.views import own_columns
from inventory.pairing.candidate import PAIRED_KINDS
from inventory.pairing.load import load_candidates_as_of
from inventory.pairing.queries import fits_on_record
from inventory.parts.queries import identities
from inventory.parts.tables import Part, Relation, UnreadCell
from inventory.people.letters import letters_for
from inventory.people.queries import names_of_people
from inventory.places.queries import premises_of
from inventory.places.tables import Move, PlaceDescription
from inventory.places.tree import PlacePremises
from inventory.reference.data import reference_of
from inventory.reference.load import Kind
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import AsOf, as_of
from inventory.store.many import among
from inventory.valuation.queries import policy_by
from inventory.valuation.tables import Valuation

__all__ = ["CONDITION_LIST", "Gathered", "gather", "models_listed"]

#: The name of condition lists among the papers that are written for others.
CONDITION_LIST = "condition list"

#: Whose parts are listed under a letter, and the word before the letter.
_ROLES = {"customer's": "customer", "lent in": "lender"}
#: The columns that all facts have, as far as the list needs them.
_SHARED = (
    "id",
    "thing_id",
    "so_from",
    "told",
    "earliest",
    "latest",
    "counts_from",
    "ranked",
    "recorded",
    "recorded_on",
    "by_id",
    "how_known",
    "reason",
)
_Facts = Mapping[str, list[Any]]


@dataclass(frozen=True)
class Gathered:
    """The items of a list, why other parts are not on it, the people behind its letters, the premises of all places.

    `digest`: that of the facts. `unread`: by the number of an item the headers of its cells that were not read.
    """

    items: tuple[Item, ...]
    left_out: dict[str, int]
    holders: dict[str, str]
    digest: str
    evidence: tuple[EvidenceEntry, ...] = ()
    premises: Mapping[int, PlacePremises] = field(default_factory=dict)
    unread: Mapping[int, Sequence[str]] = field(default_factory=dict)


def gather(
    session: Session, when: AsOf, day: date, basis: str, *, shelves: bool = False, tests: bool = True
) -> Gathered:
    """Every part that was in the house, by tag, in a state of the record; `day` is the day that the list names.

    `shelves`: whether the items name where they are stored, which a list for others never does. `tests`: whether tests,
    pairs and what does not fit are read too; values and headings need none of it.
    """
    facts = _facts(session, when)
    left_out: dict[str, int] = defaultdict(int)
    present: list[tuple[int, str]] = []
    parts = dict(session.execute(select(Part.id, Part.tag).order_by(Part.tag)).all())
    known = identities(session, list(parts), when)
    places = load_whereabouts(session, parts_in_doubt(session, when), when)
    for key, tag in parts.items():
        if key not in known or known[key].kind is None:
            continue  # every fact of it was taken back, or nothing of it was known yet
        its = places.get(key, Whereabouts())
        presence = on_list(counting(facts[key], its).get("provenance", ()), when.until, day)
        if presence.listed or its.open:
            present.append((key, tag))
        else:
            left_out[presence.reason] += 1
    runs, further = _tests(session, [key for key, _ in present], when) if tests else ({}, {})
    listed = [
        ListedPart(
            *(at, tag, known[key], facts[key], runs.get(key, [])), places.get(key, Whereabouts()), further.get(key, ())
        )
        for at, (key, tag) in enumerate(present, 1)
    ]
    names, holders = _names(session, [each.facts for each in listed], when)
    if shelves:
        names = replace(names, places=_described(session, PlaceDescription, "name", when))
    oldest = old_before(day)
    items = [item_of(each, names, when.until, oldest, basis) for each in listed]
    paired_keys = [key for key, _ in present if known[key].kind in PAIRED_KINDS]
    if tests and {known[key].kind for key in paired_keys} == set(PAIRED_KINDS):
        candidates = load_candidates_as_of(session, paired_keys, when, runs=runs)
        items = add_mates(items, candidates, fits_on_record(session, when))
    items, index = with_numbers(valued_once(items, basis))
    digest = _digest([each.facts for each in listed], when.until)
    cells = {
        each.number: by_day(each.facts["unread_cell"], when.until) for each in listed if "unread_cell" in each.facts
    }
    unread = {number: [fact.header for fact in facts] for number, facts in cells.items()}
    return Gathered(tuple(items), dict(left_out), holders, digest, index, names.premises, unread)


def _digest(every: Sequence[_Facts], until: str) -> str:
    """SHA-256, hexadecimal, of the facts that count by a day: table, key, and all that they say."""
    digest = hashlib.sha256()
    for facts in every:
        chosen = [[name, *fact] for name in sorted(facts) for fact in facts[name] if fact.counts_from <= until]
        chosen.sort(key=lambda fact: fact[:2])
        digest.update(repr(chosen).encode("utf-8", "backslashreplace"))
    return digest.hexdigest()


def _tests(
    session: Session, keys: Sequence[int], when: AsOf
) -> tuple[Mapping[int, list[RunView]], dict[int, tuple[Contradiction, ...]]]:
    """The runs on some parts, and what does not fit on them that is not about seals, letters or places."""
    runs = runs_of_many(session, keys, when)
    further: dict[int, tuple[Contradiction, ...]] = {}
    for judge in (*declared(session).contradictions, load_remarks):
        for key, more in judge(session, keys, when, runs=runs).items():
            further[key] = (*further.get(key, ()), *more)
    return runs, further


def _facts(session: Session, when: AsOf) -> dict[int, dict[str, list[Any]]]:
    """All facts known in that state, of any day, by thing and table, in no order.

    A fact has its columns and `table`. They come as text and numbers from the engine, past the mapping of rows.
    """
    facts: dict[int, dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
    known = when.of_any_day
    for model in models_listed(session):
        name, columns = model.__tablename__, (*_SHARED, *own_columns(model))
        make = namedtuple(name, (*columns, "table"))._make  # type: ignore[attr-defined]
        sql = f"SELECT {', '.join(columns)}, '{name}' FROM {name} AS fact WHERE {known.sql('fact')}"  # noqa: S608
        for fact in map(make, fetch_all(session, sql, known.parameters)):
            facts[fact.thing_id][name].append(fact)
            if model is Valuation and fact.with_id is not None:  # of a pair: it is said of the other half as well
                facts[fact.with_id][name].append(fact._replace(thing_id=fact.with_id, with_id=fact.thing_id))
    return facts


def models_listed(session: Session) -> list[Any]:
    """The tables of the facts that a list is drawn from."""
    return [*(kind.table for kind in _kinds_that_show(session)), Valuation, Settlement, Relation, UnreadCell]


def _kinds_that_show(session: Session) -> list[FactKind]:
    """The kinds of fact that can show that a part was seen."""
    return [kind for kind in declared(session).about("part") if kind.seen_how is not None]


def _names(session: Session, told: Sequence[_Facts], when: AsOf) -> tuple[Names, dict[str, str]]:
    """The names behind the keys, and the people behind the letters."""
    statements = [whose_statement(facts["provenance"], when.until) for facts in told if facts.get("provenance")]
    owners = {said.party_id: said.whose for said in statements if said and said.party_id and said.whose in _ROLES}
    letters = {party: f"{_ROLES[owners[party]]} {letters_for(place)}" for place, party in enumerate(sorted(owners), 1)}
    wrote = {fact.by_id for facts in told for table in facts.values() for fact in table}
    people = names_of_people(session, wrote | set(letters))
    covers = session.scalars(as_of(select(CarCover), CarCover, when))
    insured = {fact.thing_id: fact.insured_whole for fact in covers}
    mates = {fact.with_id for facts in told for fact in facts.get("valuation", ()) if fact.with_id is not None}
    insured_by = policy_by(session, when)
    names = Names(
        people=people,
        cars=_described(session, CarDescription, "name", when),
        insured_whole=frozenset(key for key, word in insured.items() if word == "yes"),
        premises=premises_of(session, when),
        stands=_stands(session, when),
        tags=dict(session.execute(select(Part.id, Part.tag).where(among(Part.id, mates))).all()),
        insured=insured_by is not None and bool(insured_by.insurer_id or insured_by.number),
        papers=_papers(session),
        shows={kind.name: kind.seen_how for kind in _kinds_that_show(session) if kind.seen_how is not None},
        holders=letters,
        car_years=_described(session, CarDescription, "year", when),
        not_of_kind={kind.name: _not_of(kind) for kind in reference_of(session, when).kinds},
    )
    return names, {letters[party]: people[party] for party in letters}


def _not_of(kind: Kind) -> tuple[str, ...]:
    """What cannot be asked of a kind of part."""
    asked = {"match code": kind.match_code, "seals": bool(kind.seals), "goes with": bool(kind.role_in_pair)}
    return tuple(what for what, is_asked in asked.items() if not is_asked)


def _described(
    session: Session, model: type[CarDescription | PlaceDescription], column: str, when: AsOf
) -> dict[int, str]:
    """The last description of cars by the day, one column, by thing."""
    known = as_of(select(model), model, when.of_any_day)
    said = [row for row in session.scalars(known) if getattr(row, column)]
    return {row.thing_id: getattr(row, column) for row in timeless(said, when.until)}


def _stands(session: Session, when: AsOf) -> dict[int, int]:
    """The key of the place where each car stood."""
    moves = select(Move).where(Move.thing_id.in_(select(Car.id)))
    last = {fact.thing_id: fact.place_id for fact in session.scalars(as_of(moves, Move, when))}
    return {car: place for car, place in last.items() if place is not None}


def _papers(session: Session) -> dict[int, Paper]:
    rows = session.execute(select(Document.id, Document.digest, Document.media_type, Document.size))
    return {key: Paper(digest, media_type, size) for key, digest, media_type, size in rows}
