"""Hand over: who is working. The name is recorded with everything written from now on."""

from __future__ import annotations

from textual.app import ComposeResult

from inventory.errors import NearName
from inventory.store.words.near import near_names
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean, fold
from tui.data.acts import hands
from tui.questions import Question
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["HandOver"]


class HandOver(View):
    """The people who have written in this record; a new name can be typed."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._names: list[str] = []
        self._rows = RowList(lambda name, _: shown(name))

    def compose(self) -> ComposeResult:
        """The names."""
        yield self._rows

    def where(self) -> str:
        """The view's name."""
        return "Hand over"

    def question(self) -> Question:
        """Who works from now on."""
        return Question(
            "Who is working?", enter=f"stays {self.sitting.by}" if not self._chosen() else "takes the chosen name"
        )

    def help_text(self) -> tuple[str, ...]:
        """What the name is for."""
        return (
            "Everything you write is recorded under the name in row 1. When somebody else takes over this machine, "
            "choose their name here, or type a new one. Earlier entries keep their name. Each person has their own "
            "drafts.",
        )

    def opened(self) -> None:
        """Read the names."""
        self.read("names", hands, self._show)

    def steer(self, key: str) -> None:
        """Choose a name."""
        self._rows.steer(key)

    def take(self, text: str) -> None:
        """Take the name typed, or the one chosen."""
        name = clean(text) or self._chosen() or self.sitting.by
        known = next((each for each in self._names if fold(each) == fold(name)), None)
        near = near_names(name_given("name", name), self._names) if known is None else ()
        if near:
            self.host.ask_name(NearName("contact", name, near), self._take)
        else:
            self._take(known or name)

    def _take(self, name: str) -> None:
        self.sitting.by = name
        self.host.close()
        self.host.say(f"{name} is now working.")

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap takes the name."""
        if event.again:
            self.take("")

    def _chosen(self) -> str:
        return str(self._rows.item or "")

    def _show(self, names: list[str]) -> None:
        self._names = [self.sitting.by, *(name for name in names if name != self.sitting.by)]
        self._rows.fill(Fixed(self._names))
