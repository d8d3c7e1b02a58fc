"""`matchmark verify`."""

from __future__ import annotations

from inventory.cli.door import Answer, Door, pass_door, subcommand


@subcommand("verify")
@pass_door
def command(door: Door) -> Answer:
    """Check whether the record was changed outside the program; if so, exit 1."""
    from inventory.verification import verify

    found = verify(door.record)
    data = found.as_dict()
    if found.ok:
        intact = "The 1 entry is intact" if found.entries == 1 else f"All {found.entries} entries are intact"
        zone = found.zone or "this machine's"
        text = (
            f"{intact}. Time zone of the days: {zone}\n"
            f"Keep this anchor and the number of entries elsewhere: {found.anchor}"
        )
        if found.words_removed:
            many = "1 entry" if found.words_removed == 1 else f"{found.words_removed} entries"
            text += f"\nWords were removed for good from {many}; what stood there is no longer provable."
    else:
        last = "The record was changed outside the program. Do not write to it before you have made a copy of it."
        text = "\n".join([*(problem["says"] for problem in data["problems"]), last])
    return Answer(data, text, exit_status=0 if found.ok else 1)
