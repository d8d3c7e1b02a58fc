"""The view of a part's card."""

from __future__ import annotations

from textual.app import ComposeResult

from inventory.errors import Refused
from tui.questions import SEARCH, Question
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.card import CardPane

__all__ = ["Card", "WorthCard"]


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
        """A number opens an entry; other text is searched."""
        return SEARCH

    def care(self) -> str:
        """The worst caution of the kind, in the sections on measuring."""
        section = self._pane.section
        at_the_bench = section is not None and section.name in ("Measured", "Trust")
        return self._pane.data.care if self._pane.data and at_the_bench else ""

    def cautions_in_full(self) -> tuple[str, ...]:
        """All cautions of the kind."""
        return self._pane.data.cautions_in_full if self._pane.data else ()

    def help_text(self) -> tuple[str, ...]:
        """How to read the card."""
        return (
            "Everything on record about this part. Trust has the judgements, one line each. Right shows one more step "
            "of the reasons: the sentence, the rule and its source, the facts, the reading as typed. Left hides it. A "
            "number and Enter, or a tap, do the same as Right.",
            "Scan the label of a place to put the part there; Enter confirms it.",
            "Tab goes to the next section. Nothing is ever deleted: Log also shows what was taken back.",
        )

    def keys(self) -> tuple[str, ...]:
        """Left and Tab instead of Up and Down: sections and steps matter more here."""
        return ("Enter", "Esc", "Right", "Left", "Tab", "Space", "?")

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def opened(self) -> None:
        """Read the card again."""
        self._pane.show(self._tag)

    def was_refused(self, refused: Refused) -> None:
        """If the part has another label now, show it; if there is no such part, go back."""
        if refused.code == "label-changed":
            self._tag = refused.near[0]
            self.opened()
        if refused.code == "no-such-part" and self._pane.data is None:
            self.host.close()
            self.host.say(
                f"Label {self._tag} is not on any part yet. Use it in Strip for the next part that comes off."
            )

    def take(self, text: str) -> None:
        """A number opens an entry; other text is searched."""
        word = text.strip().casefold().removeprefix("why").strip()
        if not text.strip() or word.isdecimal():
            if opens := self._pane.take(text):
                of = (self._tag, ()) if opens == "settle" else self._tag
                self.host.open(make_view(opens, self.sitting, of))
        else:
            self.host.open(make_view("find", self.sitting, text.strip()))

    def place_read(self, text: str, *, by_hand: bool) -> bool:
        """The label of a place was scanned: ask whether this part is put there."""
        from tui.screens.move import ask_and_put

        ask_and_put(self, self._tag, text, self.opened)
        return True

    def steer(self, key: str) -> None:
        """Choose, unfold, fold, change section; Left with nothing unfolded goes back."""
        if key == "left" and self._pane.all_folded:
            self.host.back()
        else:
            self._pane.steer(key)


class WorthCard(Card):
    """The card of a part, begun at what it is worth."""

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting, tag)
        self._pane.begin_at("Worth")
