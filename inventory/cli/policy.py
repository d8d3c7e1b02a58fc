"""`matchmark policy`: who owns what a condition list lists, who insures it, who prepares it."""

from __future__ import annotations

from typing import Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option

command = group("policy", "Who owns and insures what a list shows, and who prepares it.")

_SAYS = {
    "owner": "Owner",
    "preparer": "Prepared by",
    "capacity": "Capacity",
    "insurer": "Insurer",
    "number": "Policy",
    "until": "Until",
    "checked_by": "Checked by",
}


@command.command("set")
@click.option("--owner")
@click.option("--insurer")
@click.option("--policy", "number", help="The number of the policy.")
@click.option("--until", metavar="DATE", help="The day on which the policy ends.")
@click.option("--prepared-by", "preparer", help="Who prepares lists.")
@click.option("--capacity", help="In what capacity, e.g. owner, restorer, broker.")
@click.option("--checked-by", help="Somebody independent who checks lists.")
@on_option
@new_option
@pass_door_for_writing
def set_(door: Door, on: str | None, **given: str | None) -> Answer:
    """Record what the front of a list says of owner, insurer and policy. What you do not give stays; "" empties it."""
    from inventory.valuation.actions import set_policy
    from inventory.valuation.queries import policy

    with door.record.write() as session:
        set_policy(session, door.by, given, on=on)
        said = policy(session)
    return _answer(said)


@command.command("show")
@pass_door
def show(door: Door) -> Answer:
    """What the front of a list says of owner, insurer and policy today."""
    from inventory.valuation.queries import policy

    with door.record.read() as session:
        said = policy(session)
    return _answer(said)


def _answer(said: Any) -> Answer:
    data = dict(vars(said))
    return Answer(data, "\n".join(f"{label}: {data[name] or 'not stated'}" for name, label in _SAYS.items()))
