"""Refit: which car goes back together. With one car, or from one of its parts, it opens at once."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content

from tui.data import refit as data
from tui.questions import Question
from tui.safe import shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

__all__ = ["RefitStart"]


class RefitStart(View):
    """The cars with parts off. `of`: the car, or the tag of a part off it, if it is known."""

    def __init__(self, sitting: Sitting, of: str = "") -> None:
        super().__init__(sitting)
        self._of = of
        self._cars: tuple[data.CarToRefit, ...] = ()
        self._rows = RowList(self._draw, choosable=lambda row: isinstance(row, data.CarToRefit))

    def compose(self) -> ComposeResult:
        """The cars."""
        yield self._rows

    def where(self) -> str:
        """The view's name."""
        return "Refit"

    def question(self) -> Question:
        """Which car."""
        return Question("Which car goes back together? Its number:" if self._cars else "Esc goes back:")

    def help_text(self) -> tuple[str, ...]:
        """What this view shows."""
        return ("Cars of which something was taken off and logged. Choose the one that goes back together.",)

    def opened(self) -> None:
        """Read the cars."""
        of = self._of
        self.read("cars", lambda session: data.start(session, of), self._show)

    def steer(self, key: str) -> None:
        """Choose a car."""
        self._rows.steer(key)

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap takes the car."""
        self.take("")

    def take(self, text: str) -> None:
        """Take the car."""
        words, item = text.strip(), self._rows.item
        if words.isdecimal() and 1 <= int(words) <= len(self._cars):
            self._open(self._cars[int(words) - 1].name)
        elif words:
            self.host.say(f'No car here has the number "{words}".')
        elif isinstance(item, data.CarToRefit):
            self._open(item.name)

    def _open(self, car: str) -> None:
        self.host.replace(make_view("refit car", self.sitting, car))

    def _show(self, found: tuple[tuple[data.CarToRefit, ...], str]) -> None:
        self._cars, meant = found
        self._of = ""
        if meant or len(self._cars) == 1:
            self._open(meant or self._cars[0].name)
            return
        heading = "WHICH CAR GOES BACK TOGETHER?" if self._cars else "No car has parts off. Strip logs what comes off."
        self._rows.fill(Fixed([shown(heading, "bold"), Content(""), *self._cars]))

    def _draw(self, row: object, _: int) -> Content:
        if isinstance(row, data.CarToRefit):
            return shown(numbered(self._cars.index(row) + 1, f"{row.name}: {row.on} of {row.steps} on"))
        return row if isinstance(row, Content) else Content("")
