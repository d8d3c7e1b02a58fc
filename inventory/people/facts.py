"""The facts about a person or firm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import Cell, FactDraft, FactKind, ThingKind, Value, Values, one_by_one
from inventory.facts.descriptions import latest_values
from inventory.facts.values import text
from inventory.people.actions import HAND
from inventory.people.queries import names_of_contacts, names_of_people
from inventory.people.tables import Contact, ContactDescription
from inventory.store import personal
from inventory.store.words.near import known_name
from inventory.store.words.text import short_enough

__all__ = ["FACTS", "THINGS"]


def _personal(name: str, example: str) -> Value:
    """A personal text: it is stored separately, and the fact contains its digest."""
    column = f"{name}_digest"

    def read(typed: str, _cell: Cell) -> dict[str, Any]:
        return {column: short_enough(name, typed) or None}

    def show(values: Values) -> str:
        return str(values.get(column) or "")

    return Value(name, read, show, lambda one, other: one.get(column) == other.get(column), (example,))


def _validate_person(session: Session, draft: FactDraft) -> None:
    """Store personal texts separately. Refuse to change erased data, or to give or take the role of a hand."""
    old, columns = draft.old, draft.columns
    if old is None:
        raise Refused("written-elsewhere", "A person cannot be added this way", hint="matchmark contact add NAME")
    contact = session.get_one(Contact, draft.thing_id)
    digest = contact.name_digest or ""
    if old.blanked or personal.read(session, {digest}).get(digest) == personal.BLANKED:
        raise Refused("person-removed", "This person's data were erased")
    if columns["role"] != old.role and HAND in (columns["role"], old.role):
        raise Refused(
            "role-of-a-hand",
            'The role "hand" marks people who write in the record. It cannot be given or taken away',
            hint='add the person as another contact: matchmark contact add "NAME" --role ROLE',
        )
    for column in ("address_digest", "telephone_digest"):
        typed, held = columns[column], getattr(old, column)
        if typed is None or typed == held:
            continue
        if personal.read(session, {held or ""}).get(held or "") == typed:
            columns[column] = held
        else:
            kept = personal.keep(draft.thing_id, typed)
            columns[column] = kept.digest
            draft.beside.append(kept)


def _people_stay(_session: Session, rows: Sequence[Any]) -> None:
    """Refuse to take back personal data: the old text may be erased."""
    if rows:
        raise Refused(
            "fact-fixed",
            "A person's data cannot be taken back one by one",
            hint="to correct it: matchmark fact correct; to erase them for good: matchmark contact blank",
        )


def _find_contact(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    known = names_of_contacts(session, hands=True)
    return known[known_name(session.info, "contact", typed, known, f'to enter it: matchmark contact add "{typed}"')]


FACTS = (
    FactKind(
        ContactDescription,
        "contact",
        ("contact",),
        (text("role", "dealer"), _personal("address", "Mill Lane 4"), _personal("telephone", "0555 0142")),
        validate=one_by_one(_validate_person),
        says=lambda _: "a person written down",
        row_input="descriptions",
        check_withdrawal=_people_stay,
        only_names=lambda _, rows: {row.id for row in rows if not row.reason},
    ),
)


THINGS = (
    ThingKind(
        "contact",
        Contact,
        _find_contact,
        names_of_people,
        latest_values("role", "name_digest", "address_digest", "telephone_digest"),
    ),
)
