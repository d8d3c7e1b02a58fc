"""`matchmark clock`: the record's clock, and entries that were written with a wrong clock."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.errors import Misused

if TYPE_CHECKING:
    from inventory.record.actions import Stated

#: How many facts are named.
_NAMED = 3

command = group("clock", "The record's clock, and entries written with a wrong clock.")


@command.command("show")
@pass_door
def show(door: Door) -> Answer:
    """The time now, the newest entry, the time zone of the record's days, and entries with a wrong time."""
    from inventory.record.actions import clocks
    from inventory.store.days.moments import clock_behind, kept_moment_in

    with door.record.read() as session:
        found, behind = clocks(session), clock_behind(session)
    present, newest = (kept_moment_in(at, found.zone) for at in (found.present, found.newest))
    lines = [
        f"It is {present}; the newest entry is from {newest}.",
        f"Days begin in the time zone {found.zone or 'of this machine'}.",
        *(f"{stated.id}: {_in_words(stated, found.zone)}, {stated.reason}" for stated in found.wrong),
    ]
    data = {
        "now": found.present,
        "newest_entry": found.newest,
        "zone": found.zone,
        "wrong": [_as_dict(stated) for stated in found.wrong],
    }
    return Answer(data, "\n".join(lines), warnings=(behind,) if behind else ())


@command.command("wrong")
@click.option("--from", "since", metavar="MOMENT", help="The first moment; without it, all entries later than now.")
@click.option("--until", metavar="MOMENT", help="The last moment; without it, all entries after the first.")
@click.option("--entries", "places", metavar="N-M", help="Instead of moments: places in the log, as verify names them.")
@click.option("--act", "fact", metavar="FACT", help="Instead of moments: a fact; everything written together with it.")
@click.option("--true-day", metavar="DAY", help="The day on which the first of them was really written, if you know.")
@click.option("--reason", required=True, help="How you know.")
@pass_door_for_writing
def wrong(
    door: Door,
    since: str | None,
    until: str | None,
    places: str | None,
    fact: str | None,
    true_day: str | None,
    reason: str,
) -> Answer:
    """State that entries were written with a wrong clock. They stay, but clocks are no longer checked against them.

    With --true-day, what was known on a day goes by the true days: the others as many days after the first as their
    clock said.

    MOMENT is a day or a day and a time in the record's zone: 2031-05-04, 2031-05-04T09:30. To take it back:
    matchmark fact withdraw.
    """
    from inventory.record.actions import moments_between, moments_of_act, moments_of_entries, state_wrong
    from inventory.store.days.zone import zone_of

    if sum(map(bool, (fact, places, since or until))) > 1:
        raise Misused("act-or-moments", "Give only one of --entries, --act, and --from with --until", where="--act")
    with door.record.write() as session:
        if places is not None:
            moments = moments_of_entries(session, places)
        elif fact is not None:
            moments = moments_of_act(session, fact)
        else:
            moments = moments_between(session, since, until)
        stated = state_wrong(session, door.by, moments, reason, true_day=true_day)
        zone = zone_of(session)
    lines = [f"Noted: {_in_words(stated, zone)}. To take it back: matchmark fact withdraw {stated.id}"]
    if stated.dated:
        lines.append(_of_dated(stated))
    return Answer({**_as_dict(stated), "dated": list(stated.dated)}, "\n".join(lines))


def _of_dated(stated: Stated) -> str:
    """That facts still say the day of that clock as the day on which it was so, and how to correct them."""
    many, first = len(stated.dated), stated.dated[0]
    shown = ", ".join(stated.dated[:_NAMED]) + (f" and {many - _NAMED} more" if many > _NAMED else "")
    says = "1 fact says" if many == 1 else f"{many} facts say"
    day = stated.true_day or "DAY"
    how = f"matchmark fact correct {first} --set on={day} --reason {stated.id}"
    return f"{says} that it was so on the day of that clock: {shown}. If it was not: {how}"


def _as_dict(stated: Stated) -> dict[str, Any]:
    span = {"from": stated.since, "until": stated.until, "entries": stated.entries, "reason": stated.reason}
    return {"fact": stated.id, **span, "true_day": stated.true_day, "true_until": stated.true_until}


def _in_words(stated: Stated, zone: str | None) -> str:
    from inventory.store.days.moments import kept_moment_in

    many = "1 entry was" if stated.entries == 1 else f"{stated.entries} entries were"
    span = f"from {kept_moment_in(stated.since, zone)} to {kept_moment_in(stated.until, zone)}"
    if stated.true_day is None:
        return f"{many} written with a wrong clock, {span}"
    last = stated.true_until
    truly = f"on {stated.true_day}" if last in (None, stated.true_day) else f"from {stated.true_day} to {last}"
    return f"{many} written with a wrong clock, {span}, in truth {truly}"
