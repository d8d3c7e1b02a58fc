"""What the record says about parts, in the form for comparing it with rows of a sheet."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.contradictions.load_facts import load_contradictions
from inventory.contradictions.looks import LETTER
from inventory.facts.how_known import FROM_SHEETS, OWN
from inventory.parts.judgements import BACK, CAME, LEFT
from inventory.parts.tables import Assessment, Labelling, Marking, Note, OwnNumber, Part, UnreadCell
from inventory.people.tables import Contact
from inventory.places.tables import Move, Place
from inventory.provenance.tables import Provenance
from inventory.seals.tables import SealSighting
from inventory.store.days.dates import When
from inventory.store.facts import as_of
from inventory.store.many import among
from inventory.store.tables import Personal
from inventory.store.words.text import fold, squeeze
from inventory.teardown.tables import Fitting, Removal
from inventory.valuation.tables import Valuation

__all__ = [
    "Acquisition",
    "Identity",
    "PartState",
    "Stated",
    "add_looks",
    "add_told_places",
    "contact_ids",
    "identities",
    "own_numbers",
    "part_keys",
    "rows_among",
    "states",
    "told_identities",
    "told_without_serial",
    "without_serial",
    "zeros_apart",
]

#: The columns of marks that a sheet tells.
_TOLD_MARKS = ("kind", "maker", "part number", "serial", "date code", "match code", "marks")
#: How a part first came into the house.
_ACQUIRED = CAME - BACK


@dataclass(frozen=True)
class Acquisition:
    """How a part came, by one fact: its key, the day (EDTF), from whom, and the price."""

    id: int
    how: str
    on: str
    told: str | None
    party: str | None
    price: str | None
    currency: str | None


@dataclass(frozen=True)
class Stated:
    """A value stated for a part: the key of the fact, what it says, and whether a sheet told it."""

    id: int
    amount: str
    currency: str
    basis: str
    on: str
    told: bool = False


@dataclass(frozen=True, slots=True)
class Identity:
    """What identifies a part. `was`: of the labels it had before, those by which rows name it."""

    id: int
    tag: str
    kind: str | None
    maker: str | None
    part_number: str | None
    serial: str | None
    was: tuple[str, ...] = ()


@dataclass(slots=True)
class PartState:
    """What the record says about a part; all empty for a part that is not in it yet. Lists are oldest first.

    `told_condition`, `told_seals`: the last class, the last state of each seal that a sheet told; `told_marks`: by
    column what sheets told of marks that somebody else read too; `told_whose`: whose sheets said that it is. `seals`:
    how each was last found; `counted`: what it counts as where two looks do not fit;
    `letters`: "K or C" if two letters were read from the part. `looks`: who looked at it,
    and on which day (EDTF); `only_looks`: its markings, seals and condition are known by those alone. Both are filled
    in by `add_looks`. `told_places` and `told_cars`: where sheets put it, folded, if it is fitted or gone or if we
    moved it later; see `add_told_places`. `unread`: cells that could not be read, by folded header and column: the key
    of the fact, and the text. `own_numbers`: each with the header it stood under; `left`: how it is said to have left.
    """

    id: int | None = None
    tag: str | None = None
    kind: str | None = None
    maker: str | None = None
    part_number: str | None = None
    serial: str | None = None
    date_code: str | None = None
    match_code: str | None = None
    match_code_state: str | None = None
    match_code_read_from: str | None = None
    marks: str | None = None
    condition: str | None = None
    whose: str = "own"
    fitted: bool = False
    car: str | None = None
    position: str | None = None
    place: str | None = None
    gone: str | None = None
    extra: dict[str, str] = field(default_factory=dict)
    told_condition: str | None = None
    told_seals: dict[str, str] = field(default_factory=dict)
    told_marks: dict[str, set[str]] = field(default_factory=dict)
    told_whose: set[str] = field(default_factory=set)
    seals: dict[str, str] = field(default_factory=dict)
    counted: dict[str, str] = field(default_factory=dict)
    letters: str | None = None
    notes: list[str] = field(default_factory=list)
    acquisitions: list[Acquisition] = field(default_factory=list)
    values: list[Stated] = field(default_factory=list)
    looks: list[tuple[str, str]] = field(default_factory=list)
    only_looks: bool = False
    told_places: frozenset[str] = frozenset()
    told_cars: frozenset[str] = frozenset()
    serial_state: str | None = None
    unread: dict[tuple[str, str], tuple[int, str]] = field(default_factory=dict)
    own_numbers: list[tuple[str, str | None]] = field(default_factory=list)
    left: list[str] = field(default_factory=list)


def rows_among(session: Session, query: Any, column: Any, wanted: Collection[Any]) -> Iterable[Any]:
    """The rows of a query in which a column has one of these values; without values there is no query."""
    return session.execute(query.where(among(column, wanted))) if wanted else ()


_IDENTITY = (Part.id, Part.tag, Part.kind, Part.maker, Part.part_number, Part.serial)


def identities(session: Session, tags: Iterable[str], serials_alike: Iterable[str]) -> list[Identity]:
    """The parts that have or had one of these tags, or a serial that is or looks like one of these (`text.alike`)."""
    found: dict[int, Identity] = {}
    for column, wanted in ((Part.tag, set(tags)), (Part.serial_alike, set(serials_alike))):
        for row in rows_among(session, select(*_IDENTITY), column, wanted):
            found[row.id] = Identity(*row)
    changed = select(*_IDENTITY, Labelling.was).join(Labelling, Labelling.thing_id == Part.id)
    for row in rows_among(session, changed.where(Labelling.superseded_by.is_(None)), Labelling.was, set(tags)):
        part = found.get(row.id) or Identity(*row[:-1])
        found[row.id] = replace(part, was=(*part.was, row.was))
    return [found[key] for key in sorted(found)]


def without_serial(
    session: Session, kinds: Iterable[str], words: Iterable[str] = (), instead: Collection[str] = ()
) -> list[Identity]:
    """The parts without a serial of these kinds, or in whose sheet one of these words stood for the kind; by key.

    `instead`: folded words that stand in the place of a serial; parts with one of them have none.
    """
    none = or_(Part.serial_squeezed.is_(None), among(Part.serial_squeezed, instead))
    query = select(*_IDENTITY).where(none).order_by(Part.id)
    found = {row.id: Identity(*row) for row in rows_among(session, query, Part.kind, set(kinds))}
    told = query.join(UnreadCell, UnreadCell.thing_id == Part.id)
    told = told.where(UnreadCell.superseded_by.is_(None), UnreadCell.for_column == "kind")
    found |= {row.id: Identity(*row) for row in rows_among(session, told, UnreadCell.text, set(words))}
    return [found[key] for key in sorted(found)]


def zeros_apart(session: Session, keys: Collection[str]) -> list[Identity]:
    """The parts with one of these serials, folded and without the zeros before them, whatever zeros theirs have."""
    query = select(*_IDENTITY).order_by(Part.id)
    return [Identity(*row) for row in rows_among(session, query, func.ltrim(Part.serial_squeezed, "0"), keys)]


def own_numbers(session: Session) -> list[tuple[str, str | None, Identity]]:
    """Each number that a keeper gave a part, the header it stood under, and the part."""
    query = select(OwnNumber.number, OwnNumber.given_in, *_IDENTITY).join(Part, Part.id == OwnNumber.thing_id)
    query = query.where(OwnNumber.superseded_by.is_(None), Part.kind.is_not(None)).order_by(Part.id)
    return [(row[0], row[1], Identity(*row[2:])) for row in session.execute(query)]


_LISTED = (
    *("id", "tag", "kind", "maker", "part_number", "serial", "date_code", "match_code", "match_code_state"),
    *("match_code_read_from", "marks", "condition", "whose", "gone", "serial_state"),
)


def states(session: Session, keys: Iterable[int]) -> dict[int, PartState]:
    """What the record says about these parts, by key; the same number of statements for one part and for many."""
    wanted = set(keys)
    found: dict[int, PartState] = {}
    if not wanted:
        return found
    columns = [getattr(Part, name) for name in (*_LISTED, "fitted", "extra")]
    query = select(*columns, Car.name.label("car"), Position.name.label("position"), Place.name.label("place"))
    query = query.outerjoin(Car, Car.id == Part.car_id).outerjoin(Position, Position.id == Part.position_id)
    query = query.outerjoin(Place, Place.id == Part.place_id)
    for row in rows_among(session, query.order_by(Part.id), Part.id, wanted):
        values = dict(row._mapping)
        values["fitted"] = values["fitted"] == "yes"
        values["extra"] = json.loads(values["extra"]) if values["extra"] else {}
        found[row.id] = PartState(**values)
    _add_facts(session, wanted, found)
    return found


def _add_facts(session: Session, keys: set[int], found: dict[int, PartState]) -> None:
    def standing(model: Any, *names: str) -> Iterator[Any]:
        columns = [model.thing_id, model.id, *(getattr(model, name) for name in names)]
        return iter(rows_among(session, as_of(select(*columns), model), model.thing_id, keys))

    several = _several_letters(session, keys)
    for row in standing(SealSighting, "seal", "state", "how_known"):
        if found[row.thing_id].seals.pop(row.seal, None) is not None:
            several.add(row.thing_id)
        found[row.thing_id].seals[row.seal] = row.state
        found[row.thing_id].told_seals |= {row.seal: row.state} if row.how_known in FROM_SHEETS else {}
    for key, part in load_contradictions(session, sorted(several)).items():
        found[key].counted = {seal.name: seal.state for seal in part.seals.values()}
        if any(each.about == LETTER for each in part.open):
            found[key].letters = " or ".join(part.letter.codes)
    _add_told_marks(session, keys, found)
    _add_told_condition(standing(Assessment, "category", "how_known"), found)
    for row in standing(Note, "text"):
        found[row.thing_id].notes.append(row.text)
    for row in standing(UnreadCell, "header", "for_column", "text"):
        found[row.thing_id].unread[fold(row.header), row.for_column or ""] = row.id, row.text
    for row in standing(Valuation, "amount", "currency", "basis", "so_from", "how_known"):
        stated = Stated(row.id, row.amount, row.currency, row.basis, row.so_from, row.how_known in FROM_SHEETS)
        found[row.thing_id].values.append(stated)
    for row in standing(OwnNumber, "number", "given_in"):
        found[row.thing_id].own_numbers.append((row.number, row.given_in))
    columns = ("how", "whose", "attribution", "so_from", "told", "party_id", "price", "currency")
    _add_provenance(session, standing(Provenance, *columns), found)


def _told_beside_ours(*columns: Any) -> Any:
    """A query of the marks that sheets tell of parts of which somebody else read some too."""
    own = select(Marking.thing_id).where(Marking.superseded_by.is_(None), Marking.how_known.not_in(FROM_SHEETS))
    told = select(*columns).where(Marking.superseded_by.is_(None), Marking.how_known.in_(FROM_SHEETS))
    return told.where(Marking.thing_id.in_(own)).order_by(Marking.id)


def told_identities(session: Session, keys: Collection[str]) -> list[Identity]:
    """The parts that a sheet gave one of these serials, folded, as told; we have read them otherwise since."""
    columns = (Marking.kind, Marking.maker, Marking.part_number, Marking.serial)
    query = _told_beside_ours(Part.id, Part.tag, *columns).join(Part, Part.id == Marking.thing_id)
    query = query.where(Marking.serial.is_not(None), Part.kind.is_not(None))
    found = {row.id: Identity(*row) for row in session.execute(query) if squeeze(row.serial) in keys} if keys else {}
    return list(found.values())


def told_without_serial(session: Session, kinds: Collection[str]) -> dict[int, Identity]:
    """The parts of these kinds that a sheet told without a serial, as told; we have read them otherwise since."""
    columns = (Marking.kind, Marking.maker, Marking.part_number, Marking.serial)
    query = _told_beside_ours(Part.id, Part.tag, *columns).join(Part, Part.id == Marking.thing_id)
    query = query.where(Marking.serial.is_(None), Part.kind.is_not(None))
    return {row.id: Identity(*row) for row in rows_among(session, query, Marking.kind, kinds)}


def _add_told_marks(session: Session, keys: set[int], found: Mapping[int, PartState]) -> None:
    """What sheets told of the marks of parts on which somebody else read some too, which counts."""
    told = _told_beside_ours(Marking.thing_id, *(getattr(Marking, name.replace(" ", "_")) for name in _TOLD_MARKS))
    for key, *texts in rows_among(session, told, Marking.thing_id, keys):
        for name, text in zip(_TOLD_MARKS, texts, strict=True):
            if text is not None:
                found[key].told_marks.setdefault(name, set()).add(squeeze(text))


def _add_told_condition(rows: Iterable[Any], found: Mapping[int, PartState]) -> None:
    for row in rows:
        if row.category is not None and row.how_known in FROM_SHEETS:
            found[row.thing_id].told_condition = str(row.category)


def _add_provenance(session: Session, rows: Iterable[Any], found: Mapping[int, PartState]) -> None:
    """How parts came, and how they are said to have left."""
    came = []
    for row in rows:
        if row.whose is not None and row.attribution in FROM_SHEETS:
            found[row.thing_id].told_whose.add(row.whose)
        if row.how in _ACQUIRED:
            came.append(row)
        elif row.how in LEFT:
            found[row.thing_id].left.append(row.how)
    people = _names(session, {row.party_id for row in came} - {None})
    for row in came:
        party = people.get(row.party_id)
        found[row.thing_id].acquisitions.append(
            Acquisition(row.id, row.how, row.so_from, row.told, party, row.price, row.currency)
        )


def add_looks(session: Session, found: Mapping[int, PartState]) -> None:
    """Fill in who looked at these parts, and when."""
    told = []
    for model in (Marking, SealSighting, Assessment):
        query = as_of(select(model.thing_id, model.by_id, model.so_from, model.how_known), model)
        told += list(rows_among(session, query, model.thing_id, set(found)))
    people = _names(session, {row.by_id for row in told})
    for state in found.values():
        state.only_looks = True
    for row in told:
        state, who = found[row.thing_id], people.get(row.by_id)
        if row.how_known not in OWN or who is None:
            state.only_looks = False
        elif (who, row.so_from) not in state.looks:
            state.looks.append((who, row.so_from))


def add_told_places(session: Session, found: Mapping[int, PartState], day: When) -> None:
    """Fill in where sheets put parts that are fitted or gone, or that we moved on the day of the sheet or later."""
    query = select(Move.thing_id, Move.latest, Move.how_known, Place.name_folded).where(Move.superseded_by.is_(None))
    query = query.outerjoin(Place, Place.id == Move.place_id)
    moves = list(rows_among(session, query, Move.thing_id, set(found)))
    ours = {
        row.thing_id for row in moves if row.how_known not in FROM_SHEETS and row.latest >= day.earliest.isoformat()
    }
    elsewhere = {key for key, state in found.items() if state.fitted or state.gone}
    for row in moves:
        if row.thing_id in ours | elsewhere and row.how_known in FROM_SHEETS:
            found[row.thing_id].told_places |= {row.name_folded or ""}
    for model in (Fitting, Removal):
        on_cars = select(model.thing_id, Car.name_folded).join(Car, Car.id == model.car_id)
        on_cars = on_cars.where(model.superseded_by.is_(None), model.how_known.in_(FROM_SHEETS))
        for row in rows_among(session, on_cars, model.thing_id, elsewhere):
            found[row.thing_id].told_cars |= {row.name_folded}


def _several_letters(session: Session, keys: set[int]) -> set[int]:
    """The parts on which more than one letter was written down."""
    query = select(Marking.thing_id).where(Marking.match_code.is_not(None), Marking.superseded_by.is_(None))
    query = query.group_by(Marking.thing_id).having(func.count(Marking.match_code.distinct()) > 1)
    return {row.thing_id for row in rows_among(session, query, Marking.thing_id, keys)}


def _names(session: Session, keys: set[int]) -> dict[int, str]:
    """Names of contacts by key; erased names are missing."""
    query = select(Contact.id, Personal.text).join(Personal, Personal.digest == Contact.name_digest)
    return {row.id: row.text for row in rows_among(session, query, Contact.id, keys) if row.text}


def contact_ids(session: Session, names: Iterable[str]) -> dict[str, int]:
    """The keys of contacts on record by folded name, people of the workshop left out; of namesakes the oldest."""
    wanted = {fold(name) for name in names}
    query = select(Personal.text_folded, Contact.id).join(Contact, Contact.name_digest == Personal.digest)
    query = query.where(Contact.role.is_distinct_from("hand")).order_by(Contact.id.desc())
    return {row.text_folded: row.id for row in rows_among(session, query, Personal.text_folded, wanted)}


def part_keys(session: Session) -> Sequence[int]:
    """The keys of all parts with at least one standing fact, in the order of entry."""
    return session.scalars(select(Part.id).where(Part.kind.is_not(None)).order_by(Part.id)).all()
