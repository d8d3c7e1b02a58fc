"""Offers seen: what was offered, asked and answered, as it was kept."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from tui.data import worth as data
from tui.questions import Question
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["OffersSeen"]


class OffersSeen(View):
    """The offers, newest first; the chosen one in full below."""

    DEFAULT_CSS = "OffersSeen > .detail { height: auto; max-height: 12; padding: 0 1; scrollbar-size-vertical: 1; }"

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._rows = RowList(
            lambda row, _: shown(row.says if isinstance(row, data.OfferLine) else row),
            choosable=lambda row: isinstance(row, data.OfferLine),
        )
        self._detail = Static()

    def compose(self) -> ComposeResult:
        """The offers, and the chosen one."""
        yield self._rows
        with VerticalScroll(classes="detail", can_focus=False):
            yield self._detail

    def where(self) -> str:
        """The view."""
        return "Offers seen"

    def question(self) -> Question:
        """Only looked at."""
        return Question("Search, scan:", enter="back")

    def keys(self) -> tuple[str, ...]:
        """A list."""
        return ("Enter", "Esc", "Up", "Down", "Space", "?")

    def help_text(self) -> tuple[str, ...]:
        """How offers come here."""
        return (
            "Offers are kept when you type keep at the end of Should I buy it? What the seller answered, and whether "
            "you bought: matchmark offers answer, offers bought, offers not-bought. The same serial offered again is "
            "said.",
        )

    def opened(self) -> None:
        """Read them."""
        self.read("offers", data.offers_seen, self._show)

    def take(self, text: str) -> None:
        """Nothing is asked here: Enter goes back."""
        if text.strip():
            self.host.say("Up and Down choose an offer; Esc goes back.")
        else:
            self.host.close()

    def steer(self, key: str) -> None:
        """Choose."""
        if key == "left":
            self.host.back()
        else:
            self._rows.steer(key)

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """Show the chosen offer."""
        event.stop()
        self._draw_detail()

    def _show(self, offers: tuple[data.OfferLine, ...]) -> None:
        none = "No offer was kept. Type keep at the end of Should I buy it? to keep one."
        self._rows.fill(Fixed(offers or (none,)))
        self._draw_detail()

    def _draw_detail(self) -> None:
        item = self._rows.item
        told = item.told if isinstance(item, data.OfferLine) else ()
        self._detail.update(Content("\n").join(shown(line) for line in told))
