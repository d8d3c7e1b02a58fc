"""`matchmark contact`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import click

from inventory.cli.asking import ask_each
from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option
from inventory.cli.removing import command_for, wiped

if TYPE_CHECKING:
    from inventory.errors import Refused
    from inventory.removal.mention import Mention

command = group("contact", "People and firms.")


@command.command("add")
@click.argument("name")
@click.option("--role", help="keeper, seller, customer, specialist, insurer, ...")
@click.option("--address")
@click.option("--telephone")
@on_option
@new_option
@pass_door_for_writing
def add(door: Door, name: str, role: str | None, address: str | None, telephone: str | None, on: str | None) -> Answer:
    """Enter a person or firm; names and addresses are stored separately and can be erased."""
    from inventory.people.actions import add_contact

    with door.record.write() as session:
        key = add_contact(session, door.by, name, role=role, address=address, telephone=telephone, on=on)
    return Answer({"contact": key, "name": name, "role": role}, f'Entered: "{name}"')


@command.command("list")
@pass_door
def list_(door: Door) -> Answer:
    """All people and firms."""
    from inventory.people.queries import contacts

    with door.record.read() as session:
        every = contacts(session)
    text = "\n".join(
        f"{contact.fact or '-'}  " + ", ".join(word for word in (contact.name, contact.role) if word)
        for contact in every
    )
    return Answer({"contacts": [vars(contact) for contact in every]}, text or "No person or firm is on record yet.")


@command.command("blank")
@click.argument("name")
@click.option("--reason", required=True)
@pass_door_for_writing
def blank(door: Door, name: str, reason: str) -> Answer:
    """Erase a person's name, address and telephone for good, and find what else names them, to be removed too."""
    from inventory.removal.actions import refuse_reason, remove_person
    from inventory.removal.queries import files_naming, mentions, people_called, pictures_to_look_at

    with door.record.read() as session:
        refuse_reason(session, name, reason)
        found = mentions(session, name)
        pictures = pictures_to_look_at(session, found)
        files = files_naming(door.record, people_called(session, name)[0])
    free = [each for each in found if each.removable]
    asked = (
        ask_each("Remove these words", [each.line for each in free], [each.whole_name for each in free])
        if door.can_ask
        else []
    )
    chosen = [free[place] for place in asked]
    with door.record.write() as session:
        refused = dict(remove_person(session, door.by, name, reason, chosen))
    gone = [each for each in chosen if each not in refused]
    left = [each for each in found if each not in gone]
    lines = ["Erased: name, address and telephone."]
    lines += [f"Removed from {len(gone)} texts."] if gone else []
    lines += _left_lines(left, refused, reason)
    lines += [f"Look at these pictures of papers yourself: {', '.join(pictures)}"] if pictures else []
    lines += [f"These files beside the record name them too: {', '.join(files)}"] if files else []
    data = {
        "blanked": True,
        "named": [
            each.as_dict() | {"removed": each in gone, "command": command_for(each, reason) if each.removable else None}
            for each in found
        ],
        "pictures": pictures,
        "files": files,
    }
    return wiped(door, data, lines)


def _left_lines(left: Sequence[Mention], refused: Mapping[Mention, Refused], reason: str) -> list[str]:
    """The words that stay, each with the command that removes them, or why none does."""
    lines = [f"These {len(left)} texts still name them; what a command removes is gone for good:"] if left else []
    for each in left:
        lines.append(f"  {each.line}")
        lines += [f"    {refused[each].message}: {refused[each].hint}"] if each in refused else []
        lines.append(f"    {command_for(each, reason) if each.removable else 'this is no free text: correct it'}")
    return lines
