"""Move: record that a part was put at a place."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.content import Content

from inventory.store.words.near import near_names
from inventory.store.words.nothing import name_given
from inventory.store.words.text import fold
from tui.data import acts as data
from tui.questions import Question
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import many

__all__ = ["Move", "ask_and_put"]


class Move(View):
    """The places; typing narrows the list, a new name makes a new place."""

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._places: tuple[tuple[str, int], ...] = ()
        self._words = ""
        self._new = ""
        self._rows = RowList(_draw)

    def compose(self) -> ComposeResult:
        """The places."""
        yield self._rows

    def where(self) -> str:
        """The part."""
        return f"Move: {self._tag}"

    def question(self) -> Question:
        """Where to."""
        if self._new:
            return Question("A new place?", enter=f'yes, puts it in "{self._new}"')
        return Question(f"Where is {self._tag} now?", enter="the chosen place" if self._places else "")

    def help_text(self) -> tuple[str, ...]:
        """How a move is written."""
        return (
            "Choose the place, type its name, or scan its label; Enter then puts the part there. Before a new place is "
            "made, you are asked to confirm it.",
        )

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def opened(self) -> None:
        """Read the places."""
        self.read("places", data.place_names, self._show)

    def line_changed(self, text: str) -> None:
        """Narrow the list."""
        self._words, self._new = text.strip(), ""
        self._fill()

    def steer(self, key: str) -> None:
        """Choose a place."""
        self._rows.steer(key)

    def back(self) -> bool:
        """From a new name to the list."""
        if self._new:
            self._new = ""
            return True
        return False

    def take(self, text: str) -> None:
        """Put it there."""
        words, self._words = text.strip(), ""
        exact = next((name for name, _ in self._places if fold(name) == fold(words)), None)
        item = self._rows.item
        if self._new and not words:
            self._put(self._new, new=True)
        elif exact:
            self._put(exact, new=False)
        elif isinstance(item, tuple):
            self._put(str(item[0]), new=False)
        elif words and near_names(words, (name for name, _ in self._places)):
            self._put(words, new=True)  # the host asks which one is meant
        elif words:
            self._new = name_given("place", words)
        self._fill()

    def place_read(self, text: str, *, by_hand: bool) -> bool:
        """The label of a place was scanned: ask whether the part is put there."""
        ask_and_put(self, self._tag, text, lambda: self.host.close())
        return True

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap puts it there."""
        if event.again:
            self.take("")

    def _put(self, place: str, *, new: bool) -> None:
        by, tag = self.sitting.by, self._tag
        self.write(
            lambda session: data.move_part(session, by, tag, place, new=new),
            lambda named: f"{tag} is now in {named}. Ctrl+Z takes it back.",
            then=lambda _: self.host.close(),
        )

    def _show(self, places: tuple[tuple[str, int], ...]) -> None:
        self._places = places
        self._fill()

    def _fill(self) -> None:
        self._rows.fill(Fixed([place for place in self._places if fold(self._words) in fold(place[0])]))


def ask_and_put(view: View, tag: str, label: str, then: Callable[[], None]) -> None:
    """Ask whether a part is put at the place with a scanned label; Enter does it. The Enter of a scan does not."""
    by = view.sitting.by

    def put(name: str) -> None:
        view.write(
            lambda session: data.move_part(session, by, tag, name, new=False),
            lambda named: f"{tag} is now in {named}. Ctrl+Z takes it back.",
            then=lambda _: then(),
        )

    view.read(
        "place",
        lambda session: data.place_labelled(session, label),
        lambda name: view.host.confirm(Question(f"Put {tag} in {name}?", enter="yes, Esc no"), lambda: put(name)),
    )


def _draw(row: object, _: int) -> Content:
    if not isinstance(row, tuple):
        return Content("")
    return Content.assemble(shown(f"{row[0]:<24}"), (many(int(row[1]), "part"), "$text-muted"))
