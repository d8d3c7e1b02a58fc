"""Amend: take back one fact of a part, whoever wrote it and whenever, with the reason."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content

from tui.data import acts as desk
from tui.questions import Question
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

__all__ = ["Amend"]


class Amend(View):
    """The facts of one part that stand."""

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._facts: tuple[desk.StandingFact, ...] = ()
        self._fact: desk.StandingFact | None = None
        self._rows = RowList(self._draw, choosable=lambda row: isinstance(row, desk.StandingFact))

    def compose(self) -> ComposeResult:
        """The facts, the last written first."""
        yield self._rows

    def where(self) -> str:
        """The part."""
        return f"Amend: {self._tag}"

    def question(self) -> Question:
        """Which fact, or why."""
        if self._fact is not None:
            return Question("Why is it taken back?")
        return Question("Which is not so? its number:")

    def explains(self) -> tuple[str, ...]:
        """What amending does."""
        return (
            "Nothing is rubbed out: the fact stays in the log, marked as taken back, with your name and the reason, "
            "and counts no longer. Then write what is so. One value in a fact is mended by command: fact correct.",
        )

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def opened(self) -> None:
        """Read the facts."""
        tag = self._tag
        self.read("facts", lambda session: desk.facts_to_amend(session, tag), self._show)

    def steer(self, key: str) -> None:
        """Choose a fact."""
        if self._fact is None:
            self._rows.steer(key)

    def back(self) -> bool:
        """From the reason to the facts."""
        if self._fact is not None:
            self._fact = None
            self._rows.fill(Fixed(self._facts))
            return True
        return False

    def take(self, text: str) -> None:
        """The fact, then the reason."""
        words = text.strip()
        if self._fact is not None:
            self._take_back(self._fact, words)
            return
        if words.isdecimal() and 1 <= int(words) <= len(self._facts):
            self._fact = self._facts[int(words) - 1]
        elif not words and isinstance(self._rows.item, desk.StandingFact):
            self._fact = self._rows.item
        if self._fact is None:
            self.host.say("Say which: its number.")
        else:
            self._ask_why(self._fact)

    def _ask_why(self, fact: desk.StandingFact) -> None:
        """Show what would be taken back, and what rests on it."""
        tag = self._tag
        self.read("resting", lambda session: desk.resting_on(session, tag, fact.id), self._show_chosen)

    def _show_chosen(self, resting: tuple[str, ...]) -> None:
        if self._fact is None:
            return
        width = max(self.size.width - 6, 30)
        told = [Content.assemble(("Take back: ", "bold"), line) for line in shown(self._fact.says).wrap(width)[:1]]
        told += shown(self._fact.says).wrap(width)[1:]
        rests = [shown(f"  {line}") for line in resting]
        self._rows.fill(Fixed([*told, Content(""), shown("On it rests:" if rests else "Nothing rests on it."), *rests]))

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap says which."""
        if event.again and self._fact is None:
            self.take("")

    def _take_back(self, fact: desk.StandingFact, reason: str) -> None:
        if not reason:
            self.host.say("Say why in a few words, for example: wrong part.")
            return
        by = self.sitting.by
        self.write(
            lambda session: desk.take_fact_back(session, by, fact.id, reason),
            lambda _: f"Taken back: {fact.says}. It stays in the log. Ctrl+Z brings it back.",
            then=lambda _: self.host.close(),
        )

    def _show(self, facts: tuple[desk.StandingFact, ...]) -> None:
        self._facts = facts
        self._rows.fill(Fixed(facts))

    def _draw(self, row: object, _: int) -> Content:
        if not isinstance(row, desk.StandingFact):
            return row if isinstance(row, Content) else Content("")
        return shown(numbered(self._facts.index(row) + 1, row.says))
