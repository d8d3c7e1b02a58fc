"""A part's card as a view of its own."""

from __future__ import annotations

from textual.app import ComposeResult

from inventory.errors import Refused
from tui.questions import SEARCH, Question
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.card import CardPane

__all__ = ["Card"]


class Card(View):
    """One part: who, trust, where, measured, done, from, worth, pictures, log."""

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._pane = CardPane(self)
        self._pane.set_steered(True)

    def compose(self) -> ComposeResult:
        """The card fills the body."""
        yield self._pane

    def where(self) -> str:
        """The part."""
        return f"Part {self._tag}"

    def question(self) -> Question:
        """A number goes in, anything else is searched."""
        return SEARCH

    def care(self) -> str:
        """The worst care of the kind."""
        section = self._pane.section
        at_the_bench = section is not None and section.name in ("Measured", "Trust")
        return self._pane.data.care if self._pane.data and at_the_bench else ""

    def care_in_full(self) -> tuple[str, ...]:
        """All cares of the kind."""
        return self._pane.data.care_in_full if self._pane.data else ()

    def explains(self) -> tuple[str, ...]:
        """How the card is read."""
        return (
            "What the record knows of this part. Trust holds what is judged from it, one line each: Right shows one "
            "step nearer to the evidence (the sentence, then rule and source, then the facts, then the reading as "
            "typed), Left folds it again. A number and Enter does the same; so does a tap.",
            "Tab goes through the sections. Nothing here is ever rubbed out: Log holds what was taken back as well.",
        )

    def keys(self) -> tuple[str, ...]:
        """Sections and steps matter more here than Up and Down."""
        return ("Enter", "Esc", "Right", "Left", "Tab", "Space", "?")

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def opened(self) -> None:
        """Read it anew."""
        self._pane.show(self._tag)

    def not_taken(self, refused: Refused) -> None:
        """There is no such part: back to where the label was read."""
        if refused.code == "no-such-part" and self._pane.data is None:
            self.host.close()
            self.host.say(f"Label {self._tag} is on no part yet. In Strip it goes on the next part that comes off.")

    def take(self, text: str) -> None:
        """A number picks an entry; other words are searched."""
        word = text.strip().casefold().removeprefix("why").strip()
        if not text.strip() or word.isdecimal():
            self._pane.take(text)
        else:
            self.host.open(make_view("find", self.sitting, text.strip()))

    def steer(self, key: str) -> None:
        """Choose, unfold, fold, change section; Left with nothing unfolded goes out."""
        if key == "left" and self._pane.all_folded:
            self.host.back()
        else:
            self._pane.steer(key)
