"""`matchmark crew`: who may do what in a record on a server."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.errors import Refused

if TYPE_CHECKING:
    from sqlalchemy import Connection

command = group("crew", "Who may do what in a record on a server.")

_MAY = {
    "reader": "reads everything, writes nothing",
    "fitter": "reads and writes; cannot remove for good, nor change the journal",
    "administrator": "also removes for good, brings the record up to a later version, and gives rights",
}


@command.command("show")
@pass_door
def show(door: Door) -> Answer:
    """The logins that have rights in the record, and what they may do."""
    from inventory.store.connection.rights import members

    with _server(door) as connection:
        found = members(connection)
    width = max((len(each.role) for each in found), default=0)
    lines = [f"{each.role:<{width}}  {each.level}: {_MAY[each.level]}" for each in found]
    none = "Nobody but its owner has rights in this record. To give some: matchmark crew grant fitter LOGIN"
    return Answer(_as_dict(found), "\n".join(lines) or none)


@command.command("grant")
@click.argument("level", type=click.Choice(tuple(_MAY)))
@click.argument("login")
@pass_door_for_writing
def grant(door: Door, level: str, login: str) -> Answer:
    """Give a login of the server the rights of a reader, fitter or administrator, in place of those it had."""
    from inventory.store.connection import rights

    with _server(door) as connection:
        rights.grant(connection, level, login)
        found = rights.members(connection)
    return Answer(_as_dict(found), f"{login} is {level} of this record: {_MAY[level]}.")


@command.command("revoke")
@click.argument("login")
@pass_door_for_writing
def revoke(door: Door, login: str) -> Answer:
    """Take all rights in the record from a login; what it wrote stays."""
    from inventory.store.connection import rights

    with _server(door) as connection:
        rights.revoke(connection, login)
        found = rights.members(connection)
    return Answer(_as_dict(found), f"{login} has no rights in this record any more.")


@contextmanager
def _server(door: Door) -> Iterator[Connection]:
    """A transaction on the record's server. Rights are the server's own, so no act of the record is written."""
    from inventory import declared
    from inventory.store.connection.refusals import plain_refusal

    assert declared  # makes all tables known
    record = door.record
    if record.path is not None:
        raise Refused(
            "not-on-a-server",
            "This record is a file: who may read or write it is a matter of the file and its folder",
            hint="for several people, keep the record on PostgreSQL: see the README",
        )
    with plain_refusal(record.shown), record.engine.begin() as connection:
        yield connection


def _as_dict(found: Any) -> dict[str, Any]:
    return {"members": [{"login": each.role, "level": each.level} for each in found]}
