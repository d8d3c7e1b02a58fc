"""A part's card: head, sections, numbered entries that unfold to their reasons, and the reasons beside them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from tui.data.entries import CardData, Entry, Section, Step
from tui.safe import crop, plain, shown
from tui.widgets.curve import draw_curve
from tui.widgets.rows import Fixed, RowList

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from tui.view import View

__all__ = ["CardPane"]

_TRUST = 1


@dataclass(frozen=True)
class _Row:
    """A row of the card: the first line of an entry (`heads`), or another line of it."""

    entry: int
    text: Content
    heads: bool


class _Sections(Static):
    """The names of the sections; the open one is in brackets, each can be tapped."""

    ALLOW_SELECT = False

    def __init__(self, pane: CardPane) -> None:
        super().__init__(classes="sections")
        self._pane = pane
        self._ends: list[int] = []

    def put(self, sections: tuple[Section, ...], current: int) -> None:
        """Show the names; closer together if there is little room."""
        names = [f"[{s.title}]" if place == current else s.title for place, s in enumerate(sections)]
        gap = "   " if sum(map(len, names)) + 3 * len(names) < max(self.size.width, 56) else " "
        parts: list[Content] = [Content(" ")]
        self._ends, at = [], 1
        for place, name in enumerate(names):
            parts += [Content(name).stylize("bold" if place == current else "$text-muted"), Content(gap)]
            at += len(name) + len(gap)
            self._ends.append(at)
        self.update(Content("").join(parts))

    def on_click(self, event: events.Click) -> None:
        """Open the tapped section."""
        event.stop()
        place = next((place for place, end in enumerate(self._ends) if event.x < end), None)
        if place is not None:
            self._pane.open_section(place)


class CardPane(Horizontal):
    """The card of one part (or of none). Its view reads the data."""

    DEFAULT_CSS = """
    CardPane { height: 1fr; width: 1fr; }
    CardPane .card { width: 1fr; height: 1fr; }
    CardPane .head { height: 2; text-wrap: nowrap; text-overflow: ellipsis; }
    CardPane .sections { height: 1; text-wrap: nowrap; margin: 1 0; }
    CardPane .why {
        width: 43; height: 1fr; scrollbar-gutter: stable; scrollbar-size-vertical: 1;
        border-left: solid $foreground 30%; padding: 0 0 0 1;
    }
    """

    def __init__(self, view: View, *, background: bool = False) -> None:
        super().__init__()
        self._view = view
        self._background = background
        self.data: CardData | None = None
        self.tag: str | None = None
        self._section = _TRUST
        self._begins_at = ""
        self._depth: dict[tuple[str, int], int] = {}
        self._head = Static(classes="head")
        self._sections = _Sections(self)
        self._rows = RowList(_draw, choosable=lambda row: isinstance(row, _Row) and row.heads)
        self._why = Static()
        self._rows.steered = False

    def compose(self) -> ComposeResult:
        """The card, and the reasons if there is room."""
        with Vertical(classes="card"):
            yield self._head
            yield self._sections
            yield self._rows
        with VerticalScroll(classes="why", can_focus=False):
            yield self._why

    def show(self, tag: str | None) -> None:
        """Read and show a part's card."""
        if tag != self.tag:
            self._depth.clear()
        if tag != self.tag or tag is None:
            self.data = None
            self.tag = tag
            self._refill()
        if tag is not None:
            self._view.read("card", lambda session: _card_of(session, tag), self._arrived, background=self._background)

    def begin_at(self, section: str) -> None:
        """Show this section first."""
        self._begins_at = section

    def set_steered(self, steered: bool) -> None:
        """Say whether the keys control this pane."""
        self._rows.steered = steered
        self._rows.refresh()

    def steer(self, key: str) -> None:
        """Choose, unfold, fold, change section."""
        match key:
            case "right":
                self._unfold(1)
            case "left":
                self._unfold(-1)
            case "tab":
                self.open_section(self._section + 1)
            case "shift+tab":
                self.open_section(self._section - 1)
            case _:
                self._rows.steer(key)

    @property
    def all_folded(self) -> bool:
        """Whether nothing is unfolded under the chosen entry."""
        return not self._depth.get(self._chosen_key(), 0)

    def take(self, text: str) -> str:
        """A number (or `why` and a number) unfolds that entry; Enter alone unfolds the chosen one.

        Returns the view that the entry opens instead, "" if it opens none.
        """
        word = text.strip().casefold().removeprefix("why").strip()
        if word.isdecimal():
            place = int(word) - 1
            row = next((at for at, row in enumerate(self._filled()) if row.heads and row.entry == place), None)
            if row is None or not self._rows.choose(row):
                self._view.host.say(f"There is no number {word} here.")
                return ""
        section, place = self.section, self._chosen_key()[1]
        opens = section.entries[place].opens if section is not None and place >= 0 else ""
        if opens and not text.strip().casefold().startswith("why"):
            return opens
        self._unfold(1)
        return ""

    def open_section(self, place: int) -> None:
        """Show another section; after the last comes the first."""
        if self.data is not None:
            self._section = place % len(self.data.sections)
            self._refill()

    @property
    def section(self) -> Section | None:
        """The open section."""
        return self.data.sections[self._section] if self.data else None

    # Inside.

    def _arrived(self, data: CardData) -> None:
        if data.tag == self.tag:
            self.data = data
            names = [section.name for section in data.sections]
            if self._begins_at in names:
                self._section, self._begins_at = names.index(self._begins_at), ""
            self._refill()

    def _filled(self) -> tuple[_Row, ...]:
        source = self._rows.source
        return tuple(row for row in source.items if isinstance(row, _Row)) if isinstance(source, Fixed) else ()

    def _chosen_key(self) -> tuple[str, int]:
        item, section = self._rows.item, self.section
        return (section.name if section else "", item.entry if isinstance(item, _Row) else -1)

    def _unfold(self, by: int) -> None:
        section, (name, place) = self.section, self._chosen_key()
        if section is None or place < 0:
            return
        steps = len(section.entries[place].steps)
        depth = min(max(self._depth.get((name, place), 0) + by, 0), steps)
        if by > 0 and depth == self._depth.get((name, place), 0):
            self._view.host.say(
                "That was the last step; there is no more to show." if steps else "There is no more to show here."
            )
        self._depth[name, place] = depth
        self._refill(place)

    def _refill(self, keep: int | None = None) -> None:
        section, data = self.section, self.data
        if section is None or data is None:
            self._head.update(shown(f" Reading {self.tag}" if self.tag else "", "$text-muted"))
            self._sections.update("")
            self._rows.fill(Fixed())
            self._why.update("")
            return
        width = max(self._rows.size.width - 3, 30)  # the sign of the chosen row, and the bar where there is one
        self._head.update(Content("\n").join([shown(f" {data.head}", "bold"), shown(f" {data.held}")]))
        self._sections.put(data.sections, self._section)
        rows = self._rows_of(section, width)
        place = self._chosen_key()[1] if keep is None else keep
        cursor = next((at for at, row in enumerate(rows) if row.heads and row.entry == place), 0)
        self._rows.fill(Fixed(rows), cursor=cursor)
        last = max((at for at, row in enumerate(rows) if row.entry == place), default=cursor)
        self._rows.keep_in_sight(last, cursor)
        self._show_why()

    def _rows_of(self, section: Section, width: int) -> list[_Row]:
        if not section.entries:
            return [_Row(-1, line, False) for line in shown(section.empty).wrap(width)]
        names = max(min(max(len(entry.name) for entry in section.entries), 22), 10)
        rows: list[_Row] = []
        for place, entry in enumerate(section.entries):
            rows += _entry_rows(place, entry, names, width)
            for step in entry.steps[: self._depth.get((section.name, place), 0)]:
                rows += [_Row(place, line, False) for line in step_lines(step, width - 6, "      ")]
        return rows

    def _show_why(self) -> None:
        """Show all steps of the chosen entry in the pane beside the card."""
        section, (_, place) = self.section, self._chosen_key()
        if section is None or place < 0:
            self._why.update("")
            return
        entry = section.entries[place]
        width = max(self._why.size.width - 2, 30)
        lines = [shown(f"Why: {entry.name}", "bold"), *shown(entry.says).wrap(width)]
        for step in entry.steps:
            lines += [Content(""), *step_lines(step, width, "")]
        self._why.update(Content("\n").join(lines))

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """Show the reasons of the chosen entry."""
        event.stop()
        self._show_why()

    def on_row_list_tapped(self, event: RowList.Tapped) -> None:
        """A tap unfolds like Right."""
        event.stop()
        self._unfold(1)

    def on_resize(self) -> None:
        """Wrap the text at the new width."""
        self.call_after_refresh(self._refill)


def _card_of(session: Session, tag: str) -> CardData:
    from tui.data.card import card_of

    return card_of(session, tag)


def step_lines(step: Step, width: int, indent: str) -> list[Content]:
    """A step's lines, wrapped at the width, and its curve."""
    lines = [Content(indent) + part for line in step.lines for part in shown(line).wrap(width)]
    if step.curve:
        lines += [Content(indent + text) for text in draw_curve(step.curve, min(width, 62))]
    return lines


def _entry_rows(place: int, entry: Entry, names: int, width: int) -> list[_Row]:
    """An entry: its number, its name, and its sentence, wrapped with an indent."""
    lead = f"{place + 1:>2} {crop(entry.name, names)}  "
    said = [plain(line) for line in shown(entry.says).wrap(max(width - len(lead), 16))] or [""]
    first = _Row(place, Content.assemble((lead, ""), (said[0], "bold" if entry.steps else "")), True)
    return [first, *(_Row(place, Content(" " * len(lead) + line), False) for line in said[1:])]


def _draw(row: object, _: int) -> Content:
    return row.text if isinstance(row, _Row) else Content("")
