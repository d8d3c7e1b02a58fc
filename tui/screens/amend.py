"""Amend: take back one fact of a part, with a reason, whoever recorded it and whenever."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content

from inventory.store.words.nothing import is_no_name
from tui.data import acts as data
from tui.questions import Question
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

__all__ = ["Amend"]


class Amend(View):
    """The facts of one part that count."""

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._facts: tuple[data.StandingFact, ...] = ()
        self._fact: data.StandingFact | None = None
        self._rows = RowList(self._draw, choosable=lambda row: isinstance(row, data.StandingFact))

    def compose(self) -> ComposeResult:
        """The facts, newest first."""
        yield self._rows

    def where(self) -> str:
        """The part."""
        return f"Amend: {self._tag}"

    def question(self) -> Question:
        """Which fact, then why."""
        if self._fact is not None:
            return Question("Why is it taken back?")
        return Question("Which fact is wrong? Its number:")

    def help_text(self) -> tuple[str, ...]:
        """What amending does."""
        return (
            "Nothing is deleted. The fact stays in the log, marked as taken back, with your name and the reason, and "
            "no longer counts. Then record what is true. To correct one value of a fact, use the command fact correct.",
        )

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def opened(self) -> None:
        """Read the facts."""
        tag = self._tag
        self.read("facts", lambda session: data.facts_to_amend(session, tag), self._show)

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
        elif not words and isinstance(self._rows.item, data.StandingFact):
            self._fact = self._rows.item
        if self._fact is None:
            self.host.say("Type the number of the fact.")
        else:
            self._ask_why(self._fact)

    def _ask_why(self, fact: data.StandingFact) -> None:
        """Show what would be taken back, and what rests on it."""
        tag = self._tag
        self.read("resting", lambda session: data.judgements_on(session, tag, fact.id), self._show_chosen)

    def _show_chosen(self, resting: tuple[str, ...]) -> None:
        if self._fact is None:
            return
        width = max(self.size.width - 6, 30)
        lines = [Content.assemble(("Take back: ", "bold"), line) for line in shown(self._fact.says).wrap(width)[:1]]
        lines += shown(self._fact.says).wrap(width)[1:]
        lines += [Content(""), shown("Judgements that rest on it:" if resting else "No judgement rests on it.")]
        self._rows.fill(Fixed([*lines, *(shown(f"  {line}") for line in resting)]))

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap picks the fact."""
        if event.again and self._fact is None:
            self.take("")

    def _take_back(self, fact: data.StandingFact, reason: str) -> None:
        if not reason or is_no_name(reason):
            self.host.say("Give the reason in a few words, for example: wrong part.")
            return
        by = self.sitting.by
        self.write(
            lambda session: data.take_fact_back(session, by, fact.id, reason),
            lambda _: f"Taken back: {fact.says}. It stays in the log. Ctrl+Z restores it.",
            then=lambda _: self.host.close(),
        )

    def _show(self, facts: tuple[data.StandingFact, ...]) -> None:
        self._facts = facts
        self._rows.fill(Fixed(facts))

    def _draw(self, row: object, _: int) -> Content:
        if not isinstance(row, data.StandingFact):
            return row if isinstance(row, Content) else Content("")
        return shown(numbered(self._facts.index(row) + 1, row.says))
