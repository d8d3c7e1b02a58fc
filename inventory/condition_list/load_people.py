"""Reads the people of a record, and the roles that stand for them on a list that leaves the house."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy.orm import Session

from inventory.condition_list.roles import People, for_insurer
from inventory.condition_list.values import ConditionList
from inventory.people.queries import HAND, contacts
from inventory.store.personal import BLANKED
from inventory.store.words.nothing import nothing_in

__all__ = ["for_reader", "load_people"]


def for_reader(session: Session, drawn: ConditionList) -> ConditionList:
    """The list as its options say: an insurer's with roles instead of names."""
    if drawn.options.audience == "owner":
        return drawn
    front = drawn.front
    public = frozenset(filter(None, (front.owner, front.preparer, front.insurer, front.checked_by, drawn.prepared_by)))
    people = load_people(session, drawn.holders, public)
    return for_insurer(drawn, people, drawn.options.names, drawn.options.kept)


def load_people(session: Session, holders: Mapping[str, str], public: frozenset[str]) -> People:
    """Everybody on record: a customer by the letter that the list gives, a hand or other contact by a number.

    `holders`: names by letter. `public`: those whom the list names on its front.
    """
    letters = {name: letter for letter, name in holders.items()}
    roles: dict[str, str] = {}
    addresses: dict[str, str] = {}
    hands = others = 0
    for each in sorted(contacts(session), key=lambda contact: contact.id):
        if each.role == HAND:
            hands += 1
            role = f"hand {hands}"
        else:
            others += 1
            role = letters.get(each.name) or f"{each.role or 'contact'} {others}"
        if each.name != BLANKED and nothing_in(each.name) is None:
            roles.setdefault(each.name, role)
        for text in (each.address, each.telephone):
            if text and each.name not in public:
                addresses.setdefault(text, f"(address of {role})" if text == each.address else f"({role}'s number)")
    return People(roles, addresses, public)
