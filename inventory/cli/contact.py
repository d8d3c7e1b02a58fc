"""`matchmark contact`."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option

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
    """Erase a person's name, address and telephone for good."""
    from inventory.people.actions import blank_contact

    with door.record.write() as session:
        blank_contact(session, door.by, name, reason)
    text = "Erased. Backups, lists and passports already given out still contain the name."
    return Answer({"blanked": True}, text)
