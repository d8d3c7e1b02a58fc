"""Find: search as you type; on a wide screen, the list, the chosen part and its reasons side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Static

from tui.data.find import Finds, PartLine, Why, beside, page_of, search
from tui.questions import Question
from tui.safe import crop, shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import PAGE, Paged, RowList
from tui.words import counted

if TYPE_CHECKING:
    from tui.widgets.card import CardPane

__all__ = ["Find"]

_WIDE_FROM = 150
#: What the columns before the last one show.
_SHOWN = ("label", "kind", "number", "code", "seals")
_COLUMNS = (("Label", 9), ("Kind", 20), ("Number", 13), ("Code", 5), ("Seal", 11))


def part_line(item: object, width: int, why: Sequence[Why] = ()) -> Content:
    """One part in a list: as many columns as fit; the last one fills the row.

    It says where the part is, or why it was found if the other columns do not show that.
    """
    part = cast("PartLine", item)
    where = beside(why, _SHOWN) or part.gone or part.where
    code = (part.match_code or "").replace(" or ", "/")  # a set of letters, as short as it may be typed
    cells = (part.tag, part.kind or "", part.part_number or "", code, part.seal_state, where)
    return shown(_in_columns(cells, width))


def heading(width: int) -> Content:
    """The names of the columns."""
    return Content("  " + _in_columns((*(name for name, _ in _COLUMNS), "Where"), width - 2)).stylize("$text-muted")


def _in_columns(cells: tuple[str, ...], width: int) -> str:
    text = ""
    for (_, column), cell in zip(_COLUMNS, cells, strict=False):
        if len(text) + column > width:
            return crop(text, width)
        text += crop(cell, column - 1) + " "
    return text + crop(cells[-1], width - len(text)) if width - len(text) > 5 else text


class Find(View):
    """The list of parts found and, on a wide screen, the chosen part beside it."""

    DEFAULT_CSS = """
    Find > Horizontal { height: 1fr; }
    Find .finds { width: 1fr; }
    Find .heading { height: 1; }
    Find .count { height: auto; max-height: 3; }
    Find .chosen { height: auto; max-height: 4; color: $text-muted; }
    """

    def __init__(self, sitting: Sitting, words: str = "") -> None:
        super().__init__(sitting)
        self._words = words
        self._finds: Finds | None = None
        self._in_card = False
        self._why: dict[int, tuple[Why, ...]] = {}
        self._rows = RowList(self._draw, classes="rows")
        self._chosen = Static(classes="chosen")
        self._heading = Static(classes="heading")
        self._count = Static(classes="count")

    @cached_property
    def _card(self) -> CardPane:
        """The card beside the list; made when there is room for it."""
        from tui.widgets.card import CardPane  # some 10 ms, wanted on a wide screen only

        card = CardPane(self, background=True)
        card.add_class("beside")
        return card

    def compose(self) -> ComposeResult:
        """The list; the card is added if there is room."""
        with Horizontal(), Vertical(classes="finds"):
            yield self._count
            yield self._heading
            yield self._rows
            yield self._chosen

    # What the host calls.

    def where(self) -> str:
        """The view, and what is searched."""
        return f"Find: {self._words}" if self._words else "Find"

    def question(self) -> Question:
        """Search; or the number of an entry while the keys control the card."""
        return Question("Number, or search:") if self._in_card else Question("Search or scan:")

    def help_text(self) -> tuple[str, ...]:
        """How the search works."""
        return (
            "Type words from a number, a serial, a kind, a car, a place or a remark. A part is found if it has all of "
            "them. Blanks, dots and dashes do not matter, and three characters in a row are enough. One or two "
            "characters find only a whole match code, seal state, condition, place or bag: bag 7. Screws, mounts, what "
            "broke, damage and work are searched too; where the columns do not show why a part was found, the last one "
            "says it. A number that another replaced finds both.",
            "Enter or Right opens the chosen part. A scanned label opens its part directly.",
        )

    def part_tag(self) -> str | None:
        """The chosen part."""
        item = self._rows.item
        return item.tag if isinstance(item, PartLine) else None

    @property
    def is_waiting(self) -> bool:
        """Keys wait for the card beside the list only while they control it."""
        return super().is_waiting or (self._in_card and self.outstanding("card"))

    def opened(self) -> None:
        """Search again: the record may have changed."""
        if not self._in_card:
            self.host.line.put(self._words)
        self._search()

    def line_changed(self, text: str) -> None:
        """Search while typing; a number picks an entry if the keys control the card."""
        if self._in_card:
            if not text or text.strip().isdecimal():
                return
            self._leave_card()
        if text.strip() != self._words or self._finds is None:
            self._words = text.strip()
            self._search()

    def take(self, text: str) -> None:
        """Open the chosen part."""
        if not self._in_card:
            self._go_in(text)
        elif opens := self._card.take(text):
            self.host.open(make_view(opens, self.sitting, (self._card.tag, ())))

    def steer(self, key: str) -> None:
        """Choose in the list, or control the card beside it."""
        if self._in_card:
            if key == "left" and self._card.all_folded:
                self._leave_card()
            else:
                self._card.steer(key)
        elif key in ("right", "tab"):
            self._go_in(self._words)
        else:
            self._rows.steer(key)

    def back(self) -> bool:
        """From the card to the list."""
        if self._in_card:
            self._leave_card()
            return True
        return False

    # Inside.

    def _search(self) -> None:
        words, rows = self._words, PAGE
        self.read_sql("find", lambda source: search(source, words, rows), self._show)

    def _show(self, finds: Finds) -> None:
        same = self._finds is not None and self._finds.keys == finds.keys
        self._finds = finds
        self._why = dict(finds.why)
        says = [_count_words(finds), *(f"  {stays}" for stays in finds.stays[:2])]
        self._count.update(Content("\n").join(map(shown, says)))
        total = finds.total - 1 if finds.at_least else finds.total
        self._rows.fill(Paged(total, self._ask_page, finds.first), cursor=self._rows.cursor if same else 0)
        self._show_card()

    def _ask_page(self, page: int) -> None:
        finds = self._finds
        if finds is not None:
            self.read_sql(
                f"page {page}",
                lambda source: page_of(source, finds, page * PAGE, PAGE),
                lambda found: self._put_page(finds, page, *found),
                background=True,
            )

    def _put_page(self, finds: Finds, page: int, lines: list[PartLine], why: Mapping[int, tuple[Why, ...]]) -> None:
        if finds is self._finds and isinstance(self._rows.source, Paged):
            self._why |= why
            self._rows.source.put(page, lines)
            self._rows.page_arrived()
            self._show_chosen()

    def _draw(self, item: object, width: int) -> Content:
        return part_line(item, width, self._why.get(cast("PartLine", item).id, ()))

    def _show_chosen(self) -> None:
        """The chosen part in full under the list: which it is, where it is, why it was found."""
        part = self._rows.item
        if not isinstance(part, PartLine):
            self._chosen.update("")
            return
        what = (part.kind, part.maker, part.part_number, part.serial and f"serial {part.serial}")
        together = part.as_one and f"came off with {', '.join(part.as_one)}"
        where = (part.gone, part.where, part.bag and f"bag {part.bag}", together, part.marks)
        lines = ["  ".join(word for word in (part.tag, *what) if word), "  ".join(word for word in where if word)]
        if why := beside(self._why.get(part.id, ()), ("label", "kind", "number")):
            lines.append(f"found by: {why}")
        self._chosen.update(Content("\n").join(shown(f"  {line}") for line in lines if line))

    def _go_in(self, text: str) -> None:
        tag = self.part_tag()
        if tag is None:
            self.host.line.put(text)
        elif self._is_wide():
            self.host.line.empty()
            self._in_card = True
            self._rows.steered = False
            self._rows.refresh()
            self._card.set_steered(True)
        else:
            self.host.line.empty()
            self.host.open_part(tag)

    def _leave_card(self) -> None:
        self._in_card = False
        self._rows.steered = True
        self._rows.refresh()
        self._card.set_steered(False)

    def _is_wide(self) -> bool:
        return self.size.width >= _WIDE_FROM

    def _show_card(self) -> None:
        self._show_chosen()
        if not self._is_wide():
            return
        if not self._card.is_attached:
            upright = Static(Content("\n".join("\N{BOX DRAWINGS LIGHT VERTICAL}" * 200)), classes="upright beside")
            self.query_one(Horizontal).mount(upright, self._card)
        self._card.show(self.part_tag())

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """Show the chosen part beside the list."""
        if event.rows is self._rows:
            self._show_card()
            self.host.show_foot()

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap chooses a part, a second tap opens it."""
        if event.rows is not self._rows:
            return
        if self._in_card:
            self._leave_card()
        if event.again:
            self._go_in(self._words)

    def on_resize(self) -> None:
        """Show the columns that fit."""
        self._heading.update(heading(self._rows.size.width or self.size.width))
        if self._in_card and not self._is_wide():
            self._leave_card()
        self._show_card()


def _count_words(finds: Finds) -> str:
    """How many parts were found; or similar numbers."""
    if finds.total or finds.stays:
        return f"  {counted(finds.total, finds.at_least)} {'part' if finds.total == 1 else 'parts'}"
    if not finds.words:
        return "  No part is on record yet. Space S takes a car apart."
    near = ", ".join(f"{number} ({count} {'part' if count == 1 else 'parts'})" for number, count in finds.near)
    return f'  No part has "{finds.words}".' + (f" Near: {near}." if near else "")
