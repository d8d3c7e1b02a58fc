"""Out: the condition list, for an insurer or for the owner: its front, names in texts one by one, then the file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.condition_list.roles import Named, digest_of
from inventory.money import BASES, checked_currency
from tui.data import leaving as data
from tui.questions import Question, chosen
from tui.screens.leaving import Leaving
from tui.sitting import Sitting

if TYPE_CHECKING:
    from inventory.condition_list.values import ConditionList

__all__ = ["ListOut"]

_NAMES = ("cut it", "leave it", "cut the rest")
_OTHER = {"insurer": "owner", "owner": "insurer"}


class ListOut(Leaving):
    """One list; `audience`: insurer, owner."""

    formats = ("pdf", "xlsx", "csv", "json")

    def __init__(self, sitting: Sitting, audience: str) -> None:
        super().__init__(sitting)
        self._asked = data.ListAsked(audience)
        self._drawn: ConditionList | None = None
        self._to_ask: tuple[Named, ...] = ()
        self._stay: tuple[str, ...] = ()

    def where(self) -> str:
        """For whom it is."""
        return f"Out: condition list for the {self._asked.audience}"

    def help_text(self) -> tuple[str, ...]:
        """What the list is, and what its questions mean."""
        return (
            "The list that an insurer asks for: what was in the house on a day, and what is on record about it. This "
            "is its front page as text; nothing is written before you name the file. The end of the name decides the "
            "format: pdf, xlsx, csv (only the items) or json.",
            "An insurer's list has premises and roles, no shelves and no names. A text of yours that names somebody is "
            "shown before the file is written: Enter puts the role in place of the name. The owner's list has all.",
            "Written is not given out. Say to whom it goes when it goes, here or later with matchmark condition-list "
            "given. A list that was written keeps its number; it is not taken back with Ctrl+Z. The list as something "
            "was known on an earlier day: matchmark condition-list draw --known-on.",
        )

    def opened(self) -> None:
        """Draw the list."""
        if self._drawn is None:
            self._draw(self._asked)

    def name_offered(self) -> str:
        """The list's number in a file of its own."""
        return f"condition-list-{self._drawn.number if self._drawn else 1}.{self.formats[0]}"

    def own_question(self) -> Question:
        """What to change of the list; then each text that names somebody."""
        if self.at == "names":
            return Question("", _NAMES, enter="cuts it")
        if self.at == "day":
            return Question("As of which day?", enter="today")
        if self.at == "basis":
            return Question("Basis, by number or word:", enter="market")
        if self.at == "currency":
            return Question("The total also in which currency?", enter="none")
        if self.at == "look":
            choices = ("day", "basis", "currency", _OTHER[self._asked.audience])
            return Question("Change:", choices, enter="writes it")
        return Question("One moment:")

    def take_own(self, words: str) -> None:
        """Change the list, or go on to its texts and its file."""
        if self.at == "names":
            self._take_name(chosen(words or "1", _NAMES))
        elif self.at == "day":
            self.read("day", lambda session: data.day_of(session, words), self._on_day)
        elif self.at == "basis":
            basis = chosen(words or "market", BASES)
            if basis is None:
                self.host.say(f'"{words}" is none of: {", ".join(BASES)}.')
            else:
                self._draw(replace(self._asked, basis=basis))
        elif self.at == "currency":
            self._draw(replace(self._asked, currency=checked_currency(words) if words else None))
        elif self.at == "look":
            self._change(words)

    def _change(self, words: str) -> None:
        other = _OTHER[self._asked.audience]
        picked = chosen(words, ("day", "basis", "currency", other)) if words else ""
        if picked is None:
            self.host.say("Type a number from 1 to 4, or press Enter to write the list.")
        elif picked == other:
            self._draw(replace(self._asked, audience=other))
        elif picked:
            self.at = picked
            self.redraw()
        elif self._drawn is not None:
            self._to_ask, self._stay = self._drawn.named, ()
            self.at = "names" if self._to_ask else "file"
            self.redraw()

    def _take_name(self, picked: str | None) -> None:
        if picked is None:
            self.host.say("Type 1, 2 or 3; Esc goes back and writes nothing.")
            return
        if picked == _NAMES[1]:
            self._stay = (*self._stay, digest_of(self._to_ask[0].text))
        self._to_ask = () if picked == _NAMES[2] else self._to_ask[1:]
        self.at = "names" if self._to_ask else "file"
        self.redraw()

    def _on_day(self, day: object) -> None:
        self._draw(replace(self._asked, as_of=day))  # type: ignore[arg-type]

    def _draw(self, asked: data.ListAsked) -> None:
        by = self.sitting.by
        self.while_busy("Drawing the list")

        def show(drawn: ConditionList) -> None:
            self.done()
            self._asked, self._drawn, self.at = asked, drawn, "look"
            self.redraw()

        self.read("list", lambda session: data.list_drawn(session, asked, by), show)

    def back_own(self) -> bool:
        """Back to the front page."""
        if self.at in ("", "look"):
            return False
        self.at = "look"
        self.redraw()
        return True

    def preview(self) -> data.Said:
        """The front page; or the text that is asked about, or the bases."""
        if self._drawn is None:
            return ()
        if self.at == "names":
            each = self._to_ask[0]
            whose = f"Item {each.item} ({each.tag}), {each.column}" if each.item else each.column.capitalize()
            more = len(self._to_ask) - 1
            after = ((f"{more} more to ask about", ()),) if more else ()
            return ((f"{whose}: this text names somebody", (each.text,)), ("Cut, it reads", (each.cut,)), *after)
        if self.at == "basis":
            return (("Bases of value", tuple(f"{place} {basis}" for place, basis in enumerate(BASES, 1))),)
        said = data.front(self._drawn)
        if self._drawn.named:
            count = len(self._drawn.named)
            said = (*said, (f"Names: {count} texts name somebody", ("each is asked about before it is written",)))
        return said

    def write_paper(self, path: Path, overwrite: bool) -> data.Written:
        """Write the list."""
        return data.list_written(
            self.sitting.record,
            self.sitting.by,
            path,
            self._asked,
            self._stay,
            overwrite=overwrite,
            on_item=self.progress(path),
        )
