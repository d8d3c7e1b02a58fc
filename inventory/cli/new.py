"""`matchmark new`."""

from __future__ import annotations

from inventory.cli.door import Answer, Door, pass_door_for_writing, subcommand


@subcommand("new")
@pass_door_for_writing
def command(door: Door) -> Answer:
    """Make a new, empty record."""
    from inventory.copies.read_beside import synced_sentence
    from inventory.opening import make_record

    record = make_record(door.where)
    door.opened.append(record)
    synced = synced_sentence(record)
    warnings = (synced,) if synced else ()
    return Answer({"record": record.shown}, f"A new record: {record.shown}", warnings=warnings)
