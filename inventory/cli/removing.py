"""What the commands that remove something for good share: wiping what stays behind, and saying what still holds it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inventory.cli.door import Answer, Door
from inventory.store.systems import quoted

if TYPE_CHECKING:
    from inventory.removal.mention import Mention

__all__ = ["command_for", "wiped"]


def command_for(mention: Mention, reason: str) -> str:
    """The command that removes the words of a mention."""
    return f"matchmark fact redact {mention.fact} --words {quoted(mention.words)} --reason {quoted(reason)}"


def wiped(door: Door, data: dict[str, Any], lines: list[str]) -> Answer:
    """Wipe the record, and complete an answer: what was not wiped, and what else may hold what was removed."""
    from inventory.removal.actions import wipe_record
    from inventory.removal.mention import held_said
    from inventory.removal.queries import held_elsewhere

    not_done = wipe_record(door.record)
    with door.record.read() as session:
        papers = held_elsewhere(session)
    remains = held_said(papers, on_server=door.record.path is None)
    says = f"{not_done[:1].upper()}{not_done[1:]}. To finish: matchmark fact wipe" if not_done else ""
    more = {"not_wiped": not_done or None, "held_by": [each.as_dict() for each in papers], "remains": remains}
    return Answer({**data, **more}, "\n".join([*lines, f"{remains}."]), warnings=(says,) if says else ())
