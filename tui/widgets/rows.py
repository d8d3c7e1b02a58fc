"""A list that draws only its visible rows; its source need not be in memory."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Sequence
from typing import ClassVar, Protocol

from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.visual import Visual

__all__ = ["PAGE", "Fixed", "Paged", "RowList", "Source"]

#: How many rows are read from the record at once.
PAGE = 100
_PAGES_KEPT = 20

Draw = Callable[[object, int], Content]


class Source(Protocol):
    """Where rows come from."""

    def count(self) -> int:
        """How many rows there are."""

    def window(self, offset: int, limit: int) -> Sequence[object] | None:
        """Rows from `offset` on; None if they are not read yet (then they are asked for)."""


class Fixed:
    """A few rows, all in memory."""

    def __init__(self, items: Sequence[object] = ()) -> None:
        self.items = tuple(items)

    def count(self) -> int:
        """How many rows there are."""
        return len(self.items)

    def window(self, offset: int, limit: int) -> Sequence[object]:
        """Rows from `offset` on."""
        return self.items[offset : offset + limit]


class Paged:
    """Rows read page by page when they become visible; only the last pages are kept.

    `ask(page)` is called once for each missing page; `put` delivers it.
    """

    def __init__(self, total: int, ask: Callable[[int], None], first: Sequence[object] = ()) -> None:
        self._total = total
        self._ask = ask
        self._pages: OrderedDict[int, Sequence[object]] = OrderedDict()
        self._asked: set[int] = set()
        if first:
            self._pages[0] = tuple(first)

    def count(self) -> int:
        """How many rows there are."""
        return self._total

    def put(self, page: int, items: Sequence[object]) -> None:
        """Deliver a page that was asked for."""
        self._asked.discard(page)
        self._pages[page] = tuple(items)
        while len(self._pages) > _PAGES_KEPT:
            self._pages.popitem(last=False)

    def window(self, offset: int, limit: int) -> Sequence[object] | None:
        """Rows from `offset` on, within one page; None while that page is being read."""
        page, within = divmod(offset, PAGE)
        held = self._pages.get(page)
        if held is None:
            if page not in self._asked:
                self._asked.add(page)
                self._ask(page)
            return None
        self._pages.move_to_end(page)
        return held[within : within + limit]


class RowList(ScrollView, can_focus=False):
    """The list. `draw(item, width)` makes a row's text; rows that are not `choosable` are skipped."""

    ALLOW_SELECT = False
    COMPONENT_CLASSES: ClassVar[set[str]] = {"rows--chosen"}
    DEFAULT_CSS = """
    RowList {
        height: 1fr;
        width: 1fr;
        scrollbar-size-vertical: 1;
        overflow-x: hidden;
        text-wrap: nowrap;
        text-overflow: ellipsis;
    }
    RowList > .rows--chosen { text-style: bold; background: $surface-lighten-1; }
    """

    class Tapped(Message):
        """A row was tapped. `again`: it was already chosen."""

        def __init__(self, rows: RowList, again: bool) -> None:
            super().__init__()
            self.rows = rows
            self.again = again

        @property
        def control(self) -> RowList:
            """The list the row is in."""
            return self.rows

    class Moved(Message):
        """Another row was chosen."""

        def __init__(self, rows: RowList) -> None:
            super().__init__()
            self.rows = rows

        @property
        def control(self) -> RowList:
            """The list."""
            return self.rows

    def __init__(
        self,
        draw: Draw,
        *,
        choosable: Callable[[object], bool] = lambda _: True,
        classes: str | None = None,
    ) -> None:
        super().__init__(classes=classes)
        self._draw = draw
        self._choosable = choosable
        self.source: Source = Fixed()
        self.cursor = 0
        self.steered = True

    def fill(self, source: Source, *, cursor: int = 0) -> None:
        """Show other rows, and choose the row `cursor` or the next one that can be chosen."""
        self.source = source
        self.cursor = min(max(cursor, 0), max(source.count() - 1, 0))
        if (self.item is None or not self._choosable(self.item)) and not self._step(1):
            self._step(-1)
        self._measure()
        self._keep_in_sight()
        self.refresh()

    @property
    def item(self) -> object | None:
        """The chosen row's item; None if there is none or if it is still being read."""
        if not 0 <= self.cursor < self.source.count():
            return None
        held = self.source.window(self.cursor, 1)
        return held[0] if held else None

    def choose(self, index: int) -> bool:
        """Choose a row by its index; return whether it can be chosen."""
        if not 0 <= index < self.source.count():
            return False
        held = self.source.window(index, 1)
        if held and not self._choosable(held[0]):
            return False
        self.cursor = index
        self._moved()
        return True

    def steer(self, key: str) -> bool:
        """Move by a key; return whether the key moves in a list."""
        page = max(self.size.height - 1, 1)
        match key:
            case "up":
                if not self._step(-1):
                    self.scroll_to(y=0, animate=False)
            case "down":
                self._step(1)
            case "pageup":
                self._leap(-page)
            case "pagedown":
                self._leap(page)
            case "home":
                self._leap(-self.source.count())
            case "end":
                self._leap(self.source.count())
            case _:
                return False
        self._moved()
        return True

    def _step(self, way: int) -> bool:
        place = self.cursor + way
        while 0 <= place < self.source.count():
            held = self.source.window(place, 1)
            if not held or self._choosable(held[0]):
                self.cursor = place
                return True
            place += way
        return False

    def _leap(self, by: int) -> None:
        way = 1 if by > 0 else -1
        self.cursor = min(max(self.cursor + by, 0), max(self.source.count() - 1, 0))
        held = self.source.window(self.cursor, 1)
        if held and not self._choosable(held[0]) and not self._step(way):
            self._step(-way)

    def keep_in_sight(self, last: int, first: int) -> None:
        """Scroll so that the rows from `first` to `last` are visible, at least `first`."""
        height = self.scrollable_content_region.height
        if height > 0 and last >= round(self.scroll_y) + height:
            self.scroll_to(y=min(last - height + 1, first), animate=False, immediate=True)

    def _moved(self) -> None:
        self._keep_in_sight()
        self.refresh()
        self.post_message(self.Moved(self))

    def _measure(self) -> None:
        self.virtual_size = Size(self.scrollable_content_region.width, self.source.count())

    def _keep_in_sight(self) -> None:
        height = self.scrollable_content_region.height
        if height <= 0:
            return
        top, most = round(self.scroll_y), max(self.source.count() - height, 0)
        if top > most:  # there were more rows before
            top = most
            self.scroll_to(y=top, animate=False, immediate=True)
        if self.cursor < top:
            self.scroll_to(y=self.cursor, animate=False, immediate=True)
        elif self.cursor >= top + height:
            self.scroll_to(y=self.cursor - height + 1, animate=False, immediate=True)

    def on_resize(self) -> None:
        """Redraw at the new width; keep the chosen row visible."""
        self._measure()
        self._keep_in_sight()

    def page_arrived(self) -> None:
        """A page was delivered: redraw."""
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One visible row; the chosen one is marked by a sign and by its style."""
        width = self.scrollable_content_region.width
        index = y + round(self.scroll_offset.y)
        if index >= self.source.count():
            return Strip.blank(width, self.rich_style)
        held = self.source.window(index, 1)
        if not held:
            text = Content("  \N{MIDDLE DOT}")
        else:
            chosen = index == self.cursor and self.steered and self._choosable(held[0])
            text = Content("> " if chosen else "  ") + self._draw(held[0], width - 2)
        style = self.visual_style
        if index == self.cursor and self.steered and held and self._choosable(held[0]):
            style = self.get_visual_style("rows--chosen")
        line = text.truncate(width, ellipsis=True)
        return Visual.to_strips(self, line, width, 1, style, pad=True, apply_selection=False)[0]

    def on_click(self, event: events.Click) -> None:
        """Choose the tapped row."""
        event.stop()
        index = event.y + round(self.scroll_offset.y)
        again = index == self.cursor
        if self.choose(index):
            self.post_message(self.Tapped(self, again))
