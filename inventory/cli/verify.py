"""`matchmark verify`."""

from __future__ import annotations

from inventory.cli.door import Answer, Door, pass_door, subcommand


@subcommand("verify")
@pass_door
def command(door: Door) -> Answer:
    """Check that nothing was changed outside the program: exit 1 where something was."""
    from inventory.verification import verify

    found = verify(door.record)
    data = found.as_dict()
    if found.ok:
        text = f"{found.entries} entries, all fit. Keep this fingerprint elsewhere: {data['fingerprint']}"
    else:
        text = "\n".join(problem["says"] for problem in data["problems"])
    return Answer(data, text, exit_status=0 if found.ok else 1)
