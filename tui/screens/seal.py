"""Note a seal: which seal, then how it was found."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content

from inventory.store.words.nothing import name_given
from tui.data import acts as data
from tui.looked_at import SEAL_WORDS, SEALS, seal_state
from tui.questions import Question, chosen
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

__all__ = ["NoteSeal"]


class NoteSeal(View):
    """The seals of one part; two answers record one."""

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._seals: tuple[data.SealLine, ...] = ()
        self._seal = ""
        self._rows = RowList(self._draw)

    def compose(self) -> ComposeResult:
        """The seals."""
        yield self._rows

    def where(self) -> str:
        """The part."""
        return f"Note a seal: {self._tag}"

    def question(self) -> Question:
        """Which seal, or how it was found."""
        if self._seal:
            return Question(f"{self._seal.capitalize()}?  {SEAL_WORDS}", short=True)
        return Question("Which seal? Its number, or another name:")

    def help_text(self) -> tuple[str, ...]:
        """What the words mean."""
        return (
            "Intact: as the factory left it. Disturbed: there, but somebody has worked on it. Missing: it was there "
            "and is gone. Never fitted: this part number left the factory without it. Not seen: nobody looked, or it "
            "could not be seen. A seal renewed by a specialist counts only with the paper: use the command seal note.",
            "A seal does not grow back. If it was missing once and looks intact now, it is another seal, or one of the "
            "two sightings is wrong. Both stay, and it counts as missing until it is settled; you are asked at once.",
        )

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def opened(self) -> None:
        """Read its seals."""
        tag = self._tag
        self.read("seals", lambda session: data.seals_of(session, tag), self._show)

    def steer(self, key: str) -> None:
        """Choose a seal."""
        if not self._seal:
            self._rows.steer(key)

    def back(self) -> bool:
        """From the state to the seal."""
        if self._seal:
            self._seal = ""
            return True
        return False

    def take(self, text: str) -> None:
        """The seal, then its state."""
        if self._seal:
            self._take_state(text)
            return
        item = self._rows.item
        names = tuple(seal.name for seal in self._seals)
        if text.strip():
            self._seal = chosen(text, names) or ("" if text.strip().isdecimal() else name_given("seal", text.strip()))
        elif isinstance(item, data.SealLine):
            self._seal = item.name
        if not self._seal:
            self.host.say("Type the number or the name of the seal.")

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap picks the seal."""
        if not self._seal:
            self.take("")

    def _take_state(self, text: str) -> None:
        state = seal_state(text)
        if state is None:
            self.host.say(", ".join(f"{key} {each}" for key, each in SEALS.items()))
            return
        by, tag, seal = self.sitting.by, self._tag, self._seal

        self.write(
            lambda session: data.note_seal(session, by, tag, seal, state),
            lambda named: f"{tag}, {named} {state}: recorded. Ctrl+Z takes it back.",
            then=lambda _: self.host.close(),
        )

    def _show(self, seals: tuple[data.SealLine, ...]) -> None:
        self._seals = seals
        self._rows.fill(Fixed(seals))

    def _draw(self, row: object, width: int) -> Content:
        if not isinstance(row, data.SealLine):
            return Content("")
        place = self._seals.index(row) + 1
        return Content.assemble(shown(numbered(place, f"{row.name:<16}")), shown(f"  {row.last}"))
