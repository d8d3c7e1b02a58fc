"""Facts of any kind, made of the examples that its declaration gives: for what must hold of every kind there is."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.facts.declare import FactKind, declared
from inventory.facts.things import things_named

__all__ = ["example_of", "name_of_a"]


def name_of_a(session: Session, kind: str) -> str:
    """The name of the first thing of a kind (by its word) on record; of a position with its car."""
    if kind == "record":
        return kind
    named = things_named(session)
    found = next(each.name for each in named.values() if each.kind == kind.replace(" ", "_") and each.name)
    return f"{name_of_a(session, 'car')} / {found}" if kind == "position" else found


def example_of(session: Session, kind: FactKind) -> dict[str, str]:
    """What is typed for a whole fact of a kind: the first example of each value, a thing on record where one is named.

    A value that has no example is left empty, unless it is needed.
    """
    things = {each.word for each in declared(session).things}
    typed = {}
    for value in kind.values:
        if value.refers in things and (value.needed or value.examples):
            typed[value.name] = name_of_a(session, value.refers)
        elif value.examples:
            typed[value.name] = value.examples[0]
    return typed
