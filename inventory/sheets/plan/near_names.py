"""New names in a file that look like misspelt ones: like a name on record, or like one earlier in the file."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.people.queries import names_of_contacts
from inventory.places.queries import places
from inventory.seals.actions import usual_seals
from inventory.seals.tables import SealSighting
from inventory.sheets.plan.likely import NearInFile
from inventory.sheets.plan.name_keys import Names
from inventory.sheets.plan.rows import Plan
from inventory.store.words.near import near_names
from inventory.store.words.text import fold

__all__ = ["near_in_file"]

#: How many pairs of names are compared: about a second.
_MOST = 500_000


def near_in_file(session: Session, plan: Plan) -> list[NearInFile]:
    """Each such name once, with the rows that have it. They are read in as they stand."""
    found: list[NearInFile] = []
    for (what, _), (known, wanted) in _names(session, plan).items():
        folded = {fold(each) for each in known}
        new = [name for name in dict.fromkeys(wanted) if fold(name) not in folded]
        if len(new) * (len(known) + len(new)) > _MOST:
            plan.remarks.append(f"{len(new)} names ({what}) are new, too many to look for misspelt ones")
            continue
        every = list(known)
        for name in new:
            if near := near_names(name, every):
                found.append(NearInFile(what, name, near))
            every.append(name)
    if found:
        _add_rows(plan, found)
    return found


def _names(session: Session, plan: Plan) -> dict[tuple[str, str], tuple[list[str], list[str]]]:
    """For each sort of names, and for positions each car: those on record, and those in the file."""
    named = Names(row.work for row in plan.rows if row.work is not None)
    wanted = defaultdict[tuple[str, str], list[str]](list)
    for what, _, scope, name in _each(named):
        wanted[what, scope].append(name)
    known = defaultdict[tuple[str, str], list[str]](list)
    if ("place", "") in wanted:
        known["place", ""] = [each.name for each in places(session)]
    if ("contact", "") in wanted:
        known["contact", ""] = list(names_of_contacts(session))
    if ("seal", "") in wanted:
        noted = session.scalars(select(SealSighting.seal).distinct())
        known["seal", ""] = sorted(usual_seals(session).union(noted))
    if named.positions:
        query = select(Car.name_folded, Position.name).join(Position, Position.car_id == Car.id)
        for car, name in session.execute(query.where(Position.taken_away.is_(None)).order_by(Position.id)):
            known["position", car].append(name)
    return {key: (known[key], names) for key, names in wanted.items()}


def _each(named: Names) -> Iterator[tuple[str, str, str, str]]:
    """The names in a plan: sort, form in which it is compared, the car of a position, the name."""
    for what, names in (("place", named.places), ("contact", named.people), ("seal", named.seals)):
        yield from ((what, folded, "", name) for folded, name in names.items())
    yield from (("position", fold(name), fold(car), name) for car, name in named.positions)


def _add_rows(plan: Plan, found: Iterable[NearInFile]) -> None:
    wanted = {(each.what, fold(each.name)): each.rows for each in found}
    for row in plan.rows:
        if row.work is not None:
            for what, folded, _, _ in _each(Names([row.work])):
                if (what, folded) in wanted:
                    wanted[what, folded].append((row.sheet.name, row.row.number))
