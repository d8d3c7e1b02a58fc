"""Questions at the terminal while a passport is written or read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Literal

from inventory.cli.asking import ask_text, ask_yes, choose

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.errors import Refused
    from inventory.papers.passport.load_plan import Plan

__all__ = ["ask_names", "ask_papers", "ask_receiver", "ask_same_part"]


def ask_papers(session: Session, tag: str, chosen: Sequence[str]) -> tuple[list[str], set[str]]:
    """Ask of each original whether it goes too: the chosen ones, else all papers. Returns digests, twice.

    A picture goes as a copy without a question.
    """
    from inventory.condition_list.load_people import load_people
    from inventory.documents.queries import document_named
    from inventory.papers.passport.load_enclosed import documents_of_part, names_people
    from inventory.parts.queries import part_row

    every = documents_of_part(session, part_row(session, tag).id)
    named = {document_named(session, typed).digest for typed in chosen}
    people = load_people(session, {}, frozenset())
    taken = []
    for each in every:
        if each.view.digest not in named and (chosen or each.is_picture):
            continue
        who = "It names somebody on record" if names_people(session, each.view, people) else "It may name people"
        if ask_yes(f"{who}: enclose {each.view.file_name} ({each.view.shows}, {each.view.on})?"):
            taken.append(each.view.digest)
    left = named - {each.view.digest for each in every}
    return [*taken, *left], set(taken)


def ask_names(refusal: Refused) -> Literal["keep", "cut"]:
    """Ask what becomes of people's names."""
    answers: tuple[Literal["cut", "keep"], ...] = ("cut", "keep")
    return answers[choose(refusal.message, ["put roles in their place", "leave the names"])]


def ask_receiver() -> str | None:
    """Ask to whom it goes; it may stay open."""
    return ask_text("Given to whom?") or None


def ask_same_part(plan: Plan) -> dict[str, Any]:
    """Ask whether a part with the same serial is the same part. Returns the options that say so."""
    says = f"Serial {plan.history.part['serial']} is on record here: is it the same part?"
    answer = choose(says, [*(f"it is {tag}" for tag in plan.twins), "it is another one"])
    return {"as_tag": plan.twins[answer]} if answer < len(plan.twins) else {"new": True}
