"""`matchmark clock`: the record's clock, and entries that were written with a wrong clock."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.errors import Misused

if TYPE_CHECKING:
    from inventory.record.actions import Stated

command = group("clock", "The record's clock, and entries written with a wrong clock.")


@command.command("show")
@pass_door
def show(door: Door) -> Answer:
    """The time now, the newest entry, the time zone of the record's days, and entries with a wrong time."""
    from inventory.record.actions import clocks

    with door.record.read() as session:
        found = clocks(session)
    lines = [
        f"It is {_shown(found.present, found.zone)}; the newest entry is from {_shown(found.newest, found.zone)}.",
        f"Days begin in the time zone {found.zone or 'of this machine'}.",
        *(f"{stated.id}: {_in_words(stated, found.zone)}, {stated.reason}" for stated in found.wrong),
    ]
    data = {
        "now": found.present,
        "newest_entry": found.newest,
        "zone": found.zone,
        "wrong": [_as_dict(stated) for stated in found.wrong],
    }
    return Answer(data, "\n".join(lines))


@command.command("wrong")
@click.option("--from", "since", metavar="MOMENT", help="The first moment; without it, all entries later than now.")
@click.option("--until", metavar="MOMENT", help="The last moment; without it, all entries after the first.")
@click.option("--act", "fact", metavar="FACT", help="Instead of moments: a fact; everything written together with it.")
@click.option("--reason", required=True, help="How you know.")
@pass_door_for_writing
def wrong(door: Door, since: str | None, until: str | None, fact: str | None, reason: str) -> Answer:
    """State that entries were written with a wrong clock. They stay, but clocks are no longer checked against them.

    MOMENT is a day or a day and a time in the record's zone: 2031-05-04, 2031-05-04T09:30. To take it back:
    matchmark fact withdraw.
    """
    from inventory.record.actions import moments_between, moments_of_act, state_wrong
    from inventory.store.days.zone import zone_of

    if fact is not None and (since or until):
        raise Misused("act-or-moments", "Give either --act, or --from and --until", where="--act")
    with door.record.write() as session:
        moments = moments_between(session, since, until) if fact is None else moments_of_act(session, fact)
        stated = state_wrong(session, door.by, moments, reason)
        zone = zone_of(session)
    return Answer(
        _as_dict(stated), f"Noted: {_in_words(stated, zone)}. To take it back: matchmark fact withdraw {stated.id}"
    )


def _as_dict(stated: Stated) -> dict[str, Any]:
    span = {"from": stated.since, "until": stated.until, "entries": stated.entries, "reason": stated.reason}
    return {"fact": stated.id, **span}


def _in_words(stated: Stated, zone: str | None) -> str:
    many = "1 entry was" if stated.entries == 1 else f"{stated.entries} entries were"
    span = f"from {_shown(stated.since, zone)} to {_shown(stated.until, zone)}"
    return f"{many} written with a wrong clock, {span}"


def _shown(at: str | None, zone: str | None) -> str:
    from inventory.store.days.moments import read_moment, shown_in

    moment = read_moment(at)
    return "a moment that cannot be read" if moment is None else shown_in(moment, zone)
