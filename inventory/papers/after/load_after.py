"""Reads what those who come after need to know. Names are wanted on this page: it is for the family."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import UnknownName
from inventory.facts.views import facts_of_many
from inventory.pairing.queries import all_pairs
from inventory.papers.page import Line, Page, Section
from inventory.papers.sale.load_mates import pair_words
from inventory.parts.load_as_one import pairs_as_one
from inventory.parts.queries import PartLine, lines
from inventory.parts.tables import Part
from inventory.people.queries import HAND, ContactView, contacts
from inventory.provenance.load_away import parts_away
from inventory.provenance.tables import Provenance
from inventory.reference.adjuster import adjuster_data
from inventory.reference.data import reference_of
from inventory.store.days.date_words import day_words
from inventory.store.days.zone import today_in
from inventory.store.facts import as_of
from inventory.store.words.names import nearest
from inventory.store.words.text import fold
from inventory.valuation.tables import Valuation

__all__ = ["AFTER", "page_for_those_after", "people_to_ask"]

AFTER = "for those after"
INTRO = (
    "For the family, and for whoever looks after these things next. It names people and places: keep it with your "
    "private papers. It gives no order; nothing here has to be sold or decided in haste."
)
#: The bases of what a part would fetch or cost, the best first.
_BASES = ("agreed", "market", "replacement")
_WORTH_MOST, _MOST_TOGETHER = 8, 12


def people_to_ask(session: Session, names: Sequence[str]) -> list[ContactView]:
    """The contacts with these names. Raises `UnknownName` for one that is not on record."""
    every = [each for each in contacts(session) if each.role != HAND]
    found = []
    for name in names:
        known = next((each for each in every if fold(each.name) == fold(name)), None)
        if known is None:
            raise UnknownName("contact", name, nearest(name, [each.name for each in every]), where="--ask")
        found.append(known)
    return found


def page_for_those_after(session: Session, *, record: str, ask: Sequence[str] = (), copy: str = "") -> Page:
    """The page. `record`: where the record is; `ask`: whom to ask, by name; `copy`: where a copy of it is, in words."""
    today = today_in(session)
    held = list(session.scalars(select(Part.id).where(Part.gone.is_(None), Part.kind.is_not(None))))
    by_key = {line.id: line for line in lines(session, held)}
    asked = tuple(Line(f"{each.name}: {_reach(each)}", keep=True) for each in people_to_ask(session, ask))
    nobody = (Line("nobody was named; ask a specialist before anything is sold or opened", keep=True),)
    sections = (
        Section("worth", "What is worth most", tuple(_worth(session, by_key))),
        Section("together", "What must never be parted", tuple(_together(session, by_key))),
        Section("others", "What belongs to others, and what is with others", tuple(_others(session, by_key))),
        Section("leave", "What not to touch", tuple(_leave(session, by_key))),
        Section("ask", "Whom to ask", asked or nobody),
        Section("record", "Where the record is", tuple(_record(record, copy))),
    )
    statement = (
        f"Drawn from the record on {day_words(today.isoformat())}. Amounts are what somebody stated, no valuation."
    )
    return Page(AFTER, "", "For those who come after", today.isoformat(), sections, intro=INTRO, statement=statement)


def _where(line: PartLine) -> str:
    return line.place or (f"on the {line.car}" if line.fitted and line.car else "place not known")


def _named(line: PartLine) -> str:
    return " ".join(filter(None, (line.kind, line.maker, line.part_number)))


def _worth(session: Session, by_key: Mapping[int, PartLine]) -> list[Line]:
    """Our own parts with the highest stated values, each currency by itself; the last value of the best basis."""
    stated: dict[int, dict[str, Valuation]] = defaultdict(dict)
    for row in session.scalars(as_of(select(Valuation).where(Valuation.basis.in_(_BASES)), Valuation)):
        stated[row.thing_id][row.basis] = row
    last = [
        (by_key[key], next(values[basis] for basis in _BASES if basis in values))
        for key, values in stated.items()
        if key in by_key and by_key[key].whose in ("own", "lent out")
    ]
    if not last:
        return [Line("no value of a part is on record", keep=True)]
    counts: dict[str, int] = defaultdict(int)
    for _, row in last:
        counts[row.currency] += 1
    last.sort(key=lambda each: (-counts[each[1].currency], each[1].currency, -Decimal(each[1].amount), each[0].tag))
    told = []
    for line, row in last[:_WORTH_MOST]:
        source = f", {row.source}" if row.source else ""
        value = f"{row.currency} {row.amount} ({row.basis}, {day_words(row.so_from)}{source})"
        mate = by_key.get(row.with_id) if row.with_id is not None else None
        pair = f" and {mate.tag} {_named(mate)}, as one pair" if mate else ""
        told.append(Line(f"{_named(line)}{pair}: {value}; {_where(line)}", line.tag))
    return told


def _together(session: Session, by_key: Mapping[int, PartLine]) -> list[Line]:
    """Confirmed pairs, and parts that came off as one."""
    found: list[Line] = []
    tags = {line.tag: line for line in by_key.values()}
    for pair in all_pairs(session).pairs:
        if pair.grade == "confirmed" and len(found) < _MOST_TOGETHER:
            where = " and ".join(dict.fromkeys(_where(tags[tag]) for tag in (pair.sensor, pair.unit) if tag in tags))
            says = f"sensor and control unit: {pair_words(pair)}; {where}"
            found.append(Line(says, f"{pair.sensor} {pair.unit}", keep=True))
    for pair_of in sorted(tuple(sorted(each)) for each in pairs_as_one(session)):
        if all(key in by_key for key in pair_of):
            both = " ".join(by_key[key].tag for key in pair_of)
            kinds = " and ".join(_named(by_key[key]) for key in pair_of)
            found.append(Line(f"{kinds}: came off as one, kept together", both))
    return found or [Line("nothing on record belongs together for certain", keep=True)]


def _others(session: Session, by_key: Mapping[int, PartLine]) -> list[Line]:
    """What is to be given back, and what is to come back, with names."""
    theirs = [line for line in by_key.values() if line.whose in ("customer's", "lent in")]
    told = facts_of_many(session, [line.id for line in theirs], (Provenance,)) if theirs else {}
    owners: dict[str, list[str]] = defaultdict(list)
    for line in sorted(theirs, key=lambda each: (_where(each), each.tag)):
        named = [fact.values["party"] for fact in told.get(line.id, ()) if fact.values["party"]]
        owner = f"{named[-1] if named else 'name not on record'} ({line.whose})"
        owners[owner].append(f"{line.tag} {line.kind} ({_where(line)})")
    found = [
        Line(
            f"{owner}: {'one part' if len(held) == 1 else f'{len(held)} parts'} to give back: {', '.join(held)}",
            keep=True,
        )
        for owner, held in sorted(owners.items())
    ]
    away = parts_away(session, today_in(session))
    names = {each.id: each.name for each in contacts(session)}
    for each in away:
        with_ = names.get(each.party_id or 0, "name not on record")
        due = f", due {day_words(each.due)}" if each.due else ""
        found.append(Line(f"{each.kind or 'part'}: {each.how} to {with_}, {day_words(each.since)}{due}", each.tag))
    return found or [Line("nothing of others is here, and nothing of ours is away, as far as the record knows")]


def _leave(session: Session, by_key: Mapping[int, PartLine]) -> list[Line]:
    """Seals, and screws that the factory set."""
    reference, data = reference_of(session), adjuster_data()
    kinds = {line.kind for line in by_key.values() if line.kind and line.kind != "other"}
    sealed = [f"{kind} ({', '.join(seals)})" for kind in sorted(kinds) if (seals := reference.factory_seals(kind))]
    found = [Line(f"Seals stay as they are; a broken one cannot be made good: {'; '.join(sealed)}.")] if sealed else []
    if any(kind in kinds for kind in data.kinds):
        says = f"Screws that the factory set stay as they are: {data.remedy} ({data.standing})."
        found.append(Line(says, keep=True))
    found.append(Line("Labels stay on the parts: everything in the record is found by them."))
    return found


def _record(record: str, copy: str) -> list[Line]:
    found = [Line(record, "the record", keep=True)]
    if "://" not in record:
        found.append(Line(f"{record}.documents (pictures and papers, belongs to it)", "beside it"))
    found.append(Line(f'matchmark --record "{record}"', "to open it"))
    found.append(Line(copy or "not stated on this page", "its copy", keep=True))
    return found


def _reach(contact: ContactView) -> str:
    return "; ".join(filter(None, (contact.role, contact.telephone, contact.address))) or "nothing else on record"
