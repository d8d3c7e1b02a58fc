"""What tests of the condition list write into a record, by the actions that people use. All names are invented."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from inventory.condition_list.actions import ConditionList, condition_list
from inventory.condition_list.values import Item
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.store.record import Record
from inventory.valuation import actions as worth

__all__ = ["BY", "Workshop", "day"]

BY = "Maud"


def day(text: str) -> date:
    """A day by its ISO form."""
    return date.fromisoformat(text)


@dataclass
class Workshop:
    """A record, and the tags of its parts by what is special about them."""

    record: Record
    tags: dict[str, str] = field(default_factory=dict)

    def part(
        self,
        kind: str,
        worth_of: str | None = None,
        *,
        number: str | None = None,
        serial: str | None = None,
        code: str | None = None,
        currency: str = "EUR",
        on: str,
    ) -> str:
        """A part, valued on the market basis on the day it was seen. Gives its tag."""
        read = Markings(kind=kind, maker="Ostrell", part_number=number, serial=serial, match_code=code)
        with self.record.write() as session:
            tag = parts.add_part(session, BY, read, on=on)
            if worth_of is not None:
                worth.note_value(session, BY, tag, worth_of, currency, source="two sale results", on=on)
        return tag

    def drawn(self, as_of: str | None = None, known_on: str | None = None, basis: str = "market") -> ConditionList:
        """The list of a day."""
        with self.record.read() as session:
            return condition_list(session, day(as_of) if as_of else None, day(known_on) if known_on else None, basis)

    def item(self, name: str, drawn: ConditionList) -> Item:
        """The item of a part, by what is special about it."""
        (found,) = [item for item in drawn.items if item.tag == self.tags[name]]
        return found
